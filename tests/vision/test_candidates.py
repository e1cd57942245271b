"""Straight edges that turn with the board, told from those that stay."""

from __future__ import annotations

from math import degrees, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.scenes.camera import camera_of, tilted
from tests.vision.geometry import Floats
from vision.candidates import (
    ALIKE,
    STEP_RAD,
    Candidate,
    followed_frames,
    moved_segments,
    turning_candidates,
    turning_point,
)
from vision.lines import EdgeLines

places = st.floats(-400, 900)


def _turned(ends: Floats, about: Floats, turns_rad: Floats) -> Floats:
    """A segment turned about a point by each angle, anticlockwise on the screen, ``(F, 4)``."""
    out = []
    for turn in turns_rad:
        c, s = np.cos(turn), np.sin(turn)
        out.append(((ends.reshape(2, 2) - about) @ np.array([[c, -s], [s, c]]) + about).ravel())
    return np.array(out)


@given(places, places, st.floats(0, 2 * np.pi), st.floats(-50, 200), st.floats(20, 400))
def test_the_point_an_edge_turns_about(x, y, angle, begins, length):
    """An edge that points at its hinge, wherever along its line the hinge lies."""
    about, along = np.array([x, y]), np.array([np.cos(angle), np.sin(angle)])
    start = np.concatenate([about + begins * along, about + (begins + length) * along])
    ends = _turned(start, about, np.radians([0, 1, 3, 6]))
    assert turning_point(ends) == pytest.approx(about, abs=1e-5)


def test_frames_in_which_it_was_lost_do_not_count():
    about = np.array([100.0, 300.0])
    ends = _turned(np.array([110.0, 300, 400, 300]), about, np.radians([0, 1, 2, 4, 6]))
    ends[2] = np.nan
    assert turning_point(ends) == pytest.approx(about, abs=1e-6)


def test_a_board_edge_begins_at_its_hinge_and_a_sleeve_does_not():
    hinge, turns = np.array([100.0, 300.0]), np.radians([0, 2, 5])
    board = Candidate(_turned(np.array([105.0, 300, 500, 300]), hinge, turns), 5.0)
    sleeve = Candidate(_turned(np.array([560.0, 280, 700, 250]), hinge, turns), 5.0)
    assert board.begins_at(hinge) and not sleeve.begins_at(hinge)
    assert sleeve.beside(hinge) == pytest.approx(_foot(sleeve, hinge))
    assert board.length_px == pytest.approx(395)


def _foot(edge, point):
    """By the line's equation: off by the distance along its normal."""
    x1, y1, x2, y2 = edge.ends[0]
    normal = np.array([y2 - y1, x1 - x2]) / np.hypot(x2 - x1, y2 - y1)
    return point - normal * (normal @ (point - [x1, y1]))


@pytest.mark.parametrize("slope_deg", [-80.0, -10.0, 0.0, 25.0, 89.0])
def test_slope_rises_to_the_right_whichever_end_comes_first(slope_deg):
    c, s = np.cos(radians(slope_deg)), np.sin(radians(slope_deg))
    ends = np.array([100, 200, 100 + 80 * c, 200 - 80 * s])
    for each in (ends, np.roll(ends, 2)):
        candidate = Candidate(each[None], 5.0)
        assert degrees(candidate.slope_rad) == pytest.approx(slope_deg)


def _edges(offset: float, slope: float, middle: float, share: float) -> EdgeLines:
    one = np.ones(1)
    return EdgeLines(
        offset * one, slope * one, middle * one, 0.1 * one, 20 * one, 40 * one, share * one,
        5 * np.ones((1, 1)),
    )  # fmt: skip


def test_segments_are_laid_on_the_edges_measured_beside_them():
    """2 px beside its middle and turning away by 0.01: the ends go to 1.5 and 2.5 px."""
    segment = np.array([[100.0, 50.0, 200.0, 50.0]])
    moved = moved_segments(segment, _edges(2.0, 0.01, 0.0, 0.9))
    assert moved[0] == pytest.approx([100, 51.5, 200, 52.5])
    # The offset is counted where the samples have their middle, here 30 px further along.
    moved = moved_segments(segment, _edges(2.0, 0.01, 30.0, 0.9))
    assert moved[0] == pytest.approx([100, 51.2, 200, 52.2])
    assert np.isnan(moved_segments(segment, _edges(2.0, 0.01, 0.0, 0.3))).all()


def test_frames_to_follow_are_a_step_of_turn_apart(topples):
    look = topples.passed["look"]
    frames = followed_frames(look)
    turns = [kept.turn_rad for kept in frames]
    assert frames[0] is look.kept[0]
    assert np.all(np.abs(np.diff(turns)) >= STEP_RAD)
    assert abs(turns[-1] - look.turn_rad) < STEP_RAD


@pytest.fixture(scope="module")
def candidates(topples) -> list[Candidate]:
    look = topples.passed["look"]
    return turning_candidates(look, followed_frames(look), True)


def _near_edge(scene) -> Floats:
    """The board's nearest lower and upper long edges in the first frame, ``(4, 2)``."""
    board = scene.board
    corners = [
        (x, -board.width_m / 2, z) for z in (0.0, board.thickness_m) for x in (0.0, board.length_m)
    ]
    return camera_of(scene).project(tilted(np.array(corners), 0.0))


def test_the_boards_own_edge_is_among_them(topples, candidates):
    near = _near_edge(topples.scene)
    off = []
    for candidate in candidates:
        ends = candidate.ends[0].reshape(2, 2)
        for one, two in (near[:2], near[2:]):
            along = (two - one) / np.linalg.norm(two - one)
            away = np.abs((ends - one) @ [-along[1], along[0]]).max()
            off.append((away, candidate.length_px))
    # The mat ends 6 mm short of the board, about a pixel lower in the picture.
    assert any(away < 2.0 and length > 100 for away, length in off)


def test_all_of_them_turned_and_none_stayed(topples, candidates):
    turn = topples.passed["look"].turn_rad
    assert candidates
    for candidate in candidates:
        first, last = (candidate.ends[k, 2:] - candidate.ends[k, :2] for k in (0, -1))
        turned = np.arctan2(first[1] * last[0] - first[0] * last[1], first @ last)
        assert ALIKE[0] * turn < turned < ALIKE[1] * turn
        assert candidate.contrast != 0
