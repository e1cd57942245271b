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

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from vision.edges import EDGES, ON_BODY, Edge, Frames, Kind, body_between, cross, line_place

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
        for edge, kinds in EDGES.items():
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
