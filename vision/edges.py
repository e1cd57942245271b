"""The edges of board and body: where each kind is, and where edges that were seen must be."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled

Floats = NDArray[np.float64]

MID_BOARD = 0.12
"""How far behind the near edge a body is thought to stand until the picture says."""
RIDGE = 1e-3
"""An edge seen through a small turn hardly tells its depth: then it stays near."""


class Kind(IntEnum):
    """Which edge of the scene a straight line is."""

    ALONG = 0
    """Along the board, up its slope."""
    ACROSS = 1
    """Across the board, along the hinge."""
    AXIAL = 2
    """On the body, along its axis."""
    LEFT = 3
    """The body's left outline."""
    RIGHT = 4
    """The body's right outline."""


ON_BODY = (Kind.AXIAL, Kind.LEFT, Kind.RIGHT)
HINGE, U, N, E3, AXIS, ACROSS, BASE, PIVOT = range(8)
"""The order of a frame's vectors."""


@dataclass(frozen=True)
class Frames:
    """Directions and places of the scene in each of N frames, shape ``(N, 3)``."""

    vectors: Floats
    """All of them, shape ``(N, 8, 3)``."""
    e3: Floats
    """Shape ``(3,)``."""

    @property
    def hinge(self) -> Floats:
        return self.vectors[:, HINGE]

    @property
    def u(self) -> Floats:
        return self.vectors[:, U]

    @property
    def n(self) -> Floats:
        return self.vectors[:, N]

    @property
    def axis(self) -> Floats:
        """The body's axis, from base to top."""
        return self.vectors[:, AXIS]

    @property
    def across(self) -> Floats:
        """``axis`` turned back to point up the slope."""
        return self.vectors[:, ACROSS]

    @property
    def base(self) -> Floats:
        """Centre of the body's base."""
        return self.vectors[:, BASE]

    @property
    def pivot(self) -> Floats:
        """The lowest point of the rim."""
        return self.vectors[:, PIVOT]


@compiled
def lay_edges(
    vectors: Floats,
    kinds: NDArray[np.int64],
    places: Floats,
    radius: float,
    points: Floats,
    directions: Floats,
) -> None:
    """Fill in a point and the direction of each line in each frame, ``(N, L, 3)``, from what
    places it, ``(L, 2)``."""
    for k in range(len(vectors)):
        hinge, u, n, e3, axis, across, base, _ = vectors[k]
        for line in range(len(kinds)):
            point, direction = points[k, line], directions[k, line]
            first, second = places[line]
            if kinds[line] == Kind.ALONG:
                for x in range(3):
                    point[x] = hinge[x] + first * n[x] + second * e3[x]
                    direction[x] = u[x]
            elif kinds[line] == Kind.ACROSS:
                for x in range(3):
                    point[x] = hinge[x] + first * u[x] + second * n[x]
                    direction[x] = e3[x]
            elif kinds[line] == Kind.AXIAL:
                for x in range(3):
                    point[x] = base[x] + first * across[x] + second * e3[x]
                    direction[x] = axis[x]
            else:
                _touched(base, axis, radius, kinds[line] == Kind.LEFT, point)
                for x in range(3):
                    direction[x] = axis[x]


@compiled
def _touched(base: Floats, axis: Floats, radius: float, left: bool, point: Floats) -> None:
    """Fill in where a plane through the camera's centre touches the cylinder on its left or on
    its right; NaN from within the body, where no outline is seen."""
    ax, ay, az = axis
    along = base[0] * ax + base[1] * ay + base[2] * az
    x, y, z = base[0] - along * ax, base[1] - along * ay, base[2] - along * az
    distance = np.sqrt(x * x + y * y + z * z)
    x, y, z = x / distance, y / distance, z / distance
    sine = radius / distance
    towards = radius * sine
    aside = radius * np.sqrt(1 - sine * sine) if abs(sine) < 1 else np.nan
    if not left:
        aside = -aside
    point[0] = base[0] - towards * x + aside * (ay * z - az * y)
    point[1] = base[1] - towards * y + aside * (az * x - ax * z)
    point[2] = base[2] - towards * z + aside * (ax * y - ay * x)


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
