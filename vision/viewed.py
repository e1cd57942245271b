"""Edges measured in pictures that a phone took from where it looked."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.lines import Grey, measure_edges_in
from vision.steady import View, carried

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
    shape, turned = segments.shape[:2], np.stack([view.turned for view in views])
    looked = carried(segments.reshape(shape[0], -1, 2), turned).reshape(segments.shape)
    edges = measure_edges_in(greys, looked, contrast, reach_px)
    points, u_px = edges.points(looked.reshape(-1, 4))
    points[~(edges.share >= share)] = np.nan
    steadied = carried(points.reshape(shape[0], -1, 2), np.linalg.inv(turned))
    return steadied.reshape(*shape, 2, 2), u_px.reshape(shape), edges.contrast.reshape(*shape, -1)
