"""The edges of board and body: where each kind is, and where edges that were seen must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MID_BOARD = 0.12
"""How far behind the near edge a body is thought to stand until the picture says."""
RIDGE = 1e-3
"""An edge seen through a small turn hardly tells its depth: then it stays near."""


class Kind(Enum):
    """Which edge of the scene a straight line is."""

    ALONG = "along the board, up its slope"
    ACROSS = "across the board, along the hinge"
    AXIAL = "on the body, along its axis"
    LEFT = "the body's left outline"
    RIGHT = "the body's right outline"


ON_BODY = (Kind.AXIAL, Kind.LEFT, Kind.RIGHT)


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


EDGES: dict[Edge, tuple[Kind, ...]] = {
    _along: (Kind.ALONG,),
    _across: (Kind.ACROSS,),
    _axial: (Kind.AXIAL,),
    _outline: (Kind.LEFT, Kind.RIGHT),
}


def line_place(kind: Kind, at: Frames, normal: Floats) -> Floats:
    """Both unknowns of a line from its planes' unit normals, shape ``(N, 3)``."""
    e3 = np.broadcast_to(at.e3, at.u.shape)
    origin, first, second = {
        Kind.ALONG: (at.hinge, at.n, e3),
        Kind.ACROSS: (at.hinge, at.u, at.n),
        Kind.AXIAL: (at.base, at.across, e3),
    }[kind]
    rows = np.stack([np.sum(normal * first, axis=1), np.sum(normal * second, axis=1)], axis=1)
    return _ridge(rows, -np.sum(normal * origin, axis=1), np.zeros(2))


def body_between(at: Frames, left: Floats, right: Floats) -> Floats:
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


def cross(a: Floats, b: Floats) -> Floats:
    """``a × b`` over the last axis; several times as fast as numpy's on small arrays."""
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    for x, (y, z) in enumerate(((1, 2), (2, 0), (0, 1))):
        out[..., x] = a[..., y] * b[..., z] - a[..., z] * b[..., y]
    return out
