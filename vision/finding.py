"""Find the board and the body in the first look.

One board edge that turns with the points is enough to know the tilt roughly,
and with a camera in its usual place to say where everything on the board would
be in each frame. The rest is swept for: the body's outline first, then the other
edges along and across the board; after each the camera is known better.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.arrowhead import BEND
from vision.candidates import Candidate, followed_frames, turning_candidates, turning_point
from vision.first_look import FirstLook, KeptFrame
from vision.fit import (
    FOCAL_U,
    TURN_U_RAD,
    Edges,
    Freedom,
    SceneFit,
    edge_residuals,
    fit_motion,
    fit_scene,
    start_camera,
)
from vision.reading import Marks
from vision.scene import CAMERA, MID_BOARD, SHIFT_X, SHIFT_Y, TILT, Kind, Scene, SceneLine
from vision.search import Search, SweptLine, in_equal_parts

Floats = NDArray[np.float64]

SLANT_RAD = radians(15.0)
MOST_PAIRS, MOST_AGAIN, MOST_BODIES = 8, 4, 2
MOST_EDGES = 3
FEWEST_UPRIGHT, MOST_UPRIGHT = 2, 8
POSES_RAD = [(radians(pitch), radians(yaw)) for yaw in (0.0, -12.0, 12.0) for pitch in (5.0, 12.0)]
FARTHEST = 3.0
"""Standard uncertainties from where a camera is thought to be."""
STIFF_PX = 0.2
CLEAN_PX = 0.1
WORST_OUTLINE_PX = 0.5
WORST_PLACED_PX = 1.0
WORSE = 10.0
"""Of chi-squared by which a pair of outlines may fit worse than the best and yet be it."""
WIDEST = 0.35
"""No body is wider, in hinge depths."""
WORST_PX, HELD_TIMES = 0.3, 2.0
COARSE_U_PX = (3.0, 1.0)
"""The first fits trust edges little: a false one cannot lock them, and what a few edges'
looks do to them cannot bend the camera out of its usual place."""
FINE_U_PX = 0.3
SHAKE = 0.02
"""How far a hand may shift the hinge against the background, in hinge depths."""
SHAKE_TOLD = 0.006
"""The same beside what the turning points tell of it."""


class NotFoundError(Exception):
    """The board or the body is not to be seen; the message says which."""


class NothingTurnedError(NotFoundError):
    """No board was raised in the picture."""


_NO_BOARD = NotFoundError(
    "No straight board edge turned with the board. Film it from the side with its long "
    "edge towards the phone and in full view, or mark the edge by hand."
)
_NO_BODY = NotFoundError(
    "No body with two straight sides was seen to turn with the board. Use a plain "
    "background that differs from the body, or mark the body's outline by hand."
)


@dataclass(frozen=True)
class Finding:
    """What was found in the first look."""

    fit: SceneFit
    frames: tuple[KeptFrame, ...]

    def own_of(self, look: FirstLook) -> Floats:
        """A guess of the unknowns of every frame kept by the first look, ``(K, 5)``."""
        turned = np.abs([kept.turn_rad for kept in self.frames])
        asked = np.abs([kept.turn_rad for kept in look.kept])
        order = np.argsort(turned)
        own = np.stack(
            [np.interp(asked, turned[order], self.fit.own[order, k]) for k in range(5)], axis=1
        )
        times = [kept.frame.time_s for kept in self.frames]
        for column in (SHIFT_X, SHIFT_Y):
            own[:, column] = np.interp(
                [kept.frame.time_s for kept in look.kept], times, self.fit.own[:, column]
            )
        return own


@dataclass(frozen=True)
class _Scene:
    """What the steps of the finding share."""

    search: Search
    side: int
    start_tilt_rad: float
    freedom: Freedom
    marks: Marks | None
    upright: tuple[Candidate, ...] = ()
    """Edges across the board's that were seen to turn with it."""

    @property
    def worst_px(self) -> float:
        """How far an edge may typically be from where it should be and still belong."""
        return WORST_PX if self.freedom.shift == 0 else HELD_TIMES * WORST_PX

    @property
    def worst_outline_px(self) -> float:
        """The same of an outline, where the scene is first fitted."""
        return WORST_OUTLINE_PX if self.freedom.shift == 0 else HELD_TIMES * WORST_OUTLINE_PX

    @property
    def frames(self) -> list[KeptFrame]:
        return self.search.frames

    def holding(self, upright: Iterable[Candidate]) -> _Scene:
        """The same with other upright edges."""
        return replace(self, upright=tuple(upright))


