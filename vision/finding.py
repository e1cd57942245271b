"""Find the board and the body in the first look.

One board edge that turns with the points is enough to know the tilt roughly,
and with a camera in its usual place to say where everything on the board would
be in each frame. The rest is swept for: the body's outline first, then the other
edges along and across the board; after each the camera is known better.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.candidates import Candidate, followed_frames, turning_candidates
from vision.first_look import FirstLook, KeptFrame
from vision.fit import Edges, Freedom, SceneFit, fit_scene, start_camera
from vision.lines import measure_edges
from vision.reading import Marks
from vision.scene import (
    BODY,
    CAMERA,
    MID_BOARD,
    SHIFT_X,
    SHIFT_Y,
    TILT,
    Kind,
    Scene,
    SceneLine,
)
from vision.sweep import Family, FoundLine, found_lines, grey_steps, lasting_steps

Floats = NDArray[np.float64]
Steps = list[tuple[NDArray[np.float32], NDArray[np.float32]]]

SLANT_RAD = radians(15.0)
LASTING_SHARE = 0.7
WORST_PX = 0.35
WORST_TIMES = 4.0
COARSE_U_PX = (3.0, 1.0, 0.3)
"""The first fits trust edges little, so that a false one cannot lock them."""
SHAKE = 0.02
"""How far a hand may shift the hinge against the background, in hinge depths."""


class NotFound(Exception):
    """The board or the body is not to be seen; the message says which."""


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
class _Look:
    """The followed frames and what is asked of them again and again."""

    frames: list[KeptFrame]
    steps: Steps
    greys: list[NDArray[np.float32]]
    side: int
    start_tilt_rad: float
    shift: float

    @property
    def size(self) -> tuple[int, int]:
        height, width = self.greys[0].shape
        return width, height


def find_scene(
    look: FirstLook, start_tilt_rad: float, still_phone: bool, marks: Marks | None = None
) -> Finding:
    """Find board and body.

    Raises
    ------
    NotFound
        Says what was not to be seen and what to do.
    """
    frames = followed_frames(look)
    if len(frames) < 3:
        raise NotFound(
            "Nothing in the picture turned together by some degrees. Film the board from its "
            "side, all of it in the picture, and raise it until the body goes."
        )
    seen = _Look(
        frames=frames,
        steps=[grey_steps(kept.frame.grey) for kept in frames],
        greys=[kept.frame.grey.astype(np.float32) for kept in frames],
        side=1 if look.turn_rad > 0 else -1,
        start_tilt_rad=start_tilt_rad,
        shift=0.0 if still_phone else SHAKE,
    )
    edge = _near_edge(turning_candidates(look, frames), seen)
    draft = _edge_fit(seen, edge, look.turning_points)
    for sure in (False, True):
        draft = _sweep_all(seen, draft, sure)
    return Finding(draft.fit, tuple(frames))


def _near_edge(candidates: list[Candidate], seen: _Look) -> Candidate:
    """The longest candidate along the board."""
    along = []
    for candidate in candidates:
        slope = candidate.slope_rad - seen.side * seen.start_tilt_rad
        if abs((slope + np.pi / 2) % np.pi - np.pi / 2) < SLANT_RAD:
            along.append(candidate)
    if not along:
        raise NotFound(
            "No straight board edge turned with the board. Film it from the side with its long "
            "edge towards the phone and in full view, or mark the edge by hand."
        )
    return max(along, key=lambda c: c.length_px)


def _edge_fit(seen: _Look, edge: Candidate, turning_points: Floats) -> _Draft:
    """Tilt from one edge, with the camera where it usually is."""
    width, height = seen.size
    points = _steadied(edge.ends.reshape(-1, 1, 2, 2), seen)
    own = np.zeros((len(seen.frames), 5))
    own[:, TILT] = seen.start_tilt_rad + np.array([abs(k.turn_rad) for k in seen.frames])
    camera = start_camera(width, height)
    focal = np.exp(camera[3])
    hinge = _hinge(points[:, 0])
    camera[4:6] = (hinge - [(width - 1) / 2, (height - 1) / 2]) / focal
    if seen.shift > 0:
        own[:, [SHIFT_X, SHIFT_Y]] = _shifts(seen, hinge, turning_points) / focal
    body = np.array([0.2, 0.0, 0.04])
    scene = Scene(width, height, seen.side, (), np.concatenate([camera, body]))
    scene = scene.with_lines([Kind.ALONG], own, points)
    return _fitted(seen, scene, own, points, COARSE_U_PX[:1])


def _steadied(points: Floats, seen: _Look) -> Floats:
    """Points of each frame, ``(N, ..., 2)``, where the first frame's view would have them."""
    out = np.empty_like(points)
    for j, kept in enumerate(seen.frames):
        undo = np.linalg.inv(kept.view.turned)
        out[j] = points[j] @ undo[:2, :2].T + undo[:2, 2]
    return out


def _hinge(points: Floats) -> Floats:
    """The point all lines of one edge pass nearest to; points have shape ``(N, 2, 2)``."""
    known = np.isfinite(points).all(axis=(1, 2))
    start, along = points[known, 0], points[known, 1] - points[known, 0]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return np.linalg.lstsq(normal, np.sum(normal * start, axis=1), rcond=None)[0]


