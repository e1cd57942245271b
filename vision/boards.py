"""The board's edges, each kept if it moves with the rest of the scene."""

from __future__ import annotations

import numpy as np

from vision.bodies import paired, pairs_of
from vision.draft import COARSE_U_PX, WORST_OUTLINE_PX, Draft, Seen, fit_draft, measured_again
from vision.edges import Kind
from vision.missing import BODY_ODD, EDGE_LOST, NotFoundError
from vision.scene import CAMERA
from vision.search import SweptLine
from vision.slopes import distances

PLACED_PX, NEAR_PX = 1.0, 4.0
"""An edge that was placed but not fitted belongs to the rest if it is off by less than the
first; by less than the second it may, and a fit tells."""
FINE_U_PX = 0.3
SAME_PX = 1.0
"""Edges that lie no further apart, at both of their points, are one."""


def with_board(seen: Seen, draft: Draft) -> Draft:
    """Add edges of the board one at a time, each if it moves with the rest."""
    thickness = float(draft.fit.scene.places[0, 0])
    for edge in seen.search.board_lines(draft.fit, thickness, swing=0.12):
        if not _on_board(draft, edge):
            continue
        draft = _fitted_if_one(seen, draft, draft.with_lines([edge], [edge.kind]))
    return draft


def _fitted_if_one(seen: Seen, draft: Draft, longer: Draft) -> Draft:
    """The draft with an edge more, fitted, if that moves with the rest and leaves it where it
    was; else the draft."""
    tried = fit_draft(seen, longer, COARSE_U_PX[-1])
    before, after = draft.errors_px(), tried.errors_px()
    fits = after[-1] < seen.worst_px and np.all(after[:-1] < before + seen.worst_px / 2)
    return tried if fits else draft


def settled(seen: Seen, draft: Draft) -> Draft:
    """Everything swept for again, now that the camera is known, and fitted together."""
    scene = draft.fit.scene
    thickness, depth = float(scene.places[0, 0]), float(scene.shared[CAMERA + 1])
    upright = seen.search.upright_lines(draft.fit, thickness, depth, swing=0.02)
    board = seen.search.board_lines(draft.fit, thickness, swing=0.04)
    expected = scene.shared[CAMERA] + scene.radius * np.array([-1.0, 1.0])
    pairs = [
        (pair, np.abs(expected - [each.line.middle for each in pair])) for pair in pairs_of(upright)
    ]
    outlines = [k for k, line in enumerate(scene.lines) if line.is_outline]
    bases = [draft.only([0, *outlines])]
    if seen.marks is None and pairs:
        pair, apart = min(pairs, key=lambda each: float(np.sum(np.square(each[1]))))
        if np.max(apart) * scene.focal_px > SAME_PX:
            bases.append(paired(draft.only([0]), pair))
    return min(
        (_with_all(seen, base, draft, board) for base in bases),
        key=lambda settled: settled.misfit_px(),
    )


def _with_all(seen: Seen, base: Draft, draft: Draft, board: list[SweptLine]) -> Draft:
    """The base with all edges of the board that agree with it, fitted and pruned."""
    for edge in board:
        tried = base.with_lines([edge], [edge.kind])
        error = tried.errors_px()[-1] if _on_board(draft, edge) else np.inf
        if error < PLACED_PX:
            base = tried
        elif error < NEAR_PX:
            base = _fitted_if_one(seen, base, tried)
    base = once_each(fit_draft(seen, base, COARSE_U_PX[-1], FINE_U_PX))
    return pruned(seen, fit_draft(seen, measured_again(seen, base), FINE_U_PX))


def once_each(draft: Draft) -> Draft:
    """The draft without the shorter of any two lines that are the same edge of the board: it
    would count twice."""
    lines = draft.fit.scene.lines
    keep = list(range(len(lines)))
    for k, line in enumerate(lines):
        points = np.repeat(draft.points[:, k : k + 1], len(lines), axis=1)
        apart = np.abs(distances(draft.fit.scene, draft.fit.own, points))
        near = np.nanmedian(apart, axis=0).max(axis=-1) < SAME_PX
        for j in range(k):
            if near[j] and j in keep and line.kind is lines[j].kind and not line.is_outline:
                keep.remove(k)
                if line.high - line.low > lines[j].high - lines[j].low:
                    keep[keep.index(j)] = k
                break
    return draft.only(keep)


def _on_board(draft: Draft, edge: SweptLine) -> bool:
    """Whether a line may be the board's: no ring or label of the body, no sleeve."""
    lines = draft.fit.scene.lines
    x = draft.points[0, [k for k, line in enumerate(lines) if line.is_outline], :, 0]
    margin = 0.2 * np.ptp(x)
    along = edge.points[0, :, 0]
    if along.min() > x.min() - margin and along.max() < x.max() + margin:
        return False
    begins, length = edge.line.low[1], lines[0].high
    return edge.kind is not Kind.ALONG or bool(begins < 0.75 * length)


def pruned(seen: Seen, draft: Draft) -> Draft:
    """Leave out edges of the board that do not move with the scene, worst first."""
    while True:
        error = draft.errors_px()
        lines = draft.fit.scene.lines
        outline = np.array([line.is_outline for line in lines])
        worst = int(np.argmax(np.where(outline, 0.0, error)))
        if error[worst] < seen.worst_px:
            break
        keep = [k for k in range(len(error)) if k != worst]
        keep.sort(key=lambda k: lines[k].kind is not Kind.ALONG)
        if lines[keep[0]].kind is not Kind.ALONG:
            raise NotFoundError(EDGE_LOST)
        draft = fit_draft(seen, draft.only(keep), FINE_U_PX)
    if np.max(error[outline]) > 2 * WORST_OUTLINE_PX:
        raise NotFoundError(BODY_ODD)
    return draft
