"""The scene a clip shows, and the straight edges it draws in the picture.

One pinhole camera with its principal point in the middle of the picture; one
hinge line fixed in space; a board turning about it by the tilt; a right
circular cylinder standing on the board, and after the brink turning about the
lower point of its rim. Lengths are in units of the hinge's depth.

Directions, in camera axes (x right, y down, z ahead): ``e1`` level, from the
hinge to the end that is lifted; ``e2`` up; ``e3 = e1 × e2`` along the hinge.
On the board ``u`` runs up the slope and ``n`` is its normal, so that places in
the scene are ``hinge + p u + h n + q e3``.

An edge and the camera's centre span a plane; where it meets the picture is the
line that is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

Floats = NDArray[np.float64]

CAMERA = 6
"""Unknowns of the camera: turn (3), log focal length, hinge (2)."""
BODY = 3
"""Unknowns of the body: place up the slope, along the hinge, and radius."""
TILT, LEAN, SLIP, SHIFT_X, SHIFT_Y = range(5)
"""Unknowns of a frame: tilt, lean, slip, and how the hinge has shifted."""


BEHIND = 0.5
"""Hinge depths in the depth of the background, which is commonly about twice as far off. A
hand's shift moves the background by this share of what it moves the hinge, and that is
taken for a turn of the phone."""


class Kind(Enum):
    """Which edge of the scene a straight line is."""

    ALONG = "along the board, up its slope"
    ACROSS = "across the board, along the hinge"
    AXIAL = "on the body, along its axis"
    LEFT = "the body's left outline"
    RIGHT = "the body's right outline"


ON_BODY = (Kind.AXIAL, Kind.LEFT, Kind.RIGHT)


@dataclass(frozen=True)
class SceneLine:
    """One edge of the scene and the part of it that is seen."""

    kind: Kind
    contrast: tuple[float, ...]
    """Grey step per pixel in equal parts from low to high, signed as in EdgeLines."""
    low: float
    """Where the seen part begins along the edge's direction, in hinge depths."""
    high: float

    @property
    def is_outline(self) -> bool:
        """Whether it is one of the body's two outlines."""
        return self.kind in (Kind.LEFT, Kind.RIGHT)


@dataclass(frozen=True)
class Frames:
    """Directions and places of the scene in each of N frames, shape ``(N, 3)``."""

    hinge: Floats
    u: Floats
    n: Floats
    e3: Floats
    """Shape ``(3,)``."""
    axis: Floats
    """The body's axis, from base to top."""
    across: Floats
    """``axis`` turned back to point up the slope."""
    base: Floats
    """Centre of the body's base."""
    pivot: Floats
    """The lowest point of the rim."""