def _shifts(seen: _Look, hinge: Floats, turning_points: Floats) -> Floats:
    """Pixels by which what turns has shifted besides, shape ``(N, 2)``."""
    shifts = []
    for kept in seen.frames:
        now = turning_points @ kept.turning[:, :2].T + kept.turning[:, 2]
        undo = np.linalg.inv(kept.view.turned)
        now = now @ undo[:2, :2].T + undo[:2, 2]
        c, s = np.cos(kept.turn_rad), np.sin(kept.turn_rad)
        turned = (turning_points - hinge) @ np.array([[c, s], [-s, c]]).T + hinge
        shifts.append(np.mean(now - turned, axis=0))
    return np.array(shifts)


@dataclass(frozen=True)
class _Draft:
    """A scene and where its lines were measured, ``(N, L, 2, 2)`` in the first view."""

    fit: SceneFit
    points: Floats

    def only(self, keep: list[int]) -> _Draft:
        fit = replace(self.fit, scene=self.fit.scene.with_only(keep))
        return _Draft(fit, self.points[:, keep])


def _fitted(
    seen: _Look, scene: Scene, own: Floats, points: Floats, stages: tuple[float, ...]
) -> _Draft:
    for u_px in stages:
        edges = Edges(points, np.full(points.shape[:2], u_px))
        freedom = Freedom(shift=seen.shift)
        fit = fit_scene(scene, own, edges, freedom, 0, seen.start_tilt_rad, settled=1e-4)
        scene, own = fit.scene, fit.own
    return _Draft(fit, points)


def _sweep_all(seen: _Look, draft: _Draft, sure: bool) -> _Draft:
    """Sweep for the body and the board's edges with the camera as known, and fit them all."""
    thickness = draft.fit.scene.places()[0][0]
    outlines = _outlines(seen, draft.fit, thickness, sure)
    if sure:
        board = _board_edges(seen, draft.fit, thickness, outlines, sure)
        return _with_found(seen, draft.only([]), board + outlines, thickness)
    draft = _with_found(seen, draft, outlines, thickness)
    board = _board_edges(seen, draft.fit, thickness, outlines, sure)
    return _with_found(seen, draft, board, thickness)


def _with_found(
    seen: _Look, draft: _Draft, found: list[_Found], thickness: float
) -> _Draft:
    """Add lines to the draft, fit, and leave out what does not move with the rest."""
    scene, own = draft.fit.scene, draft.fit.own
    segments = np.stack([f.segments(scene, own) for f in found], axis=1)
    points, contrast = _measured(seen, segments, np.array([f.line.sign for f in found]))
    lasting = np.isfinite(points).all(axis=(2, 3)).mean(axis=0) >= LASTING_SHARE
    chosen = [k for k, lasts in enumerate(lasting) if lasts or found[k].is_outline]
    kinds = [found[k].kind for k in chosen]
    lines = tuple(
        SceneLine(found[k].kind, contrast[k], *found[k].extent(thickness)) for k in chosen
    )
    wider = scene.with_lines(kinds, own, points[:, chosen])
    wider = replace(wider, lines=scene.lines + lines)
    points = np.concatenate([draft.points, points[:, chosen]], axis=1)
    return _pruned(seen, _fitted(seen, wider, own, points, COARSE_U_PX))


@dataclass(frozen=True)
class _Found:
    """A line found in a sweep, and the plane it was found in."""

    kind: Kind
    family: Family
    line: FoundLine

    @property
    def is_outline(self) -> bool:
        return self.kind in (Kind.LEFT, Kind.RIGHT)

    def segments(self, scene: Scene, own: Floats) -> Floats:
        """Its ends in pixels of the first frame's view, low first, shape ``(N, 4)``."""
        at = scene.frames(own)
        ends = []
        for place, length in (self.line.low, self.line.high):
            origin = self.family.origin(at, np.array([place]))[:, 0]
            ends.append(scene.project(origin + length * self.family.direction(at)))
        return np.hstack(ends)

    def extent(self, thickness: float) -> tuple[float, float]:
        low, high = self.line.low[1], self.line.high[1]
        trim = 0.02 * (high - low)
        above = thickness if self.is_outline else 0.0
        return low + trim + above, high - trim + above


def _outlines(
    seen: _Look, fit: SceneFit, thickness: float, sure: bool
) -> list[_Found]:
    """The body's left and right outline."""
    scene, own = fit.scene, fit.own
    pixel = 1 / scene.focal_px
    depth = scene.shared[CAMERA + 1] if sure else MID_BOARD * np.sign(scene.rotation[2, 2])
    family = Family(
        lambda at, p: (at.hinge + thickness * at.n + depth * at.e3)[:, None]
        + p[None, :, None] * at.u[:, None],
        lambda at: at.n,
    )
    places, lengths = np.arange(-0.05, 0.8, pixel), np.arange(0.0, 0.8, 3 * pixel)
    lasting = lasting_steps(scene, own, seen.frames, seen.steps, family, places, lengths)
    lean = 0.02 if sure else 0.12
    lines = found_lines(lasting, places, lengths, np.linspace(-lean, lean, 13), 30)
    pair = _outermost(lines)
    if seen.side < 0:
        pair = pair[::-1]
    kinds = (Kind.LEFT, Kind.RIGHT)
    return [_Found(kind, family, line) for kind, line in zip(kinds, pair, strict=True)]


