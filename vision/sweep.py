"""Look for the edges of one family that stay put on the turning board.

With camera, hinge and tilt roughly known, the grey step across every line of a
family (say, all lines along the body's axis) is read at the same places of the
scene in several frames. What belongs to the board or the body is there in each;
what lies behind slides past, and the median over the frames forgets it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

import cv2
import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled
from vision.edges import Frames
from vision.first_look import KeptFrame
from vision.scene import Scene

Floats = NDArray[np.float64]
Picture = NDArray[np.float32]
Rows = NDArray[np.int64]

BLUR_PX = 1.5
SHADING_PX = 11
MOST_GAIN = 7.0
PARTS = 16
APART_PX = 3
SIGNIFICANT = 2.5
"""Steps of fewer noise spreads count against a line."""


@dataclass(frozen=True)
class Family:
    """Parallel lines of one plane of the scene, ``start + place * across + s * along``;
    each a function from the scene's frames to shape ``(N, 3)``."""

    start: Callable[[Frames], Floats]
    across: Callable[[Frames], Floats]
    along: Callable[[Frames], Floats]

    def points(self, at: Frames, place: float, s: float) -> Floats:
        """A point of the plane in each frame, shape ``(N, 3)``."""
        return self.start(at) + place * self.across(at) + s * self.along(at)


@dataclass(frozen=True)
class Grid:
    """Where a family is looked at."""

    places: Floats
    """Which of its lines, evenly spaced, shape ``(A,)``."""
    lengths: Floats
    """Samples along them, evenly spaced, shape ``(B,)``."""
    slants: Floats
    """Places per length by which lines may lean, the camera being known roughly, ``(S,)``."""

    @property
    def pitch(self) -> float:
        """From place to place."""
        return float(self.places[1] - self.places[0])

    @property
    def middle(self) -> float:
        """Of the lengths."""
        return float(self.lengths[0] + self.lengths[-1]) / 2

    def shifts(self, slant: Floats | float) -> Rows:
        """By how many places lines that lean have shifted at each length, ``(..., B)``."""
        return np.rint(np.multiply.outer(slant, self.lengths - self.middle) / self.pitch).astype(
            int
        )


@dataclass(frozen=True)
class FoundLine:
    """A line that stays put, in the plane that was swept."""

    low: tuple[float, float]
    """Place and length at its low end."""
    high: tuple[float, float]
    contrast: tuple[float, ...]
    """Grey step in equal parts from low to high, as in EdgeLines."""
    strength: float
    """Its length in samples, less what was not seen of it."""

    @property
    def middle(self) -> float:
        """Place of its middle."""
        return (self.low[0] + self.high[0]) / 2

    def between(self, first: float, last: float) -> FoundLine:
        """What of it lies between two shares of its length."""
        low, high = np.array(self.low), np.array(self.high)
        ends = [tuple((low + share * (high - low)).tolist()) for share in (first, last)]
        parts = len(self.contrast)
        kept = self.contrast[floor(first * parts) : ceil(last * parts)]
        return replace(self, low=ends[0], high=ends[1], contrast=kept)


def smoothed(grey: NDArray[np.uint8]) -> Picture:
    """A picture as it is swept."""
    return cv2.GaussianBlur(grey.astype(np.float32), (0, 0), BLUR_PX)


def lasting_steps(
    scene: Scene,
    own: Floats,
    frames: Sequence[KeptFrame],
    pictures: Sequence[Picture],
    family: Family,
    grid: Grid,
) -> Picture:
    """Median over the frames of the grey step per pixel across each line, shape ``(A, B)``.

    Each picture is laid flat on the family's plane, where its lines are rows.
    Samples out of the picture in any frame are NaN.
    """
    at = scene.frames(own)
    corner = family.points(at, grid.places[0], grid.lengths[0])
    along = (grid.lengths[1] - grid.lengths[0]) * family.along(at)
    across = grid.pitch * family.across(at)
    planes = scene.camera_matrix @ np.stack(np.broadcast_arrays(along, across, corner), axis=-1)
    sway = scene.sway_px(own)
    planes[:, :2] += sway[:, :, None] * planes[:, 2:]
    size = len(grid.lengths), len(grid.places)
    steps = []
    for kept, picture, plane in zip(frames, pictures, planes, strict=True):
        to_picture = kept.view.turned @ plane
        flat = cv2.warpPerspective(
            picture,
            to_picture,
            size,
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=float("nan"),
        )
        step = np.full_like(flat, np.nan)
        step[1:-1] = (flat[2:] - flat[:-2]) / (2 * _row_apart_px(to_picture, size))
        steps.append(step)
    return _median(steps)


def _row_apart_px(to_picture: Floats, size: tuple[int, int]) -> float:
    """How far apart in the picture neighbouring rows of a flat one lie, signed towards the
    normal of the way they run."""
    middle = np.array(size) / 2
    here, on, down = cv2.perspectiveTransform(middle + [[[0, 0], [1, 0], [0, 1]]], to_picture)[0]
    way = (on - here) / np.linalg.norm(on - here)
    return float(way[0] * (down - here)[1] - way[1] * (down - here)[0])


def _median(pictures: Sequence[Picture]) -> Picture:
    """Median of each pixel, NaN where one is; by a network of comparisons between whole
    pictures, many times as fast as sorting pixel by pixel."""
    ordered = list(pictures)
    middle = len(ordered) // 2
    for least in range(middle + 1):
        for k in range(len(ordered) - 1, least, -1):
            lower, upper = ordered[k - 1], ordered[k]
            ordered[k - 1], ordered[k] = np.minimum(lower, upper), np.maximum(lower, upper)
    if len(ordered) % 2:
        return ordered[middle]
    return (ordered[middle - 1] + ordered[middle]) / np.float32(2)


