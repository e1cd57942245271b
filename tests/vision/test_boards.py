"""Edges of the board that do not move with the scene are left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.vision.drafted import MOTION, NOISE_PX, SEEN, clean_points, draft_of, noisy_points
from tests.vision.geometry import KINDS, Floats
from vision.boards import FINE_U_PX, SAME_PX, once_each, pruned
from vision.draft import Draft, fit_draft
from vision.finding import NotFoundError
from vision.fit import Edges, edge_residuals

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


def _with_twin(of: int, off_px: float, longer: float) -> Draft:
    """The true scene with an edge found again a little off, and so many times as long."""
    draft = draft_of(noisy_points())
    scene, line = draft.fit.scene, draft.fit.scene.lines[of]
    places = scene.places[of]
    twin = replace(line, high=line.low + longer * (line.high - line.low))
    scene = replace(
        scene, lines=(*scene.lines, twin), shared=np.concatenate([scene.shared, places])
    )
    points = np.concatenate([draft.points, draft.points[:, of : of + 1] + [0.0, off_px]], axis=1)
    edges = Edges(points, np.full(points.shape[:2], draft.u_px))
    residuals = edge_residuals(scene, draft.fit.own, edges)
    fit = replace(draft.fit, scene=scene, edge_residuals=residuals)
    return Draft(fit, points, draft.u_px)


@pytest.mark.parametrize("longer", [0.5, 1.5])
def test_an_edge_that_was_found_twice_counts_once_and_the_longer_finding_stays(longer):
    twice = _with_twin(NEAR, 0.4 * SAME_PX, longer)
    once = once_each(twice)
    assert tuple(line.kind for line in once.fit.scene.lines) == KINDS
    kept = twice.fit.scene.lines[-1 if longer > 1 else NEAR]
    assert once.fit.scene.lines[NEAR] == kept


def test_edges_side_by_side_are_two():
    """As a mat's edge and its board's are."""
    assert len(once_each(_with_twin(NEAR, 3 * SAME_PX, 1.5)).fit.scene.lines) == 7
