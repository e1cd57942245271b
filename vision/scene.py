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

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled
from vision.edges import (
    ACROSS,
    AXIS,
    BASE,
    E3,
    HINGE,
    ON_BODY,
    PIVOT,
    Frames,
    Kind,
    N,
    U,
    body_between,
    cross,
    lay_edges,
    line_place,
)

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

    @property
    def of_board(self) -> bool:
        """Whether it is an edge of the board."""
        return self.kind not in ON_BODY


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
    def middle_px(self) -> Floats:
        """The middle of the picture, ``(x, y)``."""
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2])

    @cached_property
    def camera_matrix(self) -> Floats:
        """From camera axes to homogeneous pixels, shape ``(3, 3)``."""
        f, (x, y) = self.focal_px, self.middle_px
        return np.array([[f, 0.0, x], [0.0, f, y], [0.0, 0.0, 1.0]])

    @cached_property
    def rotation(self) -> Floats:
        """Columns e1, e2, e3, shape ``(3, 3)``."""
        level = np.diag([self.side, -1.0, -self.side])
        return np.asarray(cv2.Rodrigues(self.shared[:3])[0]) @ level

    @property
    def radius(self) -> float:
        return float(self.shared[CAMERA + 2])

    @property
    def body_height(self) -> float:
        """How high both outlines are seen to reach, in hinge depths."""
        return min(line.high for line in self.lines if line.is_outline)

    def frames(self, own: Floats) -> Frames:
        """The scene in each frame; ``own`` has shape ``(N, 5)``."""
        vectors = np.empty((len(own), 8, 3))
        _turn(self.rotation, self.shared, np.ascontiguousarray(own, dtype=np.float64), vectors)
        return Frames(vectors, self.rotation[:, 2])

    def edges(self, own: Floats) -> tuple[Floats, Floats]:
        """A point of each line and its direction, each of shape ``(N, L, 3)``."""
        return self.edges_at(self.frames(own))

    def edges_at(self, at: Frames) -> tuple[Floats, Floats]:
        """The same, the scene in each frame being known."""
        points, directions = np.empty((2, len(at.vectors), len(self.lines), 3))
        lay_edges(at.vectors, self.kinds, self.places, self.radius, points, directions)
        return points, directions

    @cached_property
    def kinds(self) -> NDArray[np.int64]:
        """Shape ``(L,)``."""
        return np.array([line.kind for line in self.lines], dtype=np.int64)

    @cached_property
    def places(self) -> Floats:
        """The two unknowns of each line, zero where it is an outline and has none, ``(L, 2)``."""
        places = np.zeros((len(self.lines), 2))
        places[self.kinds < Kind.LEFT] = self.shared[CAMERA + BODY :].reshape(-1, 2)
        return places

    def segments(self, own: Floats) -> Floats:
        """Ends of the seen part of each line in pixels, low end first, ``(N, L, 4)``."""
        points, directions = self.edges(own)
        ends = points[:, :, None] + self._extents * directions[:, :, None]
        pixels = self.project(ends) + self.sway_px(own)[:, None, None]
        return pixels.reshape(len(own), -1, 4)

    @cached_property
    def _extents(self) -> Floats:
        """Where the seen parts begin and end, ``(L, 2, 1)``."""
        return np.array([[[line.low], [line.high]] for line in self.lines])

    def rays(self, pixels: Floats) -> Floats:
        """Directions in camera axes of pixels ``(..., 2)``, with unit depth."""
        ahead = np.ones((*pixels.shape[:-1], 1))
        return np.concatenate([(pixels - self.middle_px) / self.focal_px, ahead], axis=-1)

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
            shared[CAMERA : CAMERA + BODY] = body_between(at, left, right)
        places = [
            line_place(kind, at, normal[:, k])
            for k, kind in enumerate(kinds)
            if kind not in (Kind.LEFT, Kind.RIGHT)
        ]
        lines = self.lines + tuple(SceneLine(kind, (), 0.0, 0.0) for kind in kinds)
        return replace(self, lines=lines, shared=np.concatenate([shared, *places]))

    def with_only(self, keep: Sequence[int]) -> Scene:
        """The same camera and body with some of the lines."""
        placed = [k for k in keep if not self.lines[k].is_outline]
        return replace(
            self,
            lines=tuple(self.lines[k] for k in keep),
            shared=np.append(self.shared[: CAMERA + BODY], self.places[placed]),
        )

    def image_lines(self, own: Floats) -> Floats:
        """Lines ``a x + b y + c = 0`` in pixels with unit ``(a, b)``, shape ``(N, L, 3)``."""
        m = cross(*self.edges(own))
        a, b = m[..., 0] / self.focal_px, m[..., 1] / self.focal_px
        middle = self.sway_px(own)[:, None] + self.middle_px
        c = m[..., 2] - a * middle[..., 0] - b * middle[..., 1]
        lines = np.stack([a, b, c], axis=-1)
        return lines / np.hypot(a, b)[..., None]

    def sway_px(self, own: Floats) -> Floats:
        """How far frames steadied on the background have been moved too far, ``(N, 2)``."""
        return -self.focal_px * BEHIND * own[:, SHIFT_X:]

    def project(self, points: Floats) -> Floats:
        """Pixels of points in camera axes, shape ``(..., 2)``."""
        return self.focal_px * points[..., :2] / points[..., 2:] + self.middle_px


@compiled
def _turn(rotation: Floats, shared: Floats, own: Floats, vectors: Floats) -> None:
    """Fill in each frame's vectors, ``(N, 8, 3)``."""
    place, along, radius = shared[CAMERA], shared[CAMERA + 1], shared[CAMERA + 2]
    for k in range(len(own)):
        tilt, turn = own[k, TILT], own[k, TILT] + own[k, LEAN]
        up, level, body_up, body_level = np.sin(tilt), np.cos(tilt), np.sin(turn), np.cos(turn)
        foot = place - radius - own[k, SLIP]
        at = vectors[k]
        at[HINGE, 0], at[HINGE, 1] = shared[4] + own[k, SHIFT_X], shared[5] + own[k, SHIFT_Y]
        at[HINGE, 2] = 1.0
        for x in range(3):
            e1, e2 = rotation[x, 0], rotation[x, 1]
            at[E3, x] = rotation[x, 2]
            at[U, x], at[N, x] = level * e1 + up * e2, level * e2 - up * e1
            at[ACROSS, x] = body_level * e1 + body_up * e2
            at[AXIS, x] = body_level * e2 - body_up * e1
            at[PIVOT, x] = at[HINGE, x] + foot * at[U, x] + along * at[E3, x]
            at[BASE, x] = at[PIVOT, x] + radius * at[ACROSS, x]
