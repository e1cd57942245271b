"""The body on the board: a pair of outlines that moves as a standing cylinder's does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import radians

import numpy as np

from vision.draft import COARSE_U_PX, Draft, Seen, fit_draft, likely, measured_again
from vision.edges import MID_BOARD, Kind
from vision.fit import Edges, edge_residuals, fit_motion
from vision.reading import Marks
from vision.scene import CAMERA, Scene
from vision.search import SweptLine

MOST_PAIRS, MOST_AGAIN = 8, 4
FEWEST_UPRIGHT = 2
POSES_RAD = [(radians(pitch), radians(yaw)) for yaw in (0.0, -12.0, 12.0) for pitch in (5.0, 12.0)]
CLEAN_PX = 0.1
WORSE = 10.0
"""Of chi-squared by which a pair of outlines may fit worse than the best and yet be it."""
SWING = 0.12
"""By how much a body's lines may lean in the plane that is swept, for the camera is roughly
known."""
ALIKE = 0.7
"""What share of the other's height outlines reach that are of one body."""
WIDEST = 0.35
"""No body is wider, in hinge depths."""


def with_body(seen: Seen, draft: Draft) -> list[Draft]:
    """Drafts with a pair of outlines that moves as a standing cylinder's does, widest first.

    Outlines stand outside all that is printed on a body and turns as it does, and reach as
    high; a pair far lower than another is some other thing's and comes after.
    """
    if seen.marks is not None:
        pairs = _marked_pair(seen, draft, seen.marks)
    else:
        seen, draft = by_upright(seen, draft)
        pairs = pairs_of(_upright(seen, draft))
    tried = _tried(seen, [paired(draft, pair) for pair in pairs], *COARSE_U_PX)
    tried.sort(key=lambda each: each.cost(COARSE_U_PX[-1]))
    again = [measured_again(seen, each) for each in tried[:MOST_AGAIN]]
    tried = [
        each
        for each in [*tried, *_tried(seen, again, COARSE_U_PX[-1])]
        if _bears(each.fit.scene) and each.misfit_px() < seen.worst_outline_px
    ]
    u_px = max(CLEAN_PX, min((each.misfit_px() for each in tried), default=0.0))
    costs = [each.cost(u_px) for each in tried]
    fitting = [each for each, cost in zip(tried, costs, strict=True) if cost < min(costs) + WORSE]
    return outermost_first(fitting)


def outermost_first(drafts: list[Draft]) -> list[Draft]:
    """The widest bodies first, but those far lower than another last."""
    tall = ALIKE * max((each.fit.scene.body_height for each in drafts), default=0.0)

    def low_and_narrow(draft: Draft) -> tuple[bool, float]:
        return draft.fit.scene.body_height < tall, -draft.fit.scene.radius

    return sorted(drafts, key=low_and_narrow)


def _tried(seen: Seen, drafts: list[Draft], *stages: float) -> list[Draft]:
    """Those of the drafts, fitted while the upright edges hold the camera, that are sound and
    at no stage were far worse than another."""
    for u_px in stages:
        fitted = [fit_draft(seen, _held(seen, each), u_px) for each in drafts]
        drafts = _sound([each.only([0, 1, 2]) for each in fitted])
        costs = [each.cost(u_px) for each in drafts]
        drafts = [d for d, cost in zip(drafts, costs, strict=True) if cost < min(costs) + WORSE]
    return drafts


def by_upright(seen: Seen, draft: Draft) -> tuple[Seen, Draft]:
    """The draft with the camera as edges along the body have it, be they outlines or print,
    and those edges; where none move as one, turned as the body then stands out the most."""
    while len(seen.upright) >= FEWEST_UPRIGHT:
        fitted = fit_draft(seen, _held(seen, draft), *COARSE_U_PX)
        true = fitted.errors_px()[1:] < seen.worst_px
        if not true.all():
            seen = seen.holding(e for e, so in zip(seen.upright, true, strict=True) if so)
            continue
        if likely(fitted.fit.scene):
            # In a hand they tell where the camera is, but also sway.
            return (seen if seen.freedom.shift == 0 else seen.holding(())), fitted.only([0])
        break
    return seen.holding(()), _clearest(seen, draft)