def find_scene(
    look: FirstLook, start_tilt_rad: float, still_phone: bool, marks: Marks | None = None
) -> Finding:
    """Find board and body.

    Raises
    ------
    NotFoundError
        Says what was not to be seen and what to do.
    """
    frames = followed_frames(look)
    if len(frames) < 3:
        raise NothingTurnedError(
            "Nothing in the picture turned together by some degrees. Film the board from its "
            "side, all of it in the picture, and raise it until the body goes."
        )
    seen = _Scene(
        search=Search(frames),
        side=1 if look.turn_rad > 0 else -1,
        start_tilt_rad=start_tilt_rad,
        freedom=Freedom(shift=0.0 if still_phone else SHAKE_TOLD),
        marks=marks,
    )
    edges = _ranked_edges(seen, look, still_phone)
    missing = _NO_BODY if edges else _NO_BOARD
    for seen_from, draft in edges[:MOST_EDGES]:
        for body in _with_body(seen_from, draft)[:MOST_BODIES]:
            try:
                found = _settled(seen_from, _with_board(seen_from, body))
            except NotFoundError as reason:
                missing = reason
                continue
            if _likely(found.fit.scene):
                return Finding(found.fit, tuple(frames))
            missing = _NO_BODY
    raise missing


def _ranked_edges(seen: _Scene, look: FirstLook, still_phone: bool) -> list[tuple[_Scene, _Draft]]:
    """Drafts from one candidate along the board each, the likeliest edge first.

    A board's edge is long, begins at the hinge, and turns as stiffly as its board; a
    sleeve or the edge of a shadow is not all of these.
    """
    along, upright = [], []
    marked = None if seen.marks is None else np.reshape(seen.marks.board_edge, (1, 4))
    for candidate in turning_candidates(look, seen.frames, still_phone, marked):
        slope = candidate.slope_rad - seen.side * seen.start_tilt_rad
        if marked is not None or abs((slope + np.pi / 2) % np.pi - np.pi / 2) < SLANT_RAD:
            merit = candidate.length_px * (1.0 if candidate.begins_at_hinge() else 0.2)
            along.append((merit, candidate))
        elif abs((slope + np.pi / 2) % np.pi - np.pi / 2) > np.pi / 2 - SLANT_RAD:
            upright.append(candidate)
    upright.sort(key=lambda candidate: -candidate.length_px)
    seen = replace(seen, upright=tuple(upright[:MOST_UPRIGHT]))
    along.sort(key=lambda ranked: -ranked[0])
    drafts = []
    for merit, candidate in along[: 3 * MOST_EDGES]:
        seen_from, draft = _edge_fit(seen, candidate, look.turning_points)
        stiff = 1 + (float(draft.errors_px()[0]) / STIFF_PX) ** 2
        drafts.append((merit / stiff, seen_from, draft))
    drafts.sort(key=lambda ranked: -ranked[0])
    return [(seen_from, draft) for _, seen_from, draft in drafts]


