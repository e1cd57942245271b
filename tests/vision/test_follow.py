"""The scene followed through the drawn clips, and when the body counts as gone."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from tests.vision.followed import STATED_U_PX, STILL, ByGeometry, unseen_frames
from tests.vision.geometry import drawn_scene, own_of, scene_of, seen_edges
from vision.follow import FALLEN_RAD, GONE_S, STRIDE_S, FollowedFrame, Follower
from vision.scene import LEAN, SLIP, TILT


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


RATE_HZ, FIRST = 60.0, 20
SMOOTH, SUDDEN = 7.0, 15.0
"""Degrees per second."""


def _lifted(rate_deg_s: float, most_deg: float, count: int = 240, leans_deg: float = 0.0):
    """A board raised evenly that stops at once, its body then leaning at 3° per second."""
    times = np.arange(count) / RATE_HZ
    motion = np.zeros((count, 3))
    motion[:, 0] = np.radians(np.minimum(rate_deg_s * times, most_deg))
    late = times - most_deg / rate_deg_s
    motion[:, 1] = np.radians(np.clip(3.0 * late, 0.0, leans_deg))
    return times, motion


def _followed_by_geometry(times, motion, every_frame: bool = False, kind=ByGeometry) -> ByGeometry:
    drawn = drawn_scene(yaw_deg=6, pitch_deg=8)
    points = seen_edges(drawn, motion)
    points += np.random.default_rng(9).normal(0, STATED_U_PX, points.shape)
    u_px = np.full(points.shape[:2], STATED_U_PX)
    follower = kind(scene_of(drawn), points, u_px, 0.0)
    if every_frame:
        follower._may_stride = lambda: False
    frames = unseen_frames(times)
    follower.measure(frames[:FIRST], own_of(drawn, motion[:FIRST]))
    for frame in frames[FIRST:]:
        follower.follow(frame)
    follower.finish()
    return follower


def _own(follower: Follower) -> np.ndarray:
    return np.array([frame.own for frame in follower.followed])


@pytest.mark.parametrize("count", [60, 237, 240])
def test_strides_give_every_frame_once_and_in_order(count):
    times, motion = _lifted(SMOOTH, 40.0, count)
    followed = _followed_by_geometry(times, motion).followed
    assert [frame.index for frame in followed] == list(range(count))
    assert [frame.time_s for frame in followed] == times.tolist()
    assert all(frame.body_seen for frame in followed)


def test_strides_find_what_following_each_frame_finds():
    """The edges of a frame are the same; a guess pulls lean and slip a little towards it."""
    times, motion = _lifted(SMOOTH, 40.0)
    striding = _followed_by_geometry(times, motion)
    each = _followed_by_geometry(times, motion, every_frame=True)
    apart = _own(striding) - _own(each)
    for column in (TILT, LEAN):
        assert np.degrees(np.abs(apart[:, column])).max() < 0.02
        off = np.degrees(_own(striding)[:, column] - motion[:, column])
        assert np.sqrt(np.mean(off**2)) < 0.03
    assert np.abs(apart[:, SLIP]).max() < 1e-4
    assert np.array_equal(
        [frame.points for frame in striding.followed], [frame.points for frame in each.followed]
    )


def test_strides_look_at_few_frames_one_by_one():
    times, motion = _lifted(SMOOTH, 40.0)
    striding = _followed_by_geometry(times, motion).looks
    assert striding.count(1) < 1.5 * len(times) / (STRIDE_S * RATE_HZ)
    assert _followed_by_geometry(times, motion, every_frame=True).looks.count(1) >= 240 - FIRST


@pytest.mark.parametrize("stops_deg", [8.0, 14.3, 20.9])
def test_a_board_that_stops_at_once_is_still_followed(stops_deg):
    """Foretold half a stride too far, its edges lie out of reach; each frame's do not."""
    times, motion = _lifted(SUDDEN, stops_deg)
    followed = _followed_by_geometry(times, motion)
    assert [frame.index for frame in followed.followed] == list(range(len(times)))
    assert np.degrees(_own(followed)[:, TILT]) == pytest.approx(np.degrees(motion[:, 0]), abs=0.1)
    assert np.mean([np.isfinite(frame.points).all() for frame in followed.followed]) > 0.99


def test_a_body_that_begins_to_lean_is_no_longer_strode_past():
    times, motion = _lifted(SMOOTH, 14.0, leans_deg=4.0)
    follower = _followed_by_geometry(times, motion)
    lean = np.degrees(_own(follower)[:, LEAN])
    assert lean == pytest.approx(np.degrees(motion[:, 1]), abs=0.2)
    leaning = int(np.sum(np.degrees(motion[:, 1]) > 0.5))
    assert follower.looks[-leaning:] == [1] * leaning


class _Astray(ByGeometry):
    """From a frame on, edges are taken for the board's that lie 1.5° higher than it."""

    FROM = 150

    def _measured(self, frames, own, reach):
        points, u_px, contrast = super()._measured(frames, own, reach)
        higher = np.zeros((len(frames), 5))
        higher[:, TILT] = TRUE_RAD[[f.frame.index for f in frames]] + radians(1.5)
        astray = np.array([f.frame.index >= self.FROM for f in frames])
        ends = self.scene.segments(higher).reshape(*points.shape)
        board = np.array([line.of_board for line in self.scene.lines])
        points = np.where((astray[:, None] & board)[..., None, None], ends, points)
        return points, u_px, contrast


TRUE_RAD = _lifted(SMOOTH, 40.0)[1][:, 0]


def test_a_board_whose_edges_leap_is_held_by_its_body():
    times, motion = _lifted(SMOOTH, 40.0)
    follower = _followed_by_geometry(times, motion, kind=_Astray)
    tilt = np.degrees(_own(follower)[:, TILT])
    assert tilt == pytest.approx(np.degrees(motion[:, 0]), abs=0.3)
    assert all(frame.body_seen for frame in follower.followed)
    later = follower.followed[_Astray.FROM :]
    assert np.isnan([frame.points[0] for frame in later]).all()