@dataclass(frozen=True)
class Scene:
    """A camera, a hinge, a body and edges."""

    width: int
    height: int
    side: int
    """+1 where the right end is lifted, −1 where the left."""
    lines: tuple[SceneLine, ...]
    shared: Floats
    """Shape ``(CAMERA + BODY + 2 per along, across or axial line,)``."""

    @cached_property
    def focal_px(self) -> float:
        return float(np.exp(self.shared[3]))

    @cached_property
    def camera_matrix(self) -> Floats:
        """From camera axes to homogeneous pixels, shape ``(3, 3)``."""
        middle = (self.width - 1) / 2, (self.height - 1) / 2
        f = self.focal_px
        return np.array([[f, 0.0, middle[0]], [0.0, f, middle[1]], [0.0, 0.0, 1.0]])

    @cached_property
    def rotation(self) -> Floats:
        """Columns e1, e2, e3, shape ``(3, 3)``."""
        level = np.diag([self.side, -1.0, -self.side])
        return Rotation.from_rotvec(self.shared[:3]).as_matrix() @ level

    @property
    def radius(self) -> float:
        return float(self.shared[CAMERA + 2])

    @property
    def body_height(self) -> float:
        """How high both outlines are seen to reach, in hinge depths."""
        return min(line.high for line in self.lines if line.is_outline)

    def frames(self, own: Floats) -> Frames:
        """The scene in each frame; ``own`` has shape ``(N, 5)``."""
        e1, e2, e3 = self.rotation.T
        tilt, slip = own[:, TILT, None], own[:, SLIP, None]
        turn = tilt + own[:, LEAN, None]
        up, level = np.sin(tilt), np.cos(tilt)
        u, n = level * e1 + up * e2, level * e2 - up * e1
        up, level = np.sin(turn), np.cos(turn)
        across, axis = level * e1 + up * e2, level * e2 - up * e1
        hinge = np.ones((len(own), 3))
        hinge[:, :2] = self.shared[4:CAMERA] + own[:, SHIFT_X:]
        place, along, radius = self.shared[CAMERA : CAMERA + BODY]
        pivot = hinge + (place - radius - slip) * u + along * e3
        return Frames(hinge, u, n, e3, axis, across, pivot + radius * across, pivot)

    def edges(self, own: Floats) -> tuple[Floats, Floats]:
        """A point of each line and its direction, each of shape ``(N, L, 3)``."""
        return self.edges_at(self.frames(own))

    def edges_at(self, at: Frames) -> tuple[Floats, Floats]:
        """The same, the scene in each frame being known."""
        points = np.empty((len(at.hinge), len(self.lines), 3))
        directions = np.empty_like(points)
        for edge, which, places in self._by_edge:
            points[:, which], directions[:, which] = edge(at, places, self.radius)
        return points, directions

    @cached_property
    def _by_edge(self) -> list[tuple[Edge, list[int], Floats]]:
        """Which lines are edges of a kind, and what places them, ``(M, 2)`` or ``(M, 1)``."""
        places = self.places()
        grouped = []
        for edge, kinds in _EDGES.items():
            which = [k for k, line in enumerate(self.lines) if line.kind in kinds]
            if which and self.lines[which[0]].is_outline:
                sides = [[1.0 if self.lines[k].kind is Kind.LEFT else -1.0] for k in which]
                grouped.append((edge, which, np.array(sides)))
            elif which:
                grouped.append((edge, which, np.stack([places[k] for k in which])))
        return grouped

    def segments(self, own: Floats) -> Floats:
        """Ends of the seen part of each line in pixels, low end first, ``(N, L, 4)``."""
        points, directions = self.edges(own)
        low = np.array([line.low for line in self.lines])[:, None]
        high = np.array([line.high for line in self.lines])[:, None]
        ends = [self.project(points + end * directions) for end in (low, high)]
        return np.concatenate(ends, axis=-1) + np.tile(self.sway_px(own), 2)[:, None]

    def places(self) -> list[Floats]:
        """The two unknowns of each line; empty for outlines."""
        own_places = [line.kind not in (Kind.LEFT, Kind.RIGHT) for line in self.lines]
        rest = iter(self.shared[CAMERA + BODY :].reshape(-1, 2))
        return [next(rest) if has else np.empty(0) for has in own_places]

    def rays(self, pixels: Floats) -> Floats:
        """Directions in camera axes of pixels ``(..., 2)``, with unit depth."""
        middle = np.array([(self.width - 1) / 2, (self.height - 1) / 2])
        ahead = np.ones((*pixels.shape[:-1], 1))
        return np.concatenate([(pixels - middle) / self.focal_px, ahead], axis=-1)

    def with_lines(self, kinds: Sequence[Kind], own: Floats, points: Floats) -> Scene:
        """The same camera with further lines, placed by linear least squares.

        Parameters
        ----------
        own : shape ``(N, 5)``
        points : shape ``(N, L, 2, 2)``
            Two pixels of each line in each frame, NaN where it was not seen. The
            body's two outlines must come together.
        """
        at = self.frames(own)
        rays = self.rays(points - self.sway_px(own)[:, None, None])
        normal = cross(rays[:, :, 0], rays[:, :, 1])
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
        shared = self.shared.copy()
        if Kind.LEFT in kinds:
            left, right = (normal[:, kinds.index(k)] for k in (Kind.LEFT, Kind.RIGHT))
            shared[CAMERA : CAMERA + BODY] = _body_between(at, left, right)
        places = [
            _line_place(kind, at, normal[:, k])
            for k, kind in enumerate(kinds)
            if kind not in (Kind.LEFT, Kind.RIGHT)
        ]
        lines = self.lines + tuple(SceneLine(kind, (), 0.0, 0.0) for kind in kinds)
        return replace(self, lines=lines, shared=np.concatenate([shared, *places]))

    def with_only(self, keep: Sequence[int]) -> Scene:
        """The same camera and body with some of the lines."""
        places = self.places()
        return replace(
            self,
            lines=tuple(self.lines[k] for k in keep),
            shared=np.concatenate([self.shared[: CAMERA + BODY], *(places[k] for k in keep)]),
        )

    def image_lines(self, own: Floats) -> Floats:
        """Lines ``a x + b y + c = 0`` in pixels with unit ``(a, b)``, shape ``(N, L, 3)``."""
        m = cross(*self.edges(own))
        a, b = m[..., 0] / self.focal_px, m[..., 1] / self.focal_px
        middle = self.sway_px(own)[:, None] + [(self.width - 1) / 2, (self.height - 1) / 2]
        c = m[..., 2] - a * middle[..., 0] - b * middle[..., 1]
        lines = np.stack([a, b, c], axis=-1)
        return lines / np.hypot(a, b)[..., None]

    def sway_px(self, own: Floats) -> Floats:
        """How far frames steadied on the background have been moved too far, ``(N, 2)``."""
        return -self.focal_px * BEHIND * own[:, SHIFT_X:]

    def project(self, points: Floats) -> Floats:
        """Pixels of points in camera axes, shape ``(..., 2)``."""
        middle = np.array([(self.width - 1) / 2, (self.height - 1) / 2])
        return self.focal_px * points[..., :2] / points[..., 2:] + middle