def _edge_fit(seen: _Scene, edge: Candidate, turning_points: Floats) -> tuple[_Scene, _Draft]:
    """Tilt from one edge, with the camera where it usually is; and, for a phone in a hand,
    where the turning points say the hinge has shifted.

    In a hand the phone's own shifts hide the point an edge turns about: then the board
    is taken to turn about the edge's lower end.
    """
    height, width = seen.search.greys[0].shape
    points = seen.search.steadied(edge.ends.reshape(-1, 1, 2, 2))
    own = np.zeros((len(seen.frames), 5))
    own[:, TILT] = seen.start_tilt_rad + np.array([abs(k.turn_rad) for k in seen.frames])
    camera = start_camera(width, height)
    focal = np.exp(camera[3])
    held = seen.freedom.shift > 0
    hinge = edge.low_end(seen.side) if held else turning_point(points.reshape(-1, 4))
    camera[4:6] = (hinge - [(width - 1) / 2, (height - 1) / 2]) / focal
    if held:
        own[:, [SHIFT_X, SHIFT_Y]] = _shifts(seen, hinge, turning_points) / focal
        seen = replace(seen, freedom=replace(seen.freedom, near=own))
    body = np.array([0.2, 0.0, 0.04])
    scene = Scene(width, height, seen.side, (), np.concatenate([camera, body]))
    edges = Edges(points, np.full(points.shape[:2], COARSE_U_PX[0]))
    scene = scene.with_lines([Kind.ALONG], own, points)
    scene = replace(scene, lines=(_edge_line(edge, hinge, focal, seen.side),))
    fit = fit_scene(scene, own, edges, seen.freedom, 0, seen.start_tilt_rad, settled=1e-4)
    return seen, _Draft(fit, points, COARSE_U_PX[0])


def _edge_line(edge: Candidate, hinge: Floats, focal: float, side: int) -> SceneLine:
    """The candidate as an edge of the scene: its ends at the hinge's depth."""
    ends = edge.ends[0].reshape(2, 2)
    rising = ends if (ends[1, 0] - ends[0, 0]) * side > 0 else ends[::-1]
    up = (rising[1] - rising[0]) / np.linalg.norm(rising[1] - rising[0])
    low, high = (rising - hinge) @ up / focal
    contrast = edge.contrast if rising is ends else -edge.contrast
    return SceneLine(Kind.ALONG, (contrast,), float(low), float(high))


def _shifts(seen: _Scene, hinge: Floats, turning_points: Floats) -> Floats:
    """Pixels by which what turns has shifted besides, shape ``(N, 2)``."""
    shifts = []
    for kept in seen.frames:
        now = turning_points @ kept.turning[:, :2].T + kept.turning[:, 2]
        now = kept.view.steadied(now)
        c, s = np.cos(kept.turn_rad), np.sin(kept.turn_rad)
        turned = (turning_points - hinge) @ np.array([[c, s], [-s, c]]).T + hinge
        shifts.append(np.mean(now - turned, axis=0))
    return np.array(shifts)


@dataclass(frozen=True)
class _Draft:
    """A scene and where its lines were measured, ``(N, L, 2, 2)`` in the first view."""

    fit: SceneFit
    points: Floats
    u_px: float
    """What the residuals of the fit are in units of."""

    def errors_px(self) -> Floats:
        """How far each line typically is from where it should be, shape ``(L,)``;
        infinite where it was not found in most frames."""
        apart = np.abs(self.fit.edge_residuals).swapaxes(0, 1).reshape(len(self.points[0]), -1)
        apart = np.where(np.isfinite(apart), apart, np.inf)
        return 1.4826 * np.median(apart, axis=1) * self.u_px

    def misfit_px(self) -> float:
        """How far the worse of the body's outlines typically is from where it should be."""
        outline = [line.is_outline for line in self.fit.scene.lines]
        return float(np.max(self.errors_px()[outline]))

    def cost(self, u_px: float) -> float:
        """Robust chi-squared of the residuals and of how the camera stands."""
        off = self.fit.edge_residuals * self.u_px / u_px
        seen = BEND**2 * float(np.nansum(np.log1p(np.square(off / BEND))))
        return seen + float(np.sum(np.square(_pose(self.fit.scene))))

    def only(self, keep: list[int]) -> _Draft:
        """The draft with some of its lines."""
        fit = replace(
            self.fit,
            scene=self.fit.scene.with_only(keep),
            edge_residuals=self.fit.edge_residuals[:, keep],
        )
        return replace(self, fit=fit, points=self.points[:, keep])

    def with_lines(self, swept: list[SweptLine], kinds: list[Kind]) -> _Draft:
        """The draft with further lines placed but nothing fitted."""
        points = np.stack([line.points for line in swept], axis=1)
        scene = self.fit.scene.with_lines(kinds, self.fit.own, points)
        lines = tuple(line.scene_line(kind) for line, kind in zip(swept, kinds, strict=True))
        scene = replace(scene, lines=self.fit.scene.lines + lines)
        points = np.concatenate([self.points, points], axis=1)
        edges = Edges(points, np.full(points.shape[:2], self.u_px))
        residuals = edge_residuals(scene, self.fit.own, edges)
        return _Draft(replace(self.fit, scene=scene, edge_residuals=residuals), points, self.u_px)