def _held(seen: Seen, draft: Draft) -> Draft:
    """The draft with the upright edges besides, as if on its body: they hold the camera."""
    if len(seen.upright) < FEWEST_UPRIGHT:
        return draft
    ends = np.stack([candidate.ends for candidate in seen.upright], axis=1)
    points = seen.search.steadied(ends.reshape(*ends.shape[:2], 2, 2))
    kinds = [Kind.AXIAL] * len(seen.upright)
    scene = draft.fit.scene.with_lines(kinds, draft.fit.own, points)
    points = np.concatenate([draft.points, points], axis=1)
    return replace(draft, fit=replace(draft.fit, scene=scene), points=points)


def _clearest(seen: Seen, draft: Draft) -> Draft:
    return max(_posed(seen, draft), key=lambda posed: _clearness(seen, posed))


def _clearness(seen: Seen, draft: Draft) -> float:
    """How clearly a body stands out with the camera there."""
    return seen.search.clearness(draft.fit, *of_upright(draft), swing=SWING)


def _upright(seen: Seen, draft: Draft) -> list[SweptLine]:
    """Lines of a body behind the board's edge; or before it, if that is its far one."""
    thickness, depth = of_upright(draft)

    def clearness(depth: float) -> float:
        return seen.search.clearness(draft.fit, thickness, depth, swing=SWING)

    depth = max((depth, -depth), key=clearness)
    return seen.search.upright_lines(draft.fit, thickness, depth, swing=SWING)


def of_upright(draft: Draft) -> tuple[float, float]:
    """The board's thickness, and the depth at which a body is looked for on it."""
    scene = draft.fit.scene
    return float(scene.places[0, 0]), MID_BOARD * float(np.sign(scene.rotation[2, 2]))


def _posed(seen: Seen, draft: Draft) -> Iterator[Draft]:
    """The draft with the camera turned some ways it may well be turned.

    Far from square on, a body swept for as if square on slides apart.
    """
    edges = Edges(draft.points, np.full(draft.points.shape[:2], COARSE_U_PX[0]))
    for pitch, yaw in POSES_RAD:
        shared = draft.fit.scene.shared.copy()
        shared[:3] = pitch, yaw, shared[2]
        bare = replace(draft.fit.scene, shared=shared).with_only([])
        scene = bare.with_lines([Kind.ALONG], draft.fit.own, draft.points)
        scene = replace(scene, lines=draft.fit.scene.lines)
        for _ in range(2):
            own, _ = fit_motion(scene, draft.fit.own, edges, seen.freedom)
            placed = bare.with_lines([Kind.ALONG], own, draft.points)
            scene = replace(scene, shared=placed.shared)
        residuals = edge_residuals(scene, own, edges)
        fit = replace(draft.fit, scene=scene, own=own, edge_residuals=residuals)
        yield replace(draft, fit=fit)


def _sound(drafts: list[Draft]) -> list[Draft]:
    """Those with a camera where it may well be and a body of some width."""
    scenes = ((each, each.fit.scene) for each in drafts)
    return [each for each, scene in scenes if 0 < scene.radius < WIDEST and likely(scene)]


def _bears(scene: Scene) -> bool:
    """Whether the board's edge begins on the hinge's side of the body: a sleeve's does not."""
    return bool(scene.lines[0].low < scene.shared[CAMERA] + scene.radius)


def _marked_pair(seen: Seen, draft: Draft, marks: Marks) -> list[tuple[SweptLine, SweptLine]]:
    """The outlines a person drew, the one lower on the slope first."""
    left, right = (
        seen.search.marked_line(draft.fit, *of_upright(draft), np.array(ends))
        for ends in (marks.body_left, marks.body_right)
    )
    return [(left, right) if seen.side > 0 else (right, left)]


def paired(draft: Draft, pair: tuple[SweptLine, SweptLine]) -> Draft:
    kinds = [Kind.LEFT, Kind.RIGHT] if draft.fit.scene.side > 0 else [Kind.RIGHT, Kind.LEFT]
    return draft.with_lines(list(pair), kinds)


def pairs_of(lines: list[SweptLine]) -> list[tuple[SweptLine, SweptLine]]:
    """Pairs, low place first, of lines that rise from the board to a like height."""
    rising = [each for each in lines if each.line.low[1] < 0.35 * each.line.high[1]]
    pairs = [
        (first, last)
        for first in rising
        for last in rising
        if 0.1 * first.line.high[1] < last.line.middle - first.line.middle < WIDEST
        and _alike(first.line.high[1], last.line.high[1])
        and min(first.strength, last.strength) > 0.15 * rising[0].strength
    ]
    return sorted(pairs, key=lambda pair: -pair[0].strength * pair[1].strength)[:MOST_PAIRS]


def _alike(first: float, last: float) -> bool:
    return min(first, last) > ALIKE * max(first, last)