def cross(a: Floats, b: Floats) -> Floats:
    """``a × b`` over the last axis; several times as fast as numpy's on small arrays."""
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    for x, (y, z) in enumerate(((1, 2), (2, 0), (0, 1))):
        out[..., x] = a[..., y] * b[..., z] - a[..., z] * b[..., y]
    return out


MID_BOARD = 0.12
"""How far behind the near edge a body is thought to stand until the picture says."""
RIDGE = 1e-3
"""An edge seen through a small turn hardly tells its depth: then it stays near."""


def _line_place(kind: Kind, at: Frames, normal: Floats) -> Floats:
    """Both unknowns of a line from its planes' unit normals, shape ``(N, 3)``."""
    e3 = np.broadcast_to(at.e3, at.u.shape)
    origin, first, second = {
        Kind.ALONG: (at.hinge, at.n, e3),
        Kind.ACROSS: (at.hinge, at.u, at.n),
        Kind.AXIAL: (at.base, at.across, e3),
    }[kind]
    rows = np.stack([np.sum(normal * first, axis=1), np.sum(normal * second, axis=1)], axis=1)
    return _ridge(rows, -np.sum(normal * origin, axis=1), np.zeros(2))


def _body_between(at: Frames, left: Floats, right: Floats) -> Floats:
    """Place up the slope, along the hinge, and radius of the cylinder two planes touch."""
    leftwards = cross(at.axis, at.hinge)
    rows, targets = [], []
    for normal, side in ((left, 1.0), (right, -1.0)):
        normal = normal * np.sign(np.sum(leftwards * normal, axis=1, keepdims=True))
        rows.append(
            np.stack([np.sum(normal * at.u, 1), normal @ at.e3, np.full(len(normal), side)], 1)
        )
        targets.append(-np.sum(normal * at.hinge, axis=1))
    mid_board = np.array([0.0, MID_BOARD * np.sign(at.e3[2]), 0.0])
    return _ridge(np.vstack(rows), np.concatenate(targets), mid_board)


def _ridge(rows: Floats, target: Floats, near: Floats) -> Floats:
    known = np.isfinite(rows).all(axis=1) & np.isfinite(target)
    stay = RIDGE * np.eye(len(near))
    return np.linalg.lstsq(
        np.vstack([rows[known], stay]), np.concatenate([target[known], RIDGE * near]), rcond=None
    )[0]


Edge = Callable[[Frames, Floats, float], tuple[Floats, Floats]]
"""From N frames, places of M lines and the body's radius to points and directions that
broadcast to ``(N, M, 3)``."""


def _along(at: Frames, places: Floats, radius: float) -> tuple[Floats, Floats]:
    first, second = places[:, :1], places[:, 1:]
    return at.hinge[:, None] + first * at.n[:, None] + second * at.e3, at.u[:, None]


def _across(at: Frames, places: Floats, radius: float) -> tuple[Floats, Floats]:
    first, second = places[:, :1], places[:, 1:]
    return at.hinge[:, None] + first * at.u[:, None] + second * at.n[:, None], at.e3


def _axial(at: Frames, places: Floats, radius: float) -> tuple[Floats, Floats]:
    first, second = places[:, :1], places[:, 1:]
    return at.base[:, None] + first * at.across[:, None] + second * at.e3, at.axis[:, None]


def _outline(at: Frames, turned: Floats, radius: float) -> tuple[Floats, Floats]:
    """The lines where planes through the camera's centre touch the cylinder; ``turned``
    is +1 on its left and −1 on its right."""
    to_axis = at.base - np.sum(at.base * at.axis, axis=1, keepdims=True) * at.axis
    distance = np.sqrt(np.sum(to_axis * to_axis, axis=1, keepdims=True))
    ahead = to_axis / distance
    left = cross(at.axis, ahead)
    sine = radius / distance
    inside = np.abs(sine) >= 1  # from there no outline is seen
    cosine = np.sqrt(np.where(inside, np.nan, 1 - sine**2))
    towards, aside = at.base - radius * sine * ahead, radius * cosine * left
    return towards[:, None] + turned * aside[:, None], at.axis[:, None]


_EDGES: dict[Edge, tuple[Kind, ...]] = {
    _along: (Kind.ALONG,),
    _across: (Kind.ACROSS,),
    _axial: (Kind.AXIAL,),
    _outline: (Kind.LEFT, Kind.RIGHT),
}
