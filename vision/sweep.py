"""Look for the edges of one family that stay put on the turning board.

With camera, hinge and tilt roughly known, the grey step across every line of a
family (say, all lines along the body's axis) is read at the same places of the
scene in several frames. What belongs to the board or the body is there in each;
what lies behind slides past, and the median over the frames forgets it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from vision.first_look import KeptFrame
from vision.scene import Frames, Scene

Floats = NDArray[np.float64]

BLUR_PX = 1.3
SHADING_PX = 11
MOST_GAIN = 7.0
PARTS = 16
APART_PX = 3
SIGNIFICANT = 2.5
"""Steps of fewer noise spreads count against a line."""


@dataclass(frozen=True)
class Family:
    """Lines of one direction in the scene: ``origin(at, place) + s * direction(at)``."""

    origin: Callable[[Frames, Floats], Floats]
    """From frames and places ``(A,)`` to points ``(N, A, 3)``."""
    direction: Callable[[Frames], Floats]
    """Shape ``(N, 3)``."""


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


def grey_steps(grey: NDArray[np.uint8]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Grey step per pixel along x and along y."""
    smooth = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), BLUR_PX)
    return (
        cv2.Sobel(smooth, cv2.CV_32F, 1, 0, ksize=3, scale=1 / 8),
        cv2.Sobel(smooth, cv2.CV_32F, 0, 1, ksize=3, scale=1 / 8),
    )


def lasting_steps(
    scene: Scene,
    own: Floats,
    frames: Sequence[KeptFrame],
    steps: Sequence[tuple[NDArray[np.float32], NDArray[np.float32]]],
    family: Family,
    places: Floats,
    lengths: Floats,
) -> Floats:
    """Median over the frames of the step across each line, shape ``(A, B)``.

    ``places`` ``(A,)`` picks the lines of the family, ``lengths`` ``(B,)`` the
    samples along them. Samples out of the picture in most frames are NaN.
    """
    at = scene.frames(own)
    origins, directions = family.origin(at, places), family.direction(at)
    read = np.empty((len(frames), len(places), len(lengths)), dtype=np.float32)
    for j, (kept, (along_x, along_y)) in enumerate(zip(frames, steps, strict=True)):
        points = origins[j][:, None] + lengths[None, :, None] * directions[j]
        seen = kept.view.seen(scene.project(points))
        way = seen[:, -1] - seen[:, 0]
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        x, y = seen[..., 0].astype(np.float32), seen[..., 1].astype(np.float32)
        border = {"borderMode": cv2.BORDER_CONSTANT, "borderValue": np.nan}
        gx, gy = (cv2.remap(g, x, y, cv2.INTER_LINEAR, **border) for g in (along_x, along_y))
        read[j] = gy * way[:, :1] - gx * way[:, 1:]
    with np.errstate(invalid="ignore"):
        return np.median(read, axis=0).astype(np.float64)


def found_lines(
    lasting: Floats, places: Floats, lengths: Floats, slants: Floats, most: int
) -> list[FoundLine]:
    """The strongest straight runs of steps, strongest first, whichever way they step.

    Parameters
    ----------
    lasting : shape ``(A, B)``
    slants : shape ``(S,)``
        Places per length by which lines may lean, the camera being known roughly.
    """
    known = np.isfinite(lasting)
    filled = np.where(known, lasting, 0.0)
    # An edge stands out from its neighbours; the shading of a round body does not.
    steps = filled - median_filter(filled, size=(SHADING_PX, 1), mode="nearest")
    noise = 1.4826 * np.median(np.abs(steps[known])) + 1e-3
    gain = np.minimum(np.abs(steps) / noise, MOST_GAIN) - SIGNIFICANT
    runs = _Runs.of(gain, places, lengths, slants)
    return _strongest(runs, steps, places, lengths, most)


def _sheared_rows(
    slant: float, places: Floats, lengths: Floats, middle: float
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Row of each sample of lines that lean by ``slant``, and whether it exists."""
    shift = np.rint(slant * (lengths - middle) / (places[1] - places[0])).astype(int)
    row = np.arange(len(places))[:, None] + shift
    return np.clip(row, 0, len(places) - 1), (row >= 0) & (row < len(places))


def _best_runs(gain: Floats) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
    """Kadane's largest sum of a run in each row: sum, first and last column."""
    rows = len(gain)
    best, first, last = np.zeros(rows), np.zeros(rows, int), np.zeros(rows, int)
    running, began = np.zeros(rows), np.zeros(rows, int)
    for k, column in enumerate(np.ascontiguousarray(gain.T)):
        fresh = running <= 0
        began[fresh] = k
        running = np.where(fresh, 0.0, running) + column
        better = np.flatnonzero(running > best)
        best[better], first[better], last[better] = running[better], began[better], k
    return best, first, last


@dataclass(frozen=True)
class _Runs:
    """The best run of each line of each slant; arrays of shape ``(S, A)``."""

    strength: Floats
    first: NDArray[np.int64]
    last: NDArray[np.int64]
    low: Floats
    """Place of the first sample."""
    high: Floats
    begins: Floats
    """Length of the first sample."""
    ends: Floats

    @classmethod
    def of(cls, gain: Floats, places: Floats, lengths: Floats, slants: Floats) -> _Runs:
        middle = (lengths[0] + lengths[-1]) / 2
        column = np.arange(len(lengths))
        sheared = np.empty((len(slants), *gain.shape))
        for each, slant in zip(sheared, slants, strict=True):
            row, inside = _sheared_rows(slant, places, lengths, middle)
            each[:] = np.where(inside, gain[row, column], -SIGNIFICANT)
        best, first, last = _best_runs(sheared.reshape(-1, len(lengths)))
        shape = len(slants), len(places)
        strength, first, last = best.reshape(shape), first.reshape(shape), last.reshape(shape)
        begins, ends = lengths[first], lengths[last]
        low, high = (places + slants[:, None] * (end - middle) for end in (begins, ends))
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


def _strongest(
    runs: _Runs, steps: Floats, places: Floats, lengths: Floats, most: int
) -> list[FoundLine]:
    """Local maxima over place and slant, those overlapped by stronger ones left out."""
    strength = runs.strength.copy()
    found: list[FoundLine] = []
    middle, pitch = (lengths[0] + lengths[-1]) / 2, places[1] - places[0]
    while len(found) < most:
        which, row = divmod(int(np.argmax(strength)), strength.shape[1])
        at = which, row
        if strength[at] <= 0:
            break
        slant = float((runs.high[at] - runs.low[at]) / (runs.ends[at] - runs.begins[at]))
        rows, _ = _sheared_rows(slant, places, lengths, middle)
        run = steps[rows[row], np.arange(len(lengths))][runs.first[at] : runs.last[at] + 1]
        low = float(runs.low[at]), float(runs.begins[at])
        high = float(runs.high[at]), float(runs.ends[at])
        found.append(FoundLine(low, high, _in_parts(run), float(strength[at])))
        strength[runs.clashing(at, APART_PX * pitch)] = 0.0
        strength[at] = 0.0
    return found


def _in_parts(run: Floats) -> tuple[float, ...]:
    """Median of each of 16 equal parts of a run, fewer where it is short."""
    return tuple(float(np.median(part)) for part in np.array_split(run, min(PARTS, len(run))))