def _fitted(seen: _Scene, draft: _Draft, *stages: float) -> _Draft:
    """The draft fitted with its edges trusted more at each stage (pixels)."""
    fit = draft.fit
    for u_px in stages:
        edges = Edges(draft.points, np.full(draft.points.shape[:2], u_px))
        fit = fit_scene(
            fit.scene, fit.own, edges, seen.freedom, 0, seen.start_tilt_rad, settled=1e-3
        )
    return _Draft(fit, draft.points, stages[-1])


def _with_body(seen: _Scene, draft: _Draft) -> list[_Draft]:
    """Drafts with a pair of outlines that moves as a standing cylinder's does, widest first.

    Outlines stand outside all that is printed on a body and turns as it does.
    """
    if seen.marks is not None:
        pairs = _marked_pair(seen, draft, seen.marks)
    else:
        seen, draft = _by_upright(seen, draft)
        pairs = _pairs(_upright(seen, draft))
    tried = _tried(seen, [_paired(draft, pair) for pair in pairs], *COARSE_U_PX)
    tried.sort(key=lambda each: each.cost(COARSE_U_PX[-1]))
    again = [_measured_again(seen, each) for each in tried[:MOST_AGAIN]]
    tried = [
        each
        for each in [*tried, *_tried(seen, again, COARSE_U_PX[-1])]
        if _bears(each.fit.scene) and each.misfit_px() < seen.worst_outline_px
    ]
    u_px = max(CLEAN_PX, min((each.misfit_px() for each in tried), default=0.0))
    costs = [each.cost(u_px) for each in tried]
    fitting = [each for each, cost in zip(tried, costs, strict=True) if cost < min(costs) + WORSE]
    return sorted(fitting, key=lambda each: -each.fit.scene.radius)


def _tried(seen: _Scene, drafts: list[_Draft], *stages: float) -> list[_Draft]:
    """Those of the drafts, fitted while the upright edges hold the camera, that are sound."""
    fitted = [_fitted(seen, _held(seen, each), *stages) for each in drafts]
    return _sound([each.only([0, 1, 2]) for each in fitted])


def _by_upright(seen: _Scene, draft: _Draft) -> tuple[_Scene, _Draft]:
    """The draft with the camera as edges along the body have it, be they outlines or print,
    and those edges; where none move as one, turned as the body then stands out the most."""
    while len(seen.upright) >= FEWEST_UPRIGHT:
        fitted = _fitted(seen, _held(seen, draft), *COARSE_U_PX)
        true = fitted.errors_px()[1:] < seen.worst_px
        if true.all() and _likely(fitted.fit.scene):
            # In a hand they tell where the camera is, but also sway.
            return (seen if seen.freedom.shift == 0 else seen.holding(())), fitted.only([0])
        seen = seen.holding(
            edge for edge, so in zip(seen.upright, true, strict=True) if so and not true.all()
        )
    return seen.holding(()), _clearest(seen, draft)


