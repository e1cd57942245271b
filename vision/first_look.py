"""The first seconds of a clip: what is still, what turns, and about what.

Points are followed from frame to frame until something has turned far enough
against the still background to be the board. The frames seen on the way are
kept, thinned by how much moved, so that edges can be followed through them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from math import radians

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.clip import Frame
from vision.steady import Steadier, View

Floats = NDArray[np.float64]
Grey = NDArray[np.uint8]

ENOUGH_TURN_RAD = radians(6.5)
LOOKS_PER_S = 16
MOST_KEPT = 60
LEAST_MOVED_PX, MOVING_SHARE = 1.0, 0.05
"""How far points must have moved, and how many of them, for a frame to show something new."""
LEAST_TURNING = 8
SURE_AFTER, SEEN_EVERY = 8, 4
"""A phone that has lain still in this many frames is looked after in one of so many."""
GROUPS = 5
NOISE_TIMES = 8.0
MOST_STEP_RAD = radians(2.5)
LONGEST_SIDE_PX = 1920
POINT_SIDE_PX = 720


@dataclass(frozen=True)
class WorkingFrame:
    """A frame as it is measured: grey, at most 1920 pixels long."""

    index: int
    time_s: float
    grey: Grey


class Shade(Enum):
    """What of the colours is looked at: a body may be as light as its background and yet
    differ from it in red or in blue."""

    LIGHT = "lightness"
    RED = "red"
    BLUE = "blue"


def working_frame(frame: Frame, shade: Shade = Shade.LIGHT) -> WorkingFrame:
    """Grey, and halved as often as needed to be at most 1920 pixels long."""
    frame = frame.within(LONGEST_SIDE_PX)
    if shade is Shade.LIGHT:
        grey = frame.light
    else:
        grey = cv2.extractChannel(frame.bgr, 2 if shade is Shade.RED else 0)
    return WorkingFrame(frame.index, frame.time_s, grey)


@dataclass(frozen=True)
class KeptFrame:
    """A frame of the first look, with where the phone looked."""

    frame: WorkingFrame
    view: View
    turning: Floats
    """Similarity, shape ``(2, 3)``, of what turns: first frame to this one."""
    turn_rad: float
    """Turn against the background, positive anticlockwise on the screen."""


@dataclass(frozen=True)
class FirstLook:
    """What the first look saw; pixels are those of the working picture."""

    kept: tuple[KeptFrame, ...]
    turning_points: Floats
    """Where the turning points were in the first frame, shape ``(N, 2)``."""
    steadier: Steadier

    @property
    def turn_rad(self) -> float:
        """Turn at the last kept frame, signed as in KeptFrame."""
        return self.kept[-1].turn_rad

    def phone_is_still(self) -> bool:
        """Whether the phone lay still: nine in ten views say so."""
        return float(np.mean([kept.view.is_still() for kept in self.kept])) > 0.9


def look_first(frames: Iterator[WorkingFrame]) -> FirstLook:
    """Follow points until some have turned by 6.5°, or the frames end."""
    first = next(frames)
    points = _Points(first.grey)
    steadier = Steadier(first.grey)
    seen = [_Seen(first, steadier.first_view, points.now)]
    due_s, least_moved = first.time_s + 1 / LOOKS_PER_S, LEAST_MOVED_PX
    turning, lies = np.zeros(len(points.now), dtype=bool), True
    for frame in frames:
        if frame.time_s < due_s:
            continue
        due_s = frame.time_s + 0.99 / LOOKS_PER_S
        points.follow(frame.grey)
        moved = np.hypot(*(points.now - seen[-1].points)[points.alive].T)
        if np.count_nonzero(moved > least_moved) <= MOVING_SHARE * len(moved):
            continue
        view = steadier.first_view
        if len(seen) < SURE_AFTER or len(seen) % SEEN_EVERY == 0 or not lies:
            view = steadier.align(frame.grey, roughly=lies)
            if lies and not view.is_still():
                lies, view = False, steadier.align(frame.grey)
        seen.append(_Seen(frame, view, points.now))
        turning, turn = points.turning(view)
        if abs(turn) >= ENOUGH_TURN_RAD:
            break
        if len(seen) > MOST_KEPT:
            seen, least_moved = seen[::2], 2 * least_moved
    return FirstLook(
        kept=tuple(_kept(s, seen[0].points, turning) for s in seen),
        turning_points=seen[0].points[turning],
        steadier=steadier,
    )


@dataclass(frozen=True)
class _Seen:
    frame: WorkingFrame
    view: View
    points: Floats


def _kept(seen: _Seen, starts: Floats, turning: NDArray[np.bool_]) -> KeptFrame:
    similarity, turn = seen.view.turned[:2], 0.0
    if turning.sum() >= LEAST_TURNING:
        similarity, _ = cv2.estimateAffinePartial2D(
            starts[turning], seen.points[turning], ransacReprojThreshold=4.0
        )
        turn = _turn(similarity, seen.view)
    return KeptFrame(seen.frame, seen.view, similarity, turn)


def _turn(similarity: Floats, view: View) -> float:
    turn = np.arctan2(similarity[1, 0], similarity[0, 0]) - view.roll_rad
    return -float(turn)


class _Points:
    """Corner points followed through a halved picture, in working pixels."""

    def __init__(self, grey: Grey) -> None:
        self.shrink = max(1, round(max(grey.shape) / POINT_SIDE_PX))
        self._grey = self._smaller(grey)
        found = _corners(self._grey)
        self._now = found
        self._starts_full = self._full(found)
        self.alive = np.ones(len(found), dtype=bool)
        self._group = np.empty(0, dtype=np.int64)
        self._turn = 0.0

    def _smaller(self, grey: Grey) -> Grey:
        if self.shrink == 1:
            return grey
        size = (grey.shape[1] // self.shrink, grey.shape[0] // self.shrink)
        return cv2.resize(grey, size, interpolation=cv2.INTER_AREA)

    @property
    def now(self) -> Floats:
        return self._full(self._now)

    def _full(self, points: NDArray[np.float32]) -> Floats:
        return (points.astype(np.float64) + 0.5) * self.shrink - 0.5

    def follow(self, grey: Grey) -> None:
        small = self._smaller(grey)
        if len(self._now) == 0:
            return
        moved, found, _ = cv2.calcOpticalFlowPyrLK(
            self._grey,
            small,
            np.ascontiguousarray(self._now[:, None, :]),
            None,
            winSize=(15, 15),
            maxLevel=3,
        )
        self._now, self._grey = moved.reshape(-1, 2), small
        self.alive = self.alive & (found.ravel() > 0)

    def turning(self, view: View) -> tuple[NDArray[np.bool_], float]:
        """Which points turn together against the background, and by how much.

        Weakly textured background drifts too, in larger numbers but hardly
        turning: of a few disjoint groups that move alike, the one with the most
        turn in all its points together is taken. The last such group is tried first.
        """
        background = cv2.perspectiveTransform(self._starts_full[:, None, :], view.homography)[:, 0]
        left = self.alive & (np.hypot(*(self.now - background).T) > 1.5 * self.shrink)
        last = self._group[left[self._group]]
        best, best_turn = np.empty(0, dtype=np.int64), 0.0
        for attempt in range(GROUPS):
            group, turn = self._group_among(last if attempt == 0 else np.flatnonzero(left), view)
            left[group] = False
            if len(group) * abs(turn) > len(best) * abs(best_turn):
                best, best_turn = group, turn
        if len(best):
            self._group, self._turn = best, best_turn
        turning = np.zeros_like(left)
        turning[best] = True
        return turning, best_turn

    def _group_among(
        self, members: NDArray[np.int64], view: View
    ) -> tuple[NDArray[np.int64], float]:
        """The largest group that moves alike, and its turn: 0 if it is no board or body.

        Points that a passing arm sweeps along stand in a row, swell or jump.
        """
        if len(members) < LEAST_TURNING:
            return members[:0], 0.0
        starts = self._starts_full[members]
        similarity, agree = cv2.estimateAffinePartial2D(
            starts, self.now[members], ransacReprojThreshold=1.5 * self.shrink
        )
        if similarity is None or agree.sum() < LEAST_TURNING:
            return members[:0], 0.0
        agree = agree.ravel() > 0
        spread = np.linalg.svd(starts[agree] - starts[agree].mean(axis=0), compute_uv=False)
        swelling = abs(float(np.hypot(*similarity[:, 0])) - 1.0)
        turn = _turn(similarity, view)
        as_a_body = spread[1] > 0.12 * spread[0] and swelling < 0.1
        steady = abs(turn - self._turn) < MOST_STEP_RAD
        return members[agree], turn if as_a_body and steady else 0.0


def _corners(grey: Grey) -> NDArray[np.float32]:
    """Corners that stand out of the noise, at most 600, shape ``(N, 2)``."""
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.0)
    strength = cv2.cornerMinEigenVal(smooth, 5)
    if strength.max() <= 0:
        return np.empty((0, 2), np.float32)
    quality = max(0.003, NOISE_TIMES * float(np.median(strength) / strength.max()))
    apart = max(grey.shape) / 90
    found = cv2.goodFeaturesToTrack(smooth, 600, min(quality, 0.2), apart, blockSize=5)
    return np.empty((0, 2), np.float32) if found is None else found.reshape(-1, 2)