def _outermost(lines: list[FoundLine]) -> tuple[FoundLine, FoundLine]:
    """The lowest and the highest up the slope of the lines that rise as the strongest does."""
    rising = [line for line in lines if line.low[1] < 0.35 * line.high[1]]
    if rising:
        main = rising[0]
        alike = [
            line
            for line in rising
            if line.strength > 0.2 * main.strength
            and min(line.high[1], main.high[1]) > 0.7 * max(line.high[1], main.high[1])
        ]
        first = min(alike, key=lambda line: line.middle)
        last = max(alike, key=lambda line: line.middle)
        if last.middle - first.middle > 0.1 * main.high[1]:
            return first, last
    raise NotFound(
        "No body with two straight sides was seen to turn with the board. Use a plain "
        "background that differs from the body, or mark the body's outline by hand."
    )


def _board_edges(
    seen: _Look, fit: SceneFit, thickness: float, outlines: list[_Found], sure: bool
) -> list[_Found]:
    """Edges along the board, longest first, and across it."""
    scene, own = fit.scene, fit.own
    pixel = 1 / scene.focal_px
    pitch = max(abs(np.arcsin(scene.rotation[2, 1])), np.radians(4))
    away = np.sign(scene.rotation[2, 2])
    depths = np.sort(np.arange(-0.1, 0.8, pixel / np.sin(pitch)) * away)
    slopes = np.arange(-0.08, 0.9, pixel)
    along = Family(
        lambda at, q: (at.hinge + thickness * at.n)[:, None] + q[None, :, None] * at.e3,
        lambda at: at.u,
    )
    across = Family(
        lambda at, p: (at.hinge + thickness * at.n)[:, None] + p[None, :, None] * at.u[:, None],
        lambda at: np.broadcast_to(at.e3, at.u.shape),
    )
    swing = 0.04 if sure else 0.12
    found = []
    for kind, family, places, lengths, most in (
        (Kind.ALONG, along, depths, slopes[::3], 7),
        (Kind.ACROSS, across, slopes, depths, 5),
    ):
        lasting = lasting_steps(scene, own, seen.frames, seen.steps, family, places, lengths)
        lines = found_lines(lasting, places, lengths, np.linspace(-swing, swing, 17), most)
        lines = [line for line in lines if line.strength > 0.08 * lines[0].strength]
        found += [_Found(kind, family, line) for line in lines]
    return [f for f in found if not _on_body(f, outlines, scene, own)]


def _on_body(found: _Found, outlines: list[_Found], scene: Scene, own: Floats) -> bool:
    """Whether a line lies between the outlines: a ring or a label, not the board."""
    x = found.segments(scene, own)[0, [0, 2]]
    body = np.array([f.segments(scene, own)[0, [0, 2]] for f in outlines])
    margin = 0.2 * np.ptp(body)
    return bool(x.min() > body.min() - margin and x.max() < body.max() + margin)


def _measured(seen: _Look, segments: Floats, signs: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Measure lines, given as ``(N, L, 4)`` in the first frame's view, in each frame."""
    points = np.empty((*segments.shape[:2], 2, 2))
    contrast = np.empty(segments.shape[:2])
    for j, kept in enumerate(seen.frames):
        looked = cv2.perspectiveTransform(segments[j].reshape(-1, 1, 2), kept.view.turned)
        looked = looked.reshape(-1, 4)
        edges = measure_edges(seen.greys[j], looked, 0.5 * signs, 4)
        points[j], _ = edges.points(looked)
        contrast[j] = edges.contrast
        points[j, edges.share < 0.5] = np.nan
    with np.errstate(all="ignore"):
        return _steadied(points, seen), np.nanmedian(contrast, axis=0)


def _pruned(seen: _Look, draft: _Draft) -> _Draft:
    """Leave out lines that do not move with the scene, worst first."""
    while True:
        with np.errstate(all="ignore"):
            error = np.sqrt(np.nanmean(np.square(draft.fit.edge_residuals), axis=(0, 2)))
        error = np.nan_to_num(error, nan=np.inf) * COARSE_U_PX[-1]
        worst = int(np.argmax(error))
        if error[worst] < max(WORST_PX, WORST_TIMES * np.median(error)):
            return draft
        if draft.fit.scene.lines[worst].kind in (Kind.LEFT, Kind.RIGHT):
            raise NotFound(
                "The body's outline did not move as a standing cylinder's does. "
                "Mark the body's outline by hand."
            )
        draft = draft.only([k for k in range(len(error)) if k != worst])
        stages = COARSE_U_PX[-1:]
        draft = _fitted(seen, draft.fit.scene, draft.fit.own, draft.points, stages)
