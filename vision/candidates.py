"""Straight edges that turn with the board, found in the first look."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.first_look import FirstLook, KeptFrame
from vision.lines import FAINTEST, EdgeLines, find_segments, measure_edges

Floats = NDArray[np.float64]

SHORTEST = 0.03
"""Of the longer side of the picture."""
STEP_RAD = np.radians(0.6)
FOUND_SHARE = 0.5


@dataclass(frozen=True)
class Candidate:
    """A straight edge of the first frame that was followed as the board turned."""

    ends: Floats
    """Ends in each followed frame, shape ``(F, 4)``, NaN where it was not found."""
    contrast: float
    """Grey step per pixel, as in EdgeLines."""
    turn_rad: float
    """Turn of the edge from first to last, positive anticlockwise on the screen."""

    @property
    def length_px(self) -> float:
        return float(np.hypot(*(self.ends[0, 2:] - self.ends[0, :2])))

    def begins_at_hinge(self) -> bool:
        """Whether the point it turns about is near one of its ends, as a board edge's is
        and a sleeve's is not."""
        ends = self.ends[0].reshape(2, 2)
        return bool(np.hypot(*(ends - turning_point(self.ends)).T).min() < 0.3 * self.length_px)

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


def turning_candidates(look: FirstLook, frames: list[KeptFrame]) -> list[Candidate]:
    """Follow the segments of the first frame and keep those that turn with the board."""
    first = frames[0].frame.grey.astype(np.float32)
    reach = max(5, round(max(first.shape) / 160))
    segments = find_segments(frames[0].frame.grey, SHORTEST * max(first.shape))
    contrast = _contrast(first, segments)
    segments, contrast = segments[contrast != 0], contrast[contrast != 0]
    ends = np.full((len(frames), len(segments), 4), np.nan)
    ends[0] = segments
    for j in range(1, len(frames)):
        grey = frames[j].frame.grey.astype(np.float32)
        guess = _carried(ends[j - 1], frames[j - 1], frames[j])
        known = np.isfinite(guess).all(axis=1)
        edges = measure_edges(grey, guess[known], contrast[known, None], reach)
        ends[j, known] = moved_segments(guess[known], edges)
    still = _still(segments, contrast, frames)
    return [
        Candidate(ends[:, k], float(contrast[k]), turn)
        for k, turn in enumerate(_turns(ends, frames))
        if 0.65 < turn / look.turn_rad < 1.5 and not still[k]
    ]


def _contrast(grey: NDArray[np.float32], segments: Floats) -> Floats:
    """Signed contrast of each segment: the sign that more of it agrees with."""
    either = [
        measure_edges(grey, segments, np.full((len(segments), 1), sign * FAINTEST), 2)
        for sign in (1, -1)
    ]
    steps = [np.nan_to_num(edges.contrast[:, 0]) for edges in either]
    shares = [edges.share * np.abs(step) for edges, step in zip(either, steps, strict=True)]
    return np.where(shares[0] >= shares[1], steps[0], steps[1])


def _still(segments: Floats, contrast: Floats, frames: list[KeptFrame]) -> NDArray[np.bool_]:
    """Which segments are still seen, in most frames, where the background would have them."""
    seen = np.zeros(len(segments))
    for kept in frames[1:]:
        ends = cv2.perspectiveTransform(segments.reshape(-1, 1, 2), kept.view.homography)
        edges = measure_edges(
            kept.frame.grey.astype(np.float32), ends.reshape(-1, 4), contrast[:, None], 2
        )
        seen += edges.share > FOUND_SHARE
    return seen > 0.6 * (len(frames) - 1)


def _carried(ends: Floats, before: KeptFrame, after: KeptFrame) -> Floats:
    def full(similarity: Floats) -> Floats:
        return np.vstack([similarity, [0.0, 0.0, 1.0]])

    step = full(after.turning) @ np.linalg.inv(full(before.turning))
    points = ends.reshape(-1, 2) @ step[:2, :2].T + step[:2, 2]
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


def _turns(ends: Floats, frames: list[KeptFrame]) -> Floats:
    """Turn of each segment against the background, NaN where it was lost."""
    along = ends[..., 2:] - ends[..., :2]
    angle = np.unwrap(np.arctan2(along[..., 1], along[..., 0]), axis=0)
    return -(angle[-1] - angle[0]) + frames[-1].view.roll_rad