def _held(seen: _Scene, draft: _Draft) -> _Draft:
    """The draft with the upright edges besides, as if on its body: they hold the camera."""
    if len(seen.upright) < FEWEST_UPRIGHT:
        return draft
    ends = np.stack([candidate.ends for candidate in seen.upright], axis=1)
    points = seen.search.steadied(ends.reshape(*ends.shape[:2], 2, 2))
    kinds = [Kind.AXIAL] * len(seen.upright)
    scene = draft.fit.scene.with_lines(kinds, draft.fit.own, points)
    points = np.concatenate([draft.points, points], axis=1)
    return replace(draft, fit=replace(draft.fit, scene=scene), points=points)


def _clearest(seen: _Scene, draft: _Draft) -> _Draft:
    return max(_posed(seen, draft), key=lambda posed: _clearness(seen, posed))


def _clearness(seen: _Scene, draft: _Draft) -> float:
    """How clearly a body stands out with the camera there."""
    return seen.search.clearness(draft.fit, *_of_upright(draft), swing=0.12)


def _upright(seen: _Scene, draft: _Draft) -> list[SweptLine]:
    return seen.search.upright_lines(draft.fit, *_of_upright(draft), swing=0.12)


def _of_upright(draft: _Draft) -> tuple[float, float]:
    """The board's thickness, and the depth at which a body is looked for on it."""
    scene = draft.fit.scene
    return scene.places()[0][0], MID_BOARD * float(np.sign(scene.rotation[2, 2]))


def _posed(seen: _Scene, draft: _Draft) -> Iterator[_Draft]:
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


def _likely(scene: Scene) -> bool:
    """Whether a camera could well stand there: a false pair of outlines bends it out of
    where phones are held."""
    return bool(np.abs(_pose(scene)).max() < FARTHEST)


def _pose(scene: Scene) -> Floats:
    """How far from their usual values turn and focal length are, in their uncertainties."""
    usual = start_camera(scene.width, scene.height)
    return (scene.shared[:4] - usual[:4]) / [*TURN_U_RAD, FOCAL_U]


def _sound(drafts: list[_Draft]) -> list[_Draft]:
    """Those with a camera where it may well be and a body of some width."""
    scenes = ((each, each.fit.scene) for each in drafts)
    return [each for each, scene in scenes if 0 < scene.radius < WIDEST and _likely(scene)]


def _bears(scene: Scene) -> bool:
    """Whether the board's edge begins on the hinge's side of the body: a sleeve's does not."""
    return bool(scene.lines[0].low < scene.shared[CAMERA] + scene.radius)


def _measured_again(seen: _Scene, draft: _Draft) -> _Draft:
    """The draft's lines measured where the fit now has them."""
    scene = draft.fit.scene
    expected = in_equal_parts([line.contrast for line in scene.lines])
    points, contrast = seen.search.measured(scene.segments(draft.fit.own), _hoped(expected))
    contrast = np.where(contrast != 0, contrast, expected)
    lines = tuple(
        replace(line, contrast=tuple(steps))
        for line, steps in zip(scene.lines, contrast, strict=True)
    )
    return _Draft(replace(draft.fit, scene=replace(scene, lines=lines)), points, draft.u_px)


def _hoped(contrast: Floats) -> Floats:
    """Contrasts ``(L, B)`` with parts in which none was seen asked to step as the nearest
    that was: a sweep with the camera a little off loses one end of an edge."""
    hoped = contrast.copy()
    for line, seen in zip(hoped, contrast != 0, strict=True):
        if seen.any():
            parts = np.flatnonzero(seen)
            nearest = np.abs(np.arange(len(line))[:, None] - parts).argmin(axis=1)
            line[:] = line[parts[nearest]]
    return hoped


def _marked_pair(seen: _Scene, draft: _Draft, marks: Marks) -> list[tuple[SweptLine, SweptLine]]:
    """The outlines a person drew, the one lower on the slope first."""
    left, right = (
        seen.search.marked_line(draft.fit, *_of_upright(draft), np.array(ends))
        for ends in (marks.body_left, marks.body_right)
    )
    return [(left, right) if seen.side > 0 else (right, left)]