def found_lines(lasting: Picture, grid: Grid, most: int) -> list[FoundLine]:
    """The strongest straight runs of steps ``(A, B)``, strongest first, whichever way they
    step."""
    known = np.isfinite(lasting)
    if not known.any():
        return []
    filled = np.where(known, lasting, 0.0)
    # An edge stands out from its neighbours; the shading of a round body does not.
    edged = np.pad(filled, ((SHADING_PX // 2, SHADING_PX // 2), (0, 0)), mode="edge")
    steps = filled - _median([edged[k : k + len(filled)] for k in range(SHADING_PX)])
    noise = 1.4826 * np.median(np.abs(steps[known])) + 1e-3
    gain = np.minimum(np.abs(steps) / noise, MOST_GAIN) - SIGNIFICANT
    return _strongest(_Runs.of(gain.astype(np.float32), grid), steps, grid, most)


def best_runs(gain: Picture, shifts: NDArray[np.int64]) -> tuple[Picture, Rows, Rows]:
    """Kadane's largest sum of a run along each line of each slant.

    Parameters
    ----------
    gain : shape ``(A, B)``, of each line at each length
    shifts : shape ``(S, B)``, by how many lines those that lean have shifted at each length

    Returns
    -------
    strength : the sum, shape ``(S, A)``
    first, last : where along the line the run begins and ends, ``(S, A)``
    """
    shape = len(shifts), len(gain)
    strength, ends = np.zeros(shape, dtype=gain.dtype), np.zeros((2, *shape), dtype=np.int64)
    _run(np.ascontiguousarray(gain), shifts, strength, *ends)
    return strength, *ends


@compiled
def _run(gain: Picture, shifts: Rows, strength: Picture, first: Rows, last: Rows) -> None:
    for slant in range(len(shifts)):
        for line in range(len(gain)):
            running, best, began = 0.0, 0.0, 0
            for k in range(gain.shape[1]):
                row = line + shifts[slant, k]
                if running <= 0:
                    running, began = 0.0, k
                running += gain[row, k] if 0 <= row < len(gain) else -SIGNIFICANT
                if running > best:
                    best = running
                    first[slant, line], last[slant, line] = began, k
            strength[slant, line] = best


@dataclass(frozen=True)
class _Runs:
    """The best run of each line of each slant; arrays of shape ``(S, A)``."""

    strength: Picture
    first: Rows
    last: Rows
    low: Floats
    """Place of the first sample."""
    high: Floats
    begins: Floats
    """Length of the first sample."""
    ends: Floats

    @classmethod
    def of(cls, gain: Picture, grid: Grid) -> _Runs:
        strength, first, last = best_runs(gain, grid.shifts(grid.slants))
        begins, ends = grid.lengths[first], grid.lengths[last]
        low, high = (
            grid.places + grid.slants[:, None] * (end - grid.middle) for end in (begins, ends)
        )
        strength = np.where(last > first, strength, 0.0)
        return cls(strength, first, last, low, high, begins, ends)

    def clashing(self, with_run: tuple[int, int], apart: float) -> NDArray[np.bool_]:
        """Which runs are another reading of one: side by side and nearer than ``apart``."""
        begins, ends = self.begins[with_run], self.ends[with_run]
        from_, to = np.maximum(self.begins, begins), np.minimum(self.ends, ends)
        at = (from_ + to) / 2

        def place(low: Floats, high: Floats, begins: Floats, ends: Floats) -> Floats:
            return low + (high - low) * (at - begins) / np.maximum(ends - begins, 1e-12)

        here = place(self.low, self.high, self.begins, self.ends)
        there = place(self.low[with_run], self.high[with_run], begins, ends)
        beside = to - from_ > 0.2 * (self.ends - self.begins)
        return beside & (np.abs(here - there) < apart)


def _strongest(runs: _Runs, steps: Picture, grid: Grid, most: int) -> list[FoundLine]:
    """Local maxima over place and slant, those overlapped by stronger ones left out."""
    strength = runs.strength.copy()
    found: list[FoundLine] = []
    while len(found) < most:
        which, row = divmod(int(np.argmax(strength)), strength.shape[1])
        at = which, row
        if strength[at] <= 0:
            break
        slant = float((runs.high[at] - runs.low[at]) / (runs.ends[at] - runs.begins[at]))
        rows = np.clip(row + grid.shifts(slant), 0, len(steps) - 1)
        run = steps[rows, np.arange(len(rows))][runs.first[at] : runs.last[at] + 1]
        low = float(runs.low[at]), float(runs.begins[at])
        high = float(runs.high[at]), float(runs.ends[at])
        found.append(FoundLine(low, high, _in_parts(run), float(strength[at])))
        strength[runs.clashing(at, APART_PX * grid.pitch)] = 0.0
        strength[at] = 0.0
    return found


def _in_parts(run: Picture) -> tuple[float, ...]:
    """Median of each of 16 equal parts of a run, fewer where it is short."""
    parts = min(PARTS, len(run))
    each = -(-len(run) // parts)
    first = np.arange(parts) * (len(run) - each) // max(parts - 1, 1)
    return tuple(np.median(run[first[:, None] + np.arange(each)], axis=1).tolist())
