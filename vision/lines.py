"""Straight edges, to a small fraction of a pixel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BLUR_PX = 1.0
"""Width of the derivative of Gaussian that finds an edge in a profile."""
RUN = 3.0
"""How many neighbouring samples share their noise, by blur and compression."""
FLOOR_PX = 0.03
"""What no edge is better known than."""
FAINTEST = 0.5
"""Grey step per pixel that is still told from none."""
MOST_SPREAD_PX = 0.6
"""Samples that scatter more than this do not lie on one edge."""
FEWEST = 5
MOST_ROWS = 30000
"""OpenCV's remap takes fewer than 32768 rows."""
ROUNDS = 8
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
    grey: NDArray[np.float32], points: Floats, normal: Floats, reach_px: int
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
    profiles = cv2.remap(grey, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    gradients = cv2.filter2D(profiles, cv2.CV_32F, _KERNEL[None, :])[:, pad:-pad]
    height, width = grey.shape
    ends = (x[:, [0, -1]] < 0) | (x[:, [0, -1]] > width - 1)
    ends |= (y[:, [0, -1]] < 0) | (y[:, [0, -1]] > height - 1)
    gradients[ends.any(axis=1)] = np.nan
    return gradients


def measure_edges(
    grey: NDArray[np.float32],
    segments: Floats,
    contrast: Floats,
    reach_px: int,
    spacing_px: float = 2.0,
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
    count = len(segments)
    start, along = segments[:, :2], segments[:, 2:] - segments[:, :2]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along / length[:, None]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    sizes = np.clip((length / spacing_px).astype(int), 6, 160)
    line = np.repeat(np.arange(count), sizes)
    first = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    place = (np.arange(len(line)) - first[line] + 0.5) / sizes[line] - 0.5
    s = place * length[line]
    points = start[line] + (s + length[line] / 2)[:, None] * along[line]

    parts = contrast.shape[1]
    part = line * parts + np.minimum(((place + 0.5) * parts).astype(int), parts - 1)
    expected = contrast.ravel()[part]
    asked = np.abs(expected) >= FAINTEST
    line, s, points, part, expected = (v[asked] for v in (line, s, points, part, expected))

    gradients = edge_profile_gradients(grey, points, normal[line], reach_px)
    across, step = _peaks(gradients * np.sign(expected)[:, None])
    across[step < np.abs(expected) / 3] = np.nan
    fit = _robust_lines(line, count, s, across)
    on = fit.on
    steps = _Groups(part[on], count * parts).median((step * np.sign(expected))[on])
    return replace(fit.lines, contrast=steps.reshape(count, parts))


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


@dataclass(frozen=True)
class _RobustFit:
    lines: EdgeLines
    on: NDArray[np.bool_]
    """Which of the samples lie on their line."""


def _robust_lines(
    every_line: NDArray[np.int64], count: int, every_s: Floats, every_across: Floats
) -> _RobustFit:
    """Tukey's biweight by reweighting, all lines at once."""
    known = np.isfinite(every_across)
    line, s, across = every_line[known], every_s[known], every_across[known]

    def total(values: Floats) -> Floats:
        return np.bincount(line, values, count).astype(np.float64)

    groups = _Groups(line, count)
    offset, slope = groups.median(across), np.zeros(count)
    for _ in range(ROUNDS):
        left = across - offset[line] - slope[line] * s
        scale = np.clip(1.4826 * groups.median(np.abs(left)), 0.08, 1.5)
        weight = np.square(np.clip(1 - np.square(left / (4 * scale[line])), 0, None))
        w, ws, wss = total(weight), total(weight * s), total(weight * s * s)
        wy, wsy = total(weight * across), total(weight * s * across)
        with np.errstate(invalid="ignore", divide="ignore"):
            slope = np.clip(np.nan_to_num((w * wsy - ws * wy) / (w * wss - ws * ws)), -1, 1)
            offset = np.nan_to_num((wy - slope * ws) / w)
    left = across - offset[line] - slope[line] * s
    near = np.abs(left) < 3 * np.clip(scale[line], 0.15, MOST_SPREAD_PX)
    on = np.zeros(len(known), dtype=bool)
    on[np.flatnonzero(known)[near]] = True
    line, s, left = line[near], s[near], left[near]
    n = np.bincount(line, minlength=count).astype(np.float64)
    asked = np.bincount(every_line, minlength=count)
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = np.sqrt(np.bincount(line, left**2, count) / (n - 2))
        middle = np.bincount(line, s, count) / n
        reach = np.sqrt(np.bincount(line, (s - middle[line]) ** 2, count) / n)
        share = n / asked
    few = (n < FEWEST) | ~np.isfinite(spread)
    lines = EdgeLines(
        offset_px=np.where(few, np.nan, offset + slope * middle),
        slope=np.where(few, np.nan, slope),
        middle_px=np.where(few, np.nan, middle),
        spread_px=np.where(few, np.nan, spread),
        reach_px=np.where(few, np.nan, reach),
        samples=n,
        share=np.where(few, 0.0, share),
        contrast=np.empty((count, 0)),
    )
    return _RobustFit(lines, on)


class _Groups:
    """Samples by the line they belong to."""

    def __init__(self, group: NDArray[np.int64], count: int) -> None:
        self._order = np.argsort(group, kind="stable")
        self._group, self._sizes = group[self._order], np.bincount(group, minlength=count)
        first = np.cumsum(self._sizes) - self._sizes
        self._slot = np.arange(len(group)) - first[self._group]
        self._shape = count, max(1, int(self._sizes.max(initial=0)))

    def median(self, values: Floats) -> Floats:
        """Of ``values`` ``(M,)`` in each group; NaN where a group is empty."""
        table = np.full(self._shape, np.inf)
        table[self._group, self._slot] = values[self._order]
        table.sort(axis=1)
        rows = np.arange(len(table))
        low, high = np.maximum(self._sizes - 1, 0) // 2, self._sizes // 2
        high = np.minimum(high, table.shape[1] - 1)
        return np.where(self._sizes > 0, 0.5 * (table[rows, low] + table[rows, high]), np.nan)
