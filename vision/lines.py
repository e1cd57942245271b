"""Straight edges, to a small fraction of a pixel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled
from vision.straight import robust_lines

Floats = NDArray[np.float64]
Grey = NDArray[Any]
"""Shape ``(height, width)``, of bytes or floats."""

BLUR_PX = 1.0
"""Width of the derivative of Gaussian that finds an edge in a profile."""
RUN = 3.0
"""How many neighbouring samples share their noise, by blur and compression."""
FLOOR_PX = 0.03
"""What no edge is better known than."""
FAINTEST = 0.5
"""Grey step per pixel that is still told from none."""
SPACING_PX = 2.0
"""Between samples along an edge."""
SAMPLES = 6, 160
"""Fewest and most along one edge."""
PAD = 3
"""How far beyond a place the derivative of Gaussian reaches."""
_KERNEL_AT = np.arange(-PAD, PAD + 1)
_KERNEL = _KERNEL_AT * np.exp(-(_KERNEL_AT**2) / (2 * BLUR_PX**2))
_KERNEL = _KERNEL / np.sum(_KERNEL_AT * _KERNEL)


@dataclass(frozen=True)
class EdgeLines:
    """Straight edges measured beside where they were looked for.

    Arrays have shape ``(L,)`` unless they say so. A measured edge is ``offset_px + slope * s``
    beside the looked-for segment, on the side of its normal (the direction of
    the segment turned from x towards y), ``s`` running in pixels along it from
    ``middle_px``, itself counted from the segment's middle. Edges that were not
    found are NaN.
    """

    offset_px: Floats
    slope: Floats
    middle_px: Floats
    """Where along the segment the samples on the edge have their mean."""
    spread_px: Floats
    """Root mean square distance of the samples from the edge, across it."""
    reach_px: Floats
    """Root mean square distance of the samples from the middle, along it."""
    samples: Floats
    """How many samples the edge rests on."""
    share: Floats
    """Share of the samples asked for that lie on the edge."""
    contrast: Floats
    """Median grey step per pixel along the normal, signed, in B equal parts along the
    segment, shape ``(L, B)``; NaN in parts without samples on the edge."""

    def points(self, segments: Floats) -> tuple[Floats, Floats]:
        """Two points of each measured edge that carry all it tells.

        They lie a root mean square reach either side of the middle, where the
        errors of a straight fit are independent and equal.

        Returns
        -------
        points : shape ``(L, 2, 2)``
        u_px : shape ``(L,)``
            Standard uncertainty of either point across the edge.
        """
        start, end = segments[:, None, :2], segments[:, None, 2:]
        along = (end - start) / np.hypot(*(end - start).T).T[..., None]
        normal = along[..., ::-1] * [-1.0, 1.0]
        s = np.multiply.outer(self.reach_px, [-1.0, 1.0])
        across = self.offset_px[:, None] + self.slope[:, None] * s
        middle = (start + end) / 2
        points = (
            middle + (self.middle_px[:, None] + s)[..., None] * along + across[..., None] * normal
        )
        with np.errstate(invalid="ignore", divide="ignore"):
            u_px = np.hypot(self.spread_px * np.sqrt(2 * RUN / self.samples), FLOOR_PX)
        return points, u_px


def find_segments(grey: NDArray[np.uint8], shortest_px: float) -> Floats:
    """Straight segments of a picture, shape ``(N, 4)``: x1, y1, x2, y2.

    The detector of Grompone von Gioi et al., LSD, Image Processing On Line 2
    (2012) 35, as OpenCV has it.
    """
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(grey)[0]
    if found is None:
        return np.empty((0, 4))
    segments = found.reshape(-1, 4).astype(np.float64)
    lengths = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    return segments[lengths >= shortest_px]


def measure_edges(
    grey: Grey,
    segments: Floats,
    contrast: Floats,
    reach_px: int,
    spacing_px: float = SPACING_PX,
) -> EdgeLines:
    """Measure straight edges near looked-for segments.

    Parameters
    ----------
    grey : shape ``(height, width)``
    segments : shape ``(L, 4)``
        x1, y1, x2, y2 where each edge is looked for.
    contrast : shape ``(L, B)``
        The grey step each edge is known to have in B equal parts along it, for a
        printed body or a changing background turns it round on the way. Its sign
        and a third of its size are asked of every sample; parts with less than
        ``FAINTEST`` are passed over.
    reach_px : int
        How far across the segment to look.
    """
    return _measured([grey], segments[None], contrast, reach_px, spacing_px)


def measure_edges_in(
    greys: Sequence[Grey], segments: Floats, contrast: Floats, reach_px: int
) -> EdgeLines:
    """The same in several pictures at once, ``segments`` of shape ``(N, L, 4)``.

    The arrays given back begin with N times L, picture by picture.
    """
    return _measured(greys, segments, contrast, reach_px, SPACING_PX)


def _measured(
    greys: Sequence[Grey],
    segments: Floats,
    contrast: Floats,
    reach_px: int,
    spacing_px: float,
) -> EdgeLines:
    """All edges of all pictures in one table, a row each."""
    each = segments.shape[1]
    segments, expected = segments.reshape(-1, 4), np.tile(contrast, (len(greys), 1))
    table = len(segments), SAMPLES[1]
    s, across, steps = (np.full(table, np.nan) for _ in range(3))
    part, asked = np.zeros(table, dtype=np.int64), np.zeros(len(segments), dtype=np.int64)
    for k, grey in enumerate(greys):
        rows = slice(k * each, (k + 1) * each)
        looked = np.ascontiguousarray(segments[rows]), expected[rows]
        into = s[rows], across[rows], steps[rows], part[rows], asked[rows]
        _sample(np.ascontiguousarray(grey), *looked, reach_px, spacing_px, *into)
    fit = robust_lines(s, across)
    seen = np.full(expected.shape, np.nan)
    _medians_of_parts(fit.on, part, steps, seen)
    return EdgeLines(
        offset_px=fit.offset,
        slope=fit.slope,
        middle_px=fit.middle,
        spread_px=fit.spread,
        reach_px=fit.reach,
        samples=fit.samples,
        share=np.where(np.isfinite(fit.offset), fit.samples / np.maximum(asked, 1), 0.0),
        contrast=seen,
    )


@compiled
def _sample(
    grey: Grey,
    segments: Floats,
    expected: Floats,
    reach: int,
    spacing: float,
    s: Floats,
    across: Floats,
    steps: Floats,
    part: NDArray[np.int64],
    asked: NDArray[np.int64],
) -> None:
    """Fill in where along each segment ``(L, 4)`` its samples are, how far beside it the edge
    is, its step and which part of the segment that is, ``(L, K)``, and how many samples were
    ``asked`` for, ``(L,)``."""
    gradient, favour, parts = np.empty(2 * reach + 1), np.empty(2 * reach + 1), expected.shape[1]
    for j in range(len(favour)):
        favour[j] = np.exp(-0.5 * ((j - reach) / (0.6 * reach + 1e-9)) ** 2)
    for k in range(len(segments)):
        x, y = segments[k, 0], segments[k, 1]
        along_x, along_y = segments[k, 2] - x, segments[k, 3] - y
        length = np.hypot(along_x, along_y)
        if not length > 0:
            continue
        normal_x, normal_y = -along_y / length, along_x / length
        count = min(max(int(length / spacing), SAMPLES[0]), SAMPLES[1])
        for j in range(count):
            share = (j + 0.5) / count
            s[k, j] = (share - 0.5) * length
            part[k, j] = min(int(share * parts), parts - 1)
            step = expected[k, part[k, j]]
            if not abs(step) >= FAINTEST:
                continue
            asked[k] += 1
            at_x, at_y = x + share * along_x, y + share * along_y
            if not gradient_across(grey, at_x, at_y, normal_x, normal_y, gradient):
                continue
            sign = 1.0 if step > 0 else -1.0
            place, peak = _peak(gradient, favour, sign)
            if peak >= abs(step) / 3:
                across[k, j], steps[k, j] = place, sign * peak


@compiled
def gradient_across(
    grey: Grey, x: float, y: float, normal_x: float, normal_y: float, gradient: Floats
) -> bool:
    """Fill in the grey step per pixel along the normal at places a pixel apart, ``(2R + 1,)``,
    the pixel in the middle; False where that would leave the picture."""
    height, width = grey.shape
    profile, reach = np.empty(len(gradient) + 2 * PAD), len(gradient) // 2 + PAD
    for end in (-reach, reach):
        at_x, at_y = x + end * normal_x, y + end * normal_y
        if not (0 <= at_x <= width - 1 and 0 <= at_y <= height - 1):
            return False
    first_x, first_y = x - reach * normal_x, y - reach * normal_y
    for j in range(len(profile)):
        at_x, at_y = first_x + j * normal_x, first_y + j * normal_y
        left, top = min(int(at_x), width - 2), min(int(at_y), height - 2)
        right, down = at_x - left, at_y - top
        a, b = float(grey[top, left]), float(grey[top, left + 1])
        c, d = float(grey[top + 1, left]), float(grey[top + 1, left + 1])
        upper, lower = a + right * (b - a), c + right * (d - c)
        profile[j] = upper + down * (lower - upper)
    for i in range(len(gradient)):
        step = 0.0
        for k in range(1, PAD + 1):
            step += _KERNEL[PAD + k] * (profile[i + PAD + k] - profile[i + PAD - k])
        gradient[i] = step
    return True


@compiled
def _peak(gradient: Floats, favour: Floats, sign: float) -> tuple[float, float]:
    """Place (sub-pixel, from the middle) and height of the best peak up, or down where the
    sign is −1; of height −inf where there is none."""
    last, best, most = len(gradient) - 2, 1, -np.inf
    # The edge is expected in the middle: of two alike the nearer one is it.
    for j in range(1, last + 1):
        if sign * gradient[j] * favour[j] > most:
            best, most = j, sign * gradient[j] * favour[j]
    # Favour leads to the right edge; the edge itself is where the step is steepest.
    for _ in range(2):
        here = best
        for beside in (here - 1, here + 1):
            if 1 <= beside <= last and sign * gradient[beside] > sign * gradient[best]:
                best = beside
    before, peak, after = (
        sign * gradient[best - 1],
        sign * gradient[best],
        sign * gradient[best + 1],
    )
    curve = before - 2 * peak + after
    if not curve < 0:
        return np.nan, -np.inf
    shift = 0.5 * (before - after) / curve
    if abs(shift) > 1.0:
        return np.nan, -np.inf
    return best - len(gradient) // 2 + shift, peak


@compiled
def _medians_of_parts(
    on: NDArray[np.bool_], part: NDArray[np.int64], steps: Floats, medians: Floats
) -> None:
    """Fill in the median step of each part of each edge, ``(L, B)``, that has samples on it."""
    those = np.empty(on.shape[1])
    for k in range(len(on)):
        first = 0
        for p in range(medians.shape[1]):
            count = 0
            for j in range(first, on.shape[1]):
                if part[k, j] > p:
                    break
                first = j + 1
                if on[k, j]:
                    at = count
                    while at > 0 and those[at - 1] > steps[k, j]:
                        those[at] = those[at - 1]
                        at -= 1
                    those[at] = steps[k, j]
                    count += 1
            if count:
                medians[k, p] = 0.5 * (those[(count - 1) // 2] + those[count // 2])
