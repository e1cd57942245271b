"""Find the board and the body in the first look.

One board edge that turns with the points is enough to know the tilt roughly,
and with a camera in its usual place to say where everything on the board would
be in each frame. The rest is swept for: the body's outline first, then the other
edges along and across the board; after each the camera is known better.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.boards import settled, with_board
from vision.bodies import with_body
from vision.candidates import ALIKE, Candidate, followed_frames, turning_candidates, turning_point
from vision.draft import COARSE_U_PX, Draft, Seen, likely
from vision.edges import Kind
from vision.first_look import FirstLook, KeptFrame
from vision.fit import Edges, Freedom, SceneFit, fit_scene, start_camera
from vision.missing import NO_BOARD, NO_BODY, NO_TURN, NotFoundError, NothingTurnedError
from vision.reading import Marks
from vision.scene import SHIFT_X, SHIFT_Y, TILT, Scene, SceneLine
from vision.search import Search

__all__ = ["SHAKE", "Finding", "NotFoundError", "NothingTurnedError", "find_scene"]

Floats = NDArray[np.float64]

SLANT_RAD = radians(15.0)
MOST_BODIES, MOST_EDGES = 2, 3
MOST_UPRIGHT = 8
ENOUGH_EDGES = 2
"""A scene of fewer board edges may be a chance: others are looked for first."""
STIFF_PX = 0.2
SHAKE = 0.02
"""How far a hand may shift the hinge against the background, in hinge depths."""
SHAKE_TOLD = 0.006
"""The same beside what the turning points tell of it."""


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
        raise NothingTurnedError(NO_TURN)
    seen = Seen(
        search=Search(frames),
        side=1 if look.turn_rad > 0 else -1,
        start_tilt_rad=start_tilt_rad,
        freedom=Freedom(shift=0.0 if still_phone else SHAKE_TOLD),
        marks=marks,
    )
    edges = _ranked_edges(seen, look, still_phone)
    missing = NotFoundError(NO_BODY if edges else NO_BOARD)
    scant: Draft | None = None
    for seen_from, draft in edges[:MOST_EDGES]:
        for body in with_body(seen_from, draft)[:MOST_BODIES]:
            try:
                found = settled(seen_from, with_board(seen_from, body))
            except NotFoundError as reason:
                missing = reason
                continue
            if not (likely(found.fit.scene) and _turns_as_seen(found, frames)):
                missing = NotFoundError(NO_BODY)
            elif sum(line.of_board for line in found.fit.scene.lines) >= ENOUGH_EDGES:
                return Finding(found.fit, tuple(frames))
            else:
                scant = scant or found
    if scant is None:
        raise missing
    return Finding(scant.fit, tuple(frames))


def _turns_as_seen(draft: Draft, frames: list[KeptFrame]) -> bool:
    """Whether the board was raised by about as much as what turned has turned: what stands
    still in the picture fits a scene in which nothing moves."""
    raised = float(np.ptp(draft.fit.own[:, TILT]))
    return ALIKE[0] < raised / float(np.ptp([kept.turn_rad for kept in frames])) < ALIKE[1]


def _ranked_edges(seen: Seen, look: FirstLook, still_phone: bool) -> list[tuple[Seen, Draft]]:
    """Drafts from one candidate along the board each, the likeliest edge first.

    A board's edge is long, begins at the hinge, and turns as stiffly as its board; a
    sleeve or the edge of a shadow is not all of these.
    """
    along, upright = [], []
    centre = None if still_phone else _turning_centre(seen, look.turning_points)
    marked = None if seen.marks is None else np.reshape(seen.marks.board_edge, (1, 4))
    for candidate in turning_candidates(look, seen.frames, still_phone, marked):
        slope = candidate.slope_rad - seen.side * seen.start_tilt_rad
        off = abs((slope + np.pi / 2) % np.pi - np.pi / 2)
        if marked is not None or off < SLANT_RAD:
            hinge = turning_point(candidate.ends) if centre is None else centre
            merit = candidate.length_px * (1.0 if candidate.begins_at(hinge) else 0.2)
            along.append((merit, candidate))
        elif off > np.pi / 2 - SLANT_RAD:
            upright.append(candidate)
    upright.sort(key=lambda candidate: -candidate.length_px)
    seen = replace(seen, upright=tuple(upright[:MOST_UPRIGHT]))
    along.sort(key=lambda ranked: -ranked[0])
    drafts = []
    for merit, candidate in along[: 3 * MOST_EDGES]:
        seen_from, draft = _edge_fit(seen, candidate, look.turning_points, centre)
        stiff = 1 + (float(draft.errors_px()[0]) / STIFF_PX) ** 2
        drafts.append((merit / stiff, seen_from, draft))
    drafts.sort(key=lambda ranked: -ranked[0])
    return [(seen_from, draft) for _, seen_from, draft in drafts]


def _edge_fit(
    seen: Seen, edge: Candidate, turning_points: Floats, centre: Floats | None
) -> tuple[Seen, Draft]:
    """Tilt from one edge, with the camera where it usually is; and, for a phone in a hand,
    where the turning points say the hinge has shifted.

    In a hand the phone's own shifts blur the point one edge turns about. Then the hinge is
    looked for where the edge passes the ``centre`` about which all that turns has turned: at
    the edge's lower end, unless that is far off and so but the end of what is seen of it.
    """
    height, width = seen.search.greys[0].shape
    points = seen.search.steadied(edge.ends.reshape(-1, 1, 2, 2))
    own = np.zeros((len(seen.frames), 5))
    own[:, TILT] = seen.start_tilt_rad + np.array([abs(k.turn_rad) for k in seen.frames])
    camera = start_camera(width, height)
    focal = np.exp(camera[3])
    if centre is None:
        hinge = turning_point(points.reshape(-1, 4))
    else:
        hinge = edge.low_end(seen.side) if edge.begins_at(centre) else edge.beside(centre)
    camera[4:6] = (hinge - [(width - 1) / 2, (height - 1) / 2]) / focal
    if centre is not None:
        own[:, [SHIFT_X, SHIFT_Y]] = _shifts(seen, hinge, turning_points) / focal
        seen = replace(seen, freedom=replace(seen.freedom, near=own))
    body = np.array([0.2, 0.0, 0.04])
    scene = Scene(width, height, seen.side, (), np.concatenate([camera, body]))
    edges = Edges(points, np.full(points.shape[:2], COARSE_U_PX[0]))
    scene = scene.with_lines([Kind.ALONG], own, points)
    scene = replace(scene, lines=(_edge_line(edge, hinge, focal, seen.side),))
    fit = fit_scene(scene, own, edges, seen.freedom, 0, seen.start_tilt_rad, settled=1e-4)
    return seen, Draft(fit, points, COARSE_U_PX[0])


def _edge_line(edge: Candidate, hinge: Floats, focal: float, side: int) -> SceneLine:
    """The candidate as an edge of the scene: its ends at the hinge's depth."""
    ends = edge.ends[0].reshape(2, 2)
    rising = ends if (ends[1, 0] - ends[0, 0]) * side > 0 else ends[::-1]
    up = (rising[1] - rising[0]) / np.linalg.norm(rising[1] - rising[0])
    low, high = (rising - hinge) @ up / focal
    contrast = edge.contrast if rising is ends else -edge.contrast
    return SceneLine(Kind.ALONG, (contrast,), float(low), float(high))


