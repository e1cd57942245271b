"""Edges of the board that do not move with the scene are left out."""

from __future__ import annotations

import numpy as np
import pytest

from tests.vision.drafted import MOTION, NOISE_PX, SEEN, clean_points, draft_of, noisy_points
from tests.vision.geometry import KINDS, Floats
from vision.boards import FINE_U_PX, pruned
from vision.draft import fit_draft
from vision.finding import NotFoundError

NEAR, FAR, HINGE, END, LEFT, RIGHT = range(6)


def _still(*edges: int) -> Floats:
    """Points of the edges, some of which stay where they were, as a table's do."""
    points = noisy_points()
    for edge in edges:
        points[:, edge] += points[0, edge] - clean_points()[:, edge]
    return points


def test_all_that_moves_with_the_board_is_kept():
    draft = fit_draft(SEEN, draft_of(noisy_points()), FINE_U_PX)
    assert pruned(SEEN, draft) is draft


@pytest.mark.parametrize("edges", [(FAR,), (END,), (FAR, END)])
def test_what_does_not_is_left_out_and_the_scene_fitted_without(edges):
    draft = pruned(SEEN, fit_draft(SEEN, draft_of(_still(*edges)), FINE_U_PX))
    kept = [KINDS[k] for k in range(6) if k not in edges]
    assert [line.kind for line in draft.fit.scene.lines] == kept
    assert np.max(draft.errors_px()) < 2 * NOISE_PX
    assert np.degrees(draft.fit.own[:, 0] - MOTION[:, 0]) == pytest.approx(0, abs=0.5)


def test_without_an_edge_along_the_board_nothing_can_be_followed():
    with pytest.raises(NotFoundError, match="long edge"):
        pruned(SEEN, draft_of(_still(NEAR)).only([NEAR, HINGE, END, LEFT, RIGHT]))


def test_outlines_that_slide_apart_are_no_cylinders():
    points = noisy_points()
    points[:, RIGHT, :, 0] += np.linspace(0, 8, len(MOTION))[:, None]
    with pytest.raises(NotFoundError, match="outline"):
        pruned(SEEN, draft_of(points))
