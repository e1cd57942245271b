"""Edges measured in pictures that a phone took from where it looked."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.lines import Grey, measure_edges_in
from vision.steady import View

Floats = NDArray[np.float64]


def measure_viewed(
    greys: Sequence[Grey],
    views: Sequence[View],
    segments: Floats,
    contrast: Floats,
    reach_px: int,
    share: float,
) -> tuple[Floats, Floats, Floats]:
    """Measure edges in each picture where the first frame's view would have them.

    Parameters
    ----------
    segments : shape ``(N, L, 4)``, in the first frame's view
    contrast : shape ``(L, B)``, as of `measure_edges`
    share : of an edge's samples, how much must be found

    Returns
    -------
    points : shape ``(N, L, 2, 2)``, two of each edge in the first frame's view; NaN where
        it was not found
    u_px : shape ``(N, L)``
    contrast : shape ``(N, L, B)``
    """
    shape = segments.shape[:2]
    looked = np.stack(
        [view.seen(ends.reshape(-1, 2)) for view, ends in zip(views, segments, strict=True)]
    ).reshape(segments.shape)
    edges = measure_edges_in(greys, looked, contrast, reach_px)
    points, u_px = edges.points(looked.reshape(-1, 4))
    points[~(edges.share >= share)] = np.nan
    points = points.reshape(*shape, 2, 2)
    steadied = np.stack([view.steadied(p) for view, p in zip(views, points, strict=True)])
    return steadied, u_px.reshape(shape), edges.contrast.reshape(*shape, -1)