def _turning_centre(seen: Seen, turning_points: Floats) -> Floats:
    """The pixel of the first frame about which what turns has turned, as if the hand had not
    shifted, shape ``(2,)``."""
    turned_off, moved = _turned(seen, turning_points)
    return np.asarray(np.linalg.lstsq(turned_off.reshape(-1, 2), moved.ravel(), rcond=None)[0])


def _shifts(seen: Seen, hinge: Floats, turning_points: Floats) -> Floats:
    """Pixels by which what turns about the hinge has shifted besides, shape ``(N, 2)``."""
    turned_off, moved = _turned(seen, turning_points)
    return moved - turned_off @ hinge


def _turned(seen: Seen, turning_points: Floats) -> tuple[Floats, Floats]:
    """For each frame one less its turn, ``(N, 2, 2)``, and how far the points have moved on
    the mean were the picture's corner the centre of the turn, ``(N, 2)``: were another, that
    is the one times the other."""
    turned_off, moved = [], []
    for kept in seen.frames:
        now = kept.view.steadied(turning_points @ kept.turning[:, :2].T + kept.turning[:, 2])
        c, s = np.cos(kept.turn_rad), np.sin(kept.turn_rad)
        turn = np.array([[c, s], [-s, c]])
        turned_off.append(np.eye(2) - turn)
        moved.append(np.mean(now - turning_points @ turn.T, axis=0))
    return np.array(turned_off), np.array(moved)
