"""Straight edges, to a small fraction of a pixel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

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
MOST_ROWS = 30000
"""OpenCV's remap takes fewer than 32768 rows."""
_KERNEL_AT = np.arange(-3, 4)
_KERNEL = _KERNEL_AT * np.exp(-(_KERNEL_AT**2) / (2 * BLUR_PX**2))
_KERNEL = (_KERNEL / np.sum(_KERNEL_AT * _KERNEL)).astype(np.float32)


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
        along = segments[:, 2:] - segments[:, :2]
        along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
        normal = np.column_stack([-along[:, 1], along[:, 0]])
        middle = (segments[:, :2] + segments[:, 2:]) / 2 + self.middle_px[:, None] * along
        points = np.stack(
            [
                middle
                + half * self.reach_px[:, None] * along
                + (self.offset_px + half * self.slope * self.reach_px)[:, None] * normal
                for half in (-1, 1)
            ],
            axis=1,
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


def edge_profile_gradients(
    grey: Grey, points: Floats, normal: Floats, reach_px: int
) -> NDArray[np.float32]:
    """Grey step per pixel along ``normal`` at each point, shape ``(N, 2 reach + 1)``.

    Profiles that leave the picture are NaN.
    """
    pad = len(_KERNEL) // 2
    if len(points) > MOST_ROWS or len(points) == 0:
        pieces = [slice(k, k + MOST_ROWS) for k in range(0, len(points), MOST_ROWS)]
        read = [edge_profile_gradients(grey, points[k], normal[k], reach_px) for k in pieces]
        return np.concatenate([np.empty((0, 2 * reach_px + 1), dtype=np.float32), *read])
    steps = np.arange(-reach_px - pad, reach_px + pad + 1, dtype=np.float32)
    x = (points[:, :1] + steps * normal[..., :1]).astype(np.float32)
    y = (points[:, 1:] + steps * normal[..., 1:]).astype(np.float32)
    part, left, top = _around(grey, x, y)
    profiles = cv2.remap(part, x - left, y - top, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    gradients = cv2.filter2D(profiles, cv2.CV_32F, _KERNEL[None, :])[:, pad:-pad]
    height, width = grey.shape
    ends = (x[:, [0, -1]] < 0) | (x[:, [0, -1]] > width - 1)
    ends |= (y[:, [0, -1]] < 0) | (y[:, [0, -1]] > height - 1)
    gradients[ends.any(axis=1)] = np.nan
    return gradients


def _around(
    grey: Grey, x: NDArray[np.float32], y: NDArray[np.float32]
) -> tuple[NDArray[np.float32], int, int]:
    """The part of a picture that holds all the pixels, in floats, and its left and top edge:
    to turn a whole picture to floats takes longer than to read the profiles."""
    (left, right), (top, bottom) = _span(x, grey.shape[1]), _span(y, grey.shape[0])
    return grey[top:bottom, left:right].astype(np.float32), left, top


def _span(pixels: NDArray[np.float32], size: int) -> tuple[int, int]:
    """From the first to behind the last pixel needed to read between any of them."""
    low = floor(np.nan_to_num(np.fmin.reduce(pixels, axis=None)))
    high = floor(np.nan_to_num(np.fmax.reduce(pixels, axis=None)))
    first = min(max(low, 0), size - 2)
    return first, max(min(high + 2, size), first + 2)


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
    picture = np.repeat(np.arange(len(greys)), segments.shape[1])
    contrast, segments = np.tile(contrast, (len(greys), 1)), segments.reshape(-1, 4)
    start, along = segments[:, :2], segments[:, 2:] - segments[:, :2]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along / length[:, None]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    sizes = np.clip((length / spacing_px).astype(int), *SAMPLES)
    column, parts = np.arange(sizes.max(initial=0)), contrast.shape[1]
    share = (column + 0.5) / sizes[:, None]
    part = np.minimum((share * parts).astype(int), parts - 1)
    expected = np.take_along_axis(contrast, part, axis=1)
    asked = (column < sizes[:, None]) & (np.abs(expected) >= FAINTEST)

    line, _ = np.nonzero(asked)
    expected = expected[asked]
    points = start[line] + (share * length[:, None])[asked][:, None] * along[line]
    ends = np.searchsorted(picture[line], np.arange(len(greys) + 1))
    gradients = [
        edge_profile_gradients(grey, points[low:high], normal[line[low:high]], reach_px)
        for grey, low, high in zip(greys, ends[:-1], ends[1:], strict=True)
    ]
    place, step = _peaks(np.concatenate(gradients) * np.sign(expected)[:, None].astype(np.float32))
    place[step < np.abs(expected) / 3] = np.nan
    across, steps = np.full(asked.shape, np.nan), np.full(asked.shape, np.nan)
    across[asked], steps[asked] = place, step * np.sign(expected)
    fit = robust_lines((share - 0.5) * length[:, None], across)
    group = (np.arange(len(segments))[:, None] * parts + part)[fit.on]
    with np.errstate(invalid="ignore", divide="ignore"):
        found = np.where(np.isfinite(fit.offset), fit.samples / asked.sum(axis=1), 0.0)
    return EdgeLines(
        offset_px=fit.offset,
        slope=fit.slope,
        middle_px=fit.middle,
        spread_px=fit.spread,
        reach_px=fit.reach,
        samples=fit.samples,
        share=found,
        contrast=_grouped_medians(group, steps[fit.on], contrast.size).reshape(contrast.shape),
    )


def _grouped_medians(group: NDArray[np.int64], values: Floats, count: int) -> Floats:
    """Median of the values of each of ``count`` groups; NaN where a group is empty."""
    ordered = values[np.lexsort((values, group))]
    sizes = np.bincount(group, minlength=count)
    first, some = np.cumsum(sizes) - sizes, sizes > 0
    medians = np.full(count, np.nan)
    low, high = first + (sizes - 1) // 2, first + sizes // 2
    medians[some] = 0.5 * (ordered[low[some]] + ordered[high[some]])
    return medians


def _peaks(gradients: NDArray[np.float32]) -> tuple[Floats, Floats]:
    """Place (sub-pixel, from the middle) and height of each row's best peak."""
    reach = gradients.shape[1] // 2
    at = np.arange(-reach, reach + 1)
    # The edge is expected in the middle: of two alike the nearer one is it.
    favoured = gradients * np.exp(-0.5 * (at / (0.6 * reach + 1e-9)) ** 2)
    best = np.argmax(np.nan_to_num(favoured[:, 1:-1], nan=-np.inf), axis=1) + 1
    row = np.arange(len(gradients))
    # Favour leads to the right edge; the edge itself is where the step is steepest.
    for _ in range(2):
        uphill = np.argmax(
            np.stack([gradients[row, np.clip(best + k, 1, 2 * reach - 1)] for k in (0, -1, 1)]),
            axis=0,
        )
        best = np.clip(best + np.array([0, -1, 1])[uphill], 1, 2 * reach - 1)
    before, peak, after = (gradients[row, best + k].astype(np.float64) for k in (-1, 0, 1))
    curve = before - 2 * peak + after
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = 0.5 * (before - after) / curve
        good = (curve < 0) & (np.abs(shift) <= 1.0)
    return np.where(good, best - reach + shift, np.nan), np.where(good, peak, -np.inf)
