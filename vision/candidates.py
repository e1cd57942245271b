"""Straight edges that turn with the board, found in the first look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.first_look import FirstLook, KeptFrame
from vision.lines import FAINTEST, EdgeLines, Grey, find_segments, measure_edges, measure_edges_in

Floats = NDArray[np.float64]

SHORTEST = 0.03
"""Of the longer side of the picture."""
STEP_RAD = np.radians(0.6)
FOUND_SHARE = 0.5
CONTRAST_PACE = 0.4
LEAST_CONTRAST = 1.0
SPACING_PX = 4.0
ALIKE = 0.65, 1.5
"""What share of the turn of the points an edge of the board may turn by."""
TELLING_RAD, LOOSELY_ALIKE = np.radians(2.0), (0.3, 2.5)
"""By when what has hardly turned is given up."""


@dataclass(frozen=True)
class Candidate:
    """A straight edge of the first frame that was followed as the board turned."""

    ends: Floats
    """Ends in each followed frame, shape ``(F, 4)``, NaN where it was not found."""
    contrast: float
    """Grey step per pixel, as in EdgeLines."""

    @property
    def length_px(self) -> float:
        return float(np.hypot(*(self.ends[0, 2:] - self.ends[0, :2])))

    def low_end(self, side: int) -> Floats:
        """Its end away from the lifted side in the first frame, ``(x, y)``."""
        ends = self.ends[0].reshape(2, 2)
        return ends[np.argmin(side * ends[:, 0])]

    def beside(self, point: Floats) -> Floats:
        """Where its line passes nearest to a point in the first frame."""
        ends = self.ends[0].reshape(2, 2)
        along = (ends[1] - ends[0]) / self.length_px
        return np.asarray(ends[0] + along * ((point - ends[0]) @ along))

    def begins_at(self, hinge: Floats) -> bool:
        """Whether one of its ends is near where it passes the hinge, as a board edge's is and
        a sleeve's is not."""
        ends = self.ends[0].reshape(2, 2)
        return bool(np.hypot(*(ends - self.beside(hinge)).T).min() < 0.3 * self.length_px)

    @property
    def slope_rad(self) -> float:
        """Direction in the first frame, in (−90°, 90°], positive rising to the right."""
        x, y = self.ends[0, 2:] - self.ends[0, :2]
        return float(np.arctan2(-y, x)) if x > 0 else float(np.arctan2(y, -x))


def turning_point(ends: Floats) -> Floats:
    """The point all positions of one edge pass nearest to; ``ends`` has shape ``(F, 4)``."""
    known = ends[np.isfinite(ends).all(axis=1)]
    along = known[:, 2:] - known[:, :2]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return np.linalg.lstsq(normal, np.sum(normal * known[:, :2], axis=1), rcond=None)[0]


def followed_frames(look: FirstLook) -> list[KeptFrame]:
    """Kept frames about 0.6° of turn apart, the first and the last among them."""
    chosen = [look.kept[0]]
    for kept in look.kept[1:]:
        if abs(kept.turn_rad - chosen[-1].turn_rad) >= STEP_RAD:
            chosen.append(kept)
    return chosen


def turning_candidates(
    look: FirstLook, frames: list[KeptFrame], still: bool, marked: Floats | None = None
) -> list[Candidate]:
    """Follow the segments of the first frame and keep those that turn with the board.

    ``marked``, of shape ``(M, 4)``, are segments a person drew, followed instead.

    Where the phone is held in a hand they are followed through every kept frame, for
    they jump between frames far apart; given back is where they were in ``frames``.
    """
    first = frames[0].frame.grey
    reach = max(5, round(max(first.shape) / 160))
    if marked is None:
        marked = _segments(frames[0].frame.grey)
    segments, contrast = _edges_at(first, marked, reach)
    if len(segments) == 0:
        return []
    stops = frames if still else list(look.kept)
    ends = _followed(segments, contrast, stops, reach)
    asked = [k for k, stop in enumerate(stops) if any(stop is frame for frame in frames)]
    ends = ends[asked]
    share = _turns(ends, frames) / look.turn_rad
    turning = np.flatnonzero((share > ALIKE[0]) & (share < ALIKE[1]))
    stays = _still(segments[turning], contrast[turning], frames)
    return [Candidate(ends[:, k], float(contrast[k])) for k in turning[~stays]]


