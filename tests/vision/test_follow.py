"""The scene followed through the drawn clips, and when the body counts as gone."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from tests.vision.followed import STILL
from tests.vision.geometry import drawn_scene, scene_of
from vision.follow import FALLEN_RAD, GONE_S, FollowedFrame, Follower
from vision.scene import LEAN, TILT


def _true(clip) -> tuple[list[FollowedFrame], np.ndarray]:
    followed = clip.passed["follower"].followed
    return followed, clip.trace[[frame.index for frame in followed]]


def test_the_tilt_is_followed(topples, slides, stays):
    for clip in (topples, slides, stays):
        followed, true = _true(clip)
        tilt = np.degrees([frame.own[TILT] for frame in followed])
        assert tilt == pytest.approx(true[:, 2], abs=0.6)
        assert [frame.time_s for frame in followed] == pytest.approx(true[:, 1], abs=1e-4)


def test_the_body_is_followed_into_its_fall(topples):
    followed, true = _true(topples)
    lean = np.degrees([frame.own[LEAN] for frame in followed])
    leaning = (true[:, 3] > 1) & (true[:, 3] < 8)
    assert leaning.sum() >= 2
    assert lean[leaning] == pytest.approx(true[leaning, 3], abs=1.0)
    assert np.degrees(FALLEN_RAD) < true[-1, 3] + 8
    assert topples.passed["follower"].body_gone


def test_a_body_that_stays_is_seen_to_the_end(stays):
    followed, _ = _true(stays)
    assert followed[-1].index == len(stays.trace) - 1
    assert not stays.passed["follower"].body_gone
    assert np.mean([frame.body_seen for frame in followed]) > 0.95
    lean = np.degrees([frame.own[LEAN] for frame in followed])
    assert np.abs(lean).max() < 1.0


def test_edges_are_measured_to_a_fraction_of_a_pixel(topples):
    followed, _ = _true(topples)
    u_px = np.array([frame.u_px for frame in followed])
    assert np.nanmedian(u_px) < 0.15
    assert np.mean(np.isfinite([frame.points for frame in followed])) > 0.8


@pytest.fixture
def follower() -> Follower:
    lines = tuple(replace(line, contrast=(5.0, 5.0)) for line in scene_of(drawn_scene()).lines)
    return Follower(replace(scene_of(drawn_scene()), lines=lines), 0.0, 0.0)


def _frames(times_s, leans_deg, seen) -> list[FollowedFrame]:
    frames = []
    for k, (time_s, lean, body) in enumerate(zip(times_s, leans_deg, seen, strict=True)):
        own = np.array([0.3, radians(lean), 0.0, 0.0, 0.0])
        frames.append(FollowedFrame(k, time_s, STILL, np.zeros((6, 2, 2)), np.ones(6), own, body))
    return frames


@pytest.mark.parametrize(
    ("leans_deg", "seen", "gone"),
    [
        ([0, 0, 0, 0], [True] * 4, False),
        ([0, 2, 6, 13], [True] * 4, True),
        ([0, 1, 2, 2], [True, True, True, False], False),
        ([0, 0, 0, 0], [True, False, False, False], False),
        ([0, 0, 0, 0], [False] * 4, False),
    ],
    ids=["stands", "has fallen", "just lost as it leans", "hidden as it stands", "never seen"],
)
def test_when_the_body_has_gone(follower, leans_deg, seen, gone):
    follower.followed = _frames(np.arange(4) / 30, leans_deg, seen)
    assert follower.body_gone is gone


def test_a_body_that_leaned_and_has_been_out_of_sight_since_has_gone(follower):
    times = [0.0, 0.1, 0.1 + 0.8 * GONE_S, 0.1 + 1.2 * GONE_S]
    follower.followed = _frames(times, [1, 2, 2, 2], [True, True, False, False])
    assert follower.body_gone
    follower.followed.pop()
    assert not follower.body_gone


def test_a_calm_lift_is_fitted_again_as_it_goes(topples):
    """The scene at the end is not the one that was found in the first degrees."""
    found = topples.passed["finding"].fit.scene.shared
    last = topples.passed["follower"].scene.shared
    assert len(found) == len(last) and not np.array_equal(found, last)
