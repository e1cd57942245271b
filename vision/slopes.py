"""How far measured points lie from the scene's edges, and how that answers to its unknowns.

With ``q`` a pixel's ray, ``P`` a point of an edge and ``D`` its direction, the plane of
the edge and the camera's centre has the normal ``m = P × D``, and the pixel lies
``f (m · q) / h`` from the line that is seen, with ``h = hypot(m_x, m_y)``. By an unknown
this changes by ``f/h [dP · (D × q') + dD · (q' × P)]``, where
``q' = q − (m · q)/h² (m_x, m_y, 0)`` takes the change of ``h`` along.

By most unknowns ``P`` and ``D`` change along the scene's own directions, by so much of each
in every frame; what is not the same in every frame comes on top.

An outline's ``P`` is where the plane touches the body. It slides over the body as that
moves, but within the plane, which leaves the line where it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from vision.edges import ON_BODY, Kind, cross
from vision.scene import BEHIND, BODY, CAMERA, LEAN, SHIFT_X, SLIP, TILT, Scene

Floats = NDArray[np.float64]

U, N, E3, ACROSS, AXIS = range(5)
"""The scene's own directions, in the order in which parts of them are kept."""
WAYS = 5
_PLACED_ALONG = {Kind.ALONG: (N, E3), Kind.ACROSS: (U, N), Kind.AXIAL: (ACROSS, E3)}
"""Which way each of a line's own two unknowns moves it."""


def distances(scene: Scene, own: Floats, points: Floats) -> Floats:
    """Signed distances in pixels of ``points`` ``(N, L, 2, 2)`` from their edges, ``(N, L, 2)``."""
    return Slopes(scene, own, points).distances


class Slopes:
    """The distances, and their derivatives by each frame's unknowns and by the scene's."""

    def __init__(self, scene: Scene, own: Floats, points: Floats) -> None:
        self._scene, self._at = scene, scene.frames(own)
        self._points, self._directions = scene.edges_at(self._at)
        self._normal = cross(self._points, self._directions)
        self._size = np.hypot(self._normal[..., 0], self._normal[..., 1])
        self._scale = scene.focal_px / self._size
        self._rays = scene.rays(points - scene.sway_px(own)[:, None, None])
        self._off = (self._rays @ self._normal[..., None])[..., 0]
        self._own = own
        self._which = _which(tuple(line.kind for line in scene.lines))
        self.distances = self._off * self._scale[..., None]
        """Shape ``(N, L, 2)``."""

    @cached_property
    def _of_both(self) -> tuple[Floats, Floats]:
        """How a distance answers to the edge's point and to its direction, ``(N, L, 2, 3)``."""
        rays = self._rays.copy()
        off = self._off / self._size[..., None] ** 2
        rays[..., :2] -= off[..., None] * self._normal[:, :, None, :2]
        rays *= self._scale[..., None, None]
        return cross(self._directions[:, :, None], rays), cross(rays, self._points[:, :, None])

    @cached_property
    def _by_way(self) -> Floats:
        """How it answers to the point's and to the direction's moves along the scene's own
        directions, ``(N, L, 2, 2 WAYS)``."""
        at = self._at
        e3 = np.broadcast_to(at.e3, at.u.shape)
        ways = np.stack([at.u, at.n, e3, at.across, at.axis], axis=-1)[:, None]
        return np.concatenate([of @ ways for of in self._of_both], axis=-1)

    @cached_property
    def _places(self) -> Floats:
        """Each line's own two unknowns, zero where it has none, ``(L, 2)``."""
        places = np.zeros((len(self._scene.lines), 2))
        placed = self._which.placed
        places[placed] = self._scene.shared[CAMERA + BODY :].reshape(-1, 2)
        return places

    def by_own(self) -> Floats:
        """Shape ``(N, L, 2, 5)``."""
        which, place = self._which, self._places
        radius, foot = self._scene.radius, self._scene.shared[CAMERA] - self._scene.radius
        # How much of each way each line moves by tilt, lean and slip.
        much = np.zeros((len(place), 2, WAYS, 3))
        of_point, of_direction = much[:, 0], much[:, 1]
        of_point[which.along, U, TILT] = -place[which.along, 0]
        of_direction[which.along, N, TILT] = 1.0
        of_point[which.across, N, TILT] = place[which.across, 0]
        of_point[which.across, U, TILT] = -place[which.across, 1]
        about_pivot = radius + place[which.on_body, 0]
        for column in (TILT, LEAN):
            of_point[which.on_body, AXIS, column] = about_pivot
            of_direction[which.on_body, ACROSS, column] = -1.0
        of_point[which.on_body, N, TILT] = foot
        of_point[which.on_body, U, SLIP] = -1.0
        out = np.empty((*self.distances.shape, 5))
        out[..., :SHIFT_X] = self._by_way @ much.reshape(len(place), 2 * WAYS, 3)
        # The pivot has slipped by so much.
        slipped = self._own[:, SLIP, None, None] * self._by_way[..., N]
        out[..., TILT] -= np.where(which.is_on_body, slipped, 0.0)
        # A shift moves the hinge, and the background the other way.
        swayed = BEHIND * (self._normal[..., :2] * self._scale[..., None])
        out[..., SHIFT_X:] = self._of_both[0][..., :2] + swayed[:, :, None]
        return out

    def by_shared(self) -> Floats:
        """Shape ``(N, L, 2, S)``."""
        which, (of_point, of_direction) = self._which, self._of_both
        out = np.zeros((*self.distances.shape, len(self._scene.shared)))
        # By the rotation vector of the camera: all but the hinge turns.
        away = (self._points - self._at.hinge[:, None])[:, :, None]
        turning = cross(away, of_point) + cross(self._directions[:, :, None], of_direction)
        out[..., :3] = turning @ _left_jacobian(self._scene.shared[:3])
        # What a pixel's ray owes to the sway does not change with the focal length.
        sway = BEHIND * self._own[:, SHIFT_X:, None]
        swayed = (self._normal[..., :2] @ sway)[..., 0]
        out[..., 3] = ((self._normal[..., 2] + swayed) * self._scale)[..., None]
        out[..., 4:CAMERA] = of_point[..., :2]
        by_way = np.where(which.is_on_body[..., None], self._by_way[..., :WAYS], 0.0)
        out[..., CAMERA : CAMERA + BODY] = by_way[..., [U, E3, ACROSS]]
        out[..., CAMERA + 2] -= by_way[..., U]
        from_base = (self._points - self._at.base[:, None]) / self._scene.radius
        widened = (of_point @ from_base[..., None])[..., 0]
        out[..., CAMERA + 2] += np.where(which.is_outline, widened, 0.0)
        own = CAMERA + BODY + 2 * np.arange(len(which.placed))
        for unknown in (0, 1):
            moved = self._by_way[:, which.placed, :, which.ways[:, unknown]]
            out[:, which.placed, :, own + unknown] = moved
        return out