def _segments(grey: NDArray[np.uint8]) -> Floats:
    """Segments of a picture; where it is large they are found in one half its size, since
    they are measured again."""
    shrink = max(1, round(max(grey.shape) / 1280))
    size = grey.shape[1] // shrink, grey.shape[0] // shrink
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA) if shrink > 1 else grey
    return (find_segments(small, SHORTEST * max(small.shape)) + 0.5) * shrink - 0.5


def _followed(segments: Floats, contrast: Floats, stops: Sequence[KeptFrame], reach: int) -> Floats:
    """Where segments of the first stop are in each, ``(F, M, 4)``; NaN where not found, and
    where one was given up for having hardly turned when what turns had."""
    ends = np.full((len(stops), len(segments), 4), np.nan)
    ends[0] = segments
    step, left = contrast.copy(), np.arange(len(segments))
    for j in range(1, len(stops)):
        grey = stops[j].frame.grey
        guess, before = (_carried(segments[left], stop) for stop in (stops[j], stops[j - 1]))
        beside = np.isfinite(ends[j - 1, left]).all(axis=1)
        guess[beside] += (ends[j - 1, left] - before)[beside]
        edges = measure_edges(grey, guess, step[left, None], reach, SPACING_PX)
        ends[j, left] = moved_segments(guess, edges)
        # A rising board darkens the table under its edge.
        seen = np.isfinite(ends[j, left]).all(axis=1)
        step[left[seen]] += CONTRAST_PACE * (edges.contrast[seen, 0] - step[left[seen]])
        if abs(stops[j].turn_rad) > TELLING_RAD:
            share = _turns(ends[: j + 1, left], stops[: j + 1]) / stops[j].turn_rad
            left = left[~((share < LOOSELY_ALIKE[0]) | (share > LOOSELY_ALIKE[1]))]
    return ends


def _edges_at(grey: Grey, segments: Floats, reach: int) -> tuple[Floats, Floats]:
    """The edges beside found segments, stepping up and stepping down, and their steps.

    A mat's edge and its board's lie so close that a segment may run between them.
    """
    ends, steps = [], []
    for sign in (1, -1):
        asked = np.full((len(segments), 1), sign * FAINTEST)
        edges = measure_edges(grey, segments, asked, reach, SPACING_PX)
        moved = moved_segments(segments, edges)
        there = np.isfinite(moved).all(axis=1) & (np.abs(edges.contrast[:, 0]) > LEAST_CONTRAST)
        ends.append(moved[there])
        steps.append(edges.contrast[there, 0])
    return np.concatenate(ends), np.concatenate(steps)


def _still(segments: Floats, contrast: Floats, frames: list[KeptFrame]) -> NDArray[np.bool_]:
    """Which segments are still seen, in most frames, where the background would have them."""
    if len(segments) == 0:
        return np.zeros(0, dtype=bool)
    later = frames[1:]
    still = [
        cv2.perspectiveTransform(segments.reshape(-1, 1, 2), kept.view.homography) for kept in later
    ]
    greys = [kept.frame.grey for kept in later]
    edges = measure_edges_in(greys, np.reshape(still, (len(later), -1, 4)), contrast[:, None], 2)
    seen = edges.share.reshape(len(later), -1) > FOUND_SHARE
    return seen.mean(axis=0) > 0.6


def _carried(segments: Floats, to: KeptFrame) -> Floats:
    """Segments of the first frame where what turns has carried them."""
    points = segments.reshape(-1, 2) @ to.turning[:, :2].T + to.turning[:, 2]
    return points.reshape(-1, 4)


def moved_segments(segments: Floats, edges: EdgeLines) -> Floats:
    """Segments laid on the edges measured beside them."""
    along = segments[:, 2:] - segments[:, :2]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along / length[:, None]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    shift = [
        edges.offset_px + edges.slope * (half * length / 2 - edges.middle_px) for half in (-1, 1)
    ]
    lost = edges.share < FOUND_SHARE
    moved = segments + np.hstack([shift[0][:, None] * normal, shift[1][:, None] * normal])
    moved[lost] = np.nan
    return moved


def _turns(ends: Floats, frames: Sequence[KeptFrame]) -> Floats:
    """Turn of each segment against the background, NaN where it was lost."""
    along = ends[..., 2:] - ends[..., :2]
    angle = np.unwrap(np.arctan2(along[..., 1], along[..., 0]), axis=0)
    return -(angle[-1] - angle[0]) + frames[-1].view.roll_rad
