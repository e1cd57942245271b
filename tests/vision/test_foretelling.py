"""The next frame foretold from motions whose going on is known."""

from __future__ import annotations

from math import exp, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.vision.followed import STILL
from vision.follow import FollowedFrame
from vision.foretelling import AT_REST, FALLING_PER_S, LEANING_RAD, SWAY, foretold
from vision.scene import LEAN, SHIFT_X, SLIP, TILT

rates = st.floats(-0.4, 0.4)
gaps = st.floats(0.005, 0.2)


def _frames(times_s, own, seen=None) -> list[FollowedFrame]:
    seen = [True] * len(own) if seen is None else seen
    points, u_px = np.zeros((1, 2, 2)), np.ones(1)
    return [
        FollowedFrame(k, float(t), STILL, points, u_px, np.array(row, dtype=float), so)
        for k, (t, row, so) in enumerate(zip(times_s, own, seen, strict=True))
    ]


def test_a_single_frame_is_all_that_is_known():
    assert foretold(_frames([0.0], [[0.1, 0.0, 0.2, 0.0, 0.0]]), 1.0, False) == pytest.approx(
        [0.1, 0.0, 0.2, 0.0, 0.0]
    )


@given(rates, rates, gaps, gaps)
def test_even_tilt_and_slip_go_on_whatever_the_frames_times(tilting, slipping, gap_s, ahead_s):
    times = np.array([0.0, gap_s])
    own = np.zeros((2, 5))
    own[:, TILT], own[:, SLIP] = tilting * times, slipping * times
    next_own = foretold(_frames(times, own), gap_s + ahead_s, False)
    assert next_own[TILT] == pytest.approx(tilting * (gap_s + ahead_s))
    assert next_own[SLIP] == pytest.approx(slipping * (gap_s + ahead_s))


@pytest.mark.parametrize("frames_per_second", [24.0, 30.0, 60.0, 240.0])
def test_a_lean_that_grows_as_a_falling_body_does_is_foretold(frames_per_second):
    """sinh(k t) with k as it is taken to be: what a body does that tips over an edge."""
    times = np.arange(0.3, 0.45, 1 / frames_per_second)
    lean = radians(0.1) * np.sinh(FALLING_PER_S * times)
    own = np.zeros((len(times), 5))
    own[:, LEAN] = lean
    assert lean[-2] > LEANING_RAD
    found = foretold(_frames(times[:-1], own[:-1]), times[-1], False)[LEAN]
    steady = 2 * lean[-2] - lean[-3]
    assert abs(found - lean[-1]) < 0.15 * abs(steady - lean[-1])


def test_a_lean_too_small_to_have_begun_is_carried_on_evenly():
    own = np.zeros((2, 5))
    own[1, LEAN] = 0.9 * LEANING_RAD
    found = foretold(_frames([0.0, 0.1], own), 0.2, False)[LEAN]
    assert found == pytest.approx(1.8 * LEANING_RAD)


def test_a_body_out_of_sight_stays_as_it_was_last_seen():
    own = np.zeros((12, 5))
    own[:, TILT] = np.linspace(0, 0.11, 12)
    own[:10, LEAN], own[10:, LEAN] = 0.001, 0.05  # another edge taken for its outline
    frames = _frames(np.arange(12) / 30, own, [True] * 10 + [False] * 2)
    found = foretold(frames, 12 / 30, False)
    assert found[LEAN] == pytest.approx(0.001) and found[TILT] == pytest.approx(0.12)


def test_one_frame_astray_does_not_turn_the_board_in_a_hand():
    own = np.zeros((9, 5))
    own[:, TILT] = np.linspace(0, 0.08, 9)
    own[-1, TILT] += 0.02
    frames = _frames(np.arange(9) / 30, own)
    assert foretold(frames, 9 / 30, True)[TILT] == pytest.approx(own[-1, TILT] + 0.01)


def test_a_frame_astray_turns_a_board_by_its_share_of_a_tenth_of_a_second():
    """Of the last three frames' way, not of one frame's."""
    own = np.zeros((9, 5))
    own[:, TILT] = np.linspace(0, 0.08, 9)
    own[-1, TILT] += 0.02
    found = foretold(_frames(np.arange(9) / 30, own), 9 / 30, False)[TILT]
    assert found == pytest.approx(own[-1, TILT] + 0.05 / 3)


def test_in_a_hand_what_sways_is_not_carried_on():
    own = np.zeros((2, 5))
    own[1] = [0.0, LEANING_RAD, 0.003, 0.01, -0.01]
    found = foretold(_frames([0.0, 0.03], own), 0.06, True)
    assert found[SLIP] == own[1, SLIP]
    assert found[LEAN] == pytest.approx((1 - AT_REST) * LEANING_RAD)
    assert found[SHIFT_X:] == pytest.approx((1 - SWAY) * own[1, SHIFT_X:])


def test_in_a_hand_a_lean_that_has_begun_goes_on():
    own = np.zeros((2, 5))
    own[:, LEAN] = [2 * LEANING_RAD, 3 * LEANING_RAD]
    found = foretold(_frames([0.0, 0.03], own), 0.06, True)[LEAN]
    assert found == pytest.approx((3 + exp(0.03 * FALLING_PER_S)) * LEANING_RAD)