def _paired(draft: _Draft, pair: tuple[SweptLine, SweptLine]) -> _Draft:
    kinds = [Kind.LEFT, Kind.RIGHT] if draft.fit.scene.side > 0 else [Kind.RIGHT, Kind.LEFT]
    return draft.with_lines(list(pair), kinds)


def _pairs(lines: list[SweptLine]) -> list[tuple[SweptLine, SweptLine]]:
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
    return min(first, last) > 0.7 * max(first, last)


def _with_board(seen: _Scene, draft: _Draft) -> _Draft:
    """Add edges of the board one at a time, each if it moves with the rest."""
    thickness = draft.fit.scene.places()[0][0]
    for edge in seen.search.board_lines(draft.fit, thickness, swing=0.12):
        if not _on_board(draft, edge):
            continue
        tried = _fitted(seen, draft.with_lines([edge], [edge.kind]), COARSE_U_PX[-1])
        before, after = draft.errors_px(), tried.errors_px()
        if after[-1] < seen.worst_px and np.all(after[:-1] < before + seen.worst_px / 2):
            draft = tried
    return draft


def _settled(seen: _Scene, draft: _Draft) -> _Draft:
    """Everything swept for again, now that the camera is known, and fitted together."""
    scene = draft.fit.scene
    thickness, depth = scene.places()[0][0], float(scene.shared[CAMERA + 1])
    upright = seen.search.upright_lines(draft.fit, thickness, depth, swing=0.02)
    board = seen.search.board_lines(draft.fit, thickness, swing=0.04)
    expected = scene.shared[CAMERA] + scene.radius * np.array([-1.0, 1.0])
    pairs = sorted(
        _pairs(upright),
        key=lambda p: float(np.sum(np.abs(expected - [each.line.middle for each in p]))),
    )
    outlines = [k for k, line in enumerate(scene.lines) if line.is_outline]
    bases = [draft.only([0, *outlines])]
    if seen.marks is None:
        bases += [_paired(draft.only([0]), pair) for pair in pairs[:1]]
    return min(
        (_with_all(seen, base, draft, board) for base in bases),
        key=lambda settled: settled.misfit_px(),
    )


def _with_all(seen: _Scene, base: _Draft, draft: _Draft, board: list[SweptLine]) -> _Draft:
    """The base with all edges of the board that agree with it, fitted and pruned."""
    for edge in board:
        tried = base.with_lines([edge], [edge.kind])
        if _on_board(draft, edge) and tried.errors_px()[-1] < WORST_PLACED_PX:
            base = tried
    base = _fitted(seen, base, COARSE_U_PX[-1], FINE_U_PX)
    return _pruned(seen, _fitted(seen, _measured_again(seen, base), FINE_U_PX))


def _on_board(draft: _Draft, edge: SweptLine) -> bool:
    """Whether a line may be the board's: no ring or label of the body, no sleeve."""
    lines = draft.fit.scene.lines
    x = draft.points[0, [k for k, line in enumerate(lines) if line.is_outline], :, 0]
    margin = 0.2 * np.ptp(x)
    along = edge.points[0, :, 0]
    if along.min() > x.min() - margin and along.max() < x.max() + margin:
        return False
    begins, length = edge.line.low[1], lines[0].high
    return edge.kind is not Kind.ALONG or bool(begins < 0.75 * length)


def _pruned(seen: _Scene, draft: _Draft) -> _Draft:
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
            raise NotFoundError(
                "The board's long edge could not be followed. Film it in full view, against a "
                "table that differs from it, or mark the edge by hand."
            )
        draft = _fitted(seen, draft.only(keep), FINE_U_PX)
    if np.max(error[outline]) > 2 * WORST_OUTLINE_PX:
        raise NotFoundError(
            "The body's outline did not move as a standing cylinder's does. "
            "Mark the body's outline by hand."
        )
    return draft