@dataclass(frozen=True)
class _Which:
    """Which lines are of what kind."""

    along: list[int]
    across: list[int]
    on_body: list[int]
    is_on_body: NDArray[np.bool_]
    """Shape ``(L, 1)``."""
    is_outline: NDArray[np.bool_]
    placed: list[int]
    """Those with unknowns of their own."""
    ways: NDArray[np.int64]
    """Which way each of those unknowns moves them, ``(P, 2)``."""


@lru_cache
def _which(kinds: tuple[Kind, ...]) -> _Which:
    def of(*wanted: Kind) -> list[int]:
        return [k for k, kind in enumerate(kinds) if kind in wanted]

    def mask(*wanted: Kind) -> NDArray[np.bool_]:
        return np.array([[kind in wanted] for kind in kinds], dtype=bool).reshape(-1, 1)

    placed = of(*_PLACED_ALONG)
    return _Which(
        along=of(Kind.ALONG),
        across=of(Kind.ACROSS),
        on_body=of(*ON_BODY),
        is_on_body=mask(*ON_BODY),
        is_outline=mask(Kind.LEFT, Kind.RIGHT),
        placed=placed,
        ways=np.array([_PLACED_ALONG[kinds[k]] for k in placed], dtype=int).reshape(-1, 2),
    )


def _left_jacobian(rotvec: Floats) -> Floats:
    """Turn of the axes by each component of a rotation vector, as columns, ``(3, 3)``.

    ``I + (1 − cos θ)/θ² [w]× + (θ − sin θ)/θ³ [w]×²`` (Chirikjian, Stochastic Models,
    Information Theory, and Lie Groups 2, 2011, equation 10.86, from memory).
    """
    theta = float(np.linalg.norm(rotvec))
    skew = cross(rotvec, np.eye(3)).T
    if theta < 1e-4:
        return np.eye(3) + skew / 2 + skew @ skew / 6
    first = (1 - np.cos(theta)) / theta**2
    return np.eye(3) + first * skew + (theta - np.sin(theta)) / theta**3 * skew @ skew
