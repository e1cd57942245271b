"""How far measured points lie from the scene's edges, and how that answers to its unknowns.

With ``q`` a pixel's ray, ``P`` a point of an edge and ``D`` its direction, the plane of
the edge and the camera's centre has the normal ``m = P × D``, and the pixel lies
``f (m · q) / h`` from the line that is seen, with ``h = hypot(m_x, m_y)``. By an unknown
this changes by ``f/h [dP · (D × q') + dD · (q' × P)]``, where
``q' = q − (m · q)/h² (m_x, m_y, 0)`` takes the change of ``h`` along.

An outline's ``P`` is where the plane touches the body. It slides over the body as that
moves, but within the plane, which leaves the line where it is.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from vision.edges import ON_BODY, Kind, cross
from vision.scene import BEHIND, CAMERA, LEAN, SHIFT_X, SLIP, TILT, Scene

Floats = NDArray[np.float64]


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
        self._off = np.einsum("nlpc,nlc->nlp", self._rays, self._normal)
        self._sway = BEHIND * own[:, SHIFT_X:]
        self._slip = own[:, SLIP, None, None]
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
    def _places(self) -> Floats:
        places = np.zeros((1, len(self._scene.lines), 2, 1))
        for k, place in enumerate(self._scene.places()):
            places[0, k, : len(place), 0] = place
        return places

    def by_own(self) -> Floats:
        """Shape ``(N, L, 2, 5)``."""
        # A shift moves the hinge, and the background the other way.
        by_shift = self._by_hinge()
        by_shift += BEHIND * (self._normal[..., :2] * self._scale[..., None])[:, :, None]
        return np.concatenate([self._by_motion(), by_shift], axis=-1)

    def by_shared(self) -> Floats:
        """Shape ``(N, L, 2, S)``."""
        # What a pixel's ray owes to the sway does not change with the focal length.
        swayed = np.einsum("nlc,nc->nl", self._normal[..., :2], self._sway)
        by_focal = (self._normal[..., 2] + swayed) * self._scale
        by_focal = np.broadcast_to(by_focal[..., None, None], (*self.distances.shape, 1))
        common = [self._by_turn(), by_focal, self._by_hinge(), self._by_body()]
        places = self._by_places()
        placed = [k for k, line in enumerate(self._scene.lines) if not line.is_outline]
        own_places = np.zeros((*places.shape[:3], len(placed), 2))
        own_places[:, placed, :, np.arange(len(placed))] = places.swapaxes(0, 1)[placed]
        return np.concatenate([*common, own_places.reshape(*places.shape[:3], -1)], axis=-1)

    def _answer(self, by_point: Floats, by_direction: Floats) -> Floats:
        """From how points and directions change, ``(N, L, K, 3)``, to ``(N, L, 2, K)``."""
        of_point, of_direction = self._of_both
        change = of_point @ by_point.swapaxes(-1, -2)
        change += of_direction @ by_direction.swapaxes(-1, -2)
        return change

    def _of(self, *kinds: Kind) -> list[int]:
        return [k for k, line in enumerate(self._scene.lines) if line.kind in kinds]

    def _still(self, unknowns: int) -> tuple[Floats, Floats]:
        shape = (*self._points.shape[:2], unknowns, 3)
        return np.zeros(shape), np.zeros(shape)

    def _by_hinge(self) -> Floats:
        by_point, by_direction = self._still(2)
        by_point[..., 0, 0] = by_point[..., 1, 1] = 1.0
        return self._answer(by_point, by_direction)

    def _by_turn(self) -> Floats:
        """By the rotation vector of the camera: all but the hinge turns."""
        turns = _left_jacobian(self._scene.shared[:3]).T
        away = self._points - self._at.hinge[:, None]
        return self._answer(
            cross(turns, away[:, :, None]), cross(turns, self._directions[:, :, None])
        )

    def _by_motion(self) -> Floats:
        """By tilt, lean and slip."""
        by_point, by_direction = self._still(3)
        at, place = self._at, self._places
        u, n, across, axis = (v[:, None] for v in (at.u, at.n, at.across, at.axis))
        k = self._of(Kind.ALONG)
        by_point[:, k, TILT], by_direction[:, k, TILT] = -place[:, k, 0] * u, n
        k = self._of(Kind.ACROSS)
        by_point[:, k, TILT] = place[:, k, 0] * n - place[:, k, 1] * u
        k = self._of(*ON_BODY)
        about_pivot = (self._scene.radius + place[:, k, 0]) * axis
        to_pivot = (self._scene.shared[CAMERA] - self._scene.radius - self._slip) * n
        by_point[:, k, TILT], by_direction[:, k, TILT] = about_pivot + to_pivot, -across
        by_point[:, k, LEAN], by_direction[:, k, LEAN] = about_pivot, -across
        by_point[:, k, SLIP] = -u
        return self._answer(by_point, by_direction)

    def _by_body(self) -> Floats:
        """By the body's place up the slope, its place along the hinge, and its radius."""
        by_point, by_direction = self._still(3)
        at = self._at
        k = self._of(*ON_BODY)
        by_point[:, k, 0], by_point[:, k, 1] = at.u[:, None], at.e3
        by_point[:, k, 2] = (at.across - at.u)[:, None]
        k = self._of(Kind.LEFT, Kind.RIGHT)
        by_point[:, k, 2] += (self._points[:, k] - at.base[:, None]) / self._scene.radius
        return self._answer(by_point, by_direction)

    def _by_places(self) -> Floats:
        """Each line's own two unknowns, ``(N, L, 2, 2)``."""
        by_point, by_direction = self._still(2)
        at = self._at
        e3 = np.broadcast_to(at.e3, at.u.shape)
        ways = {Kind.ALONG: (at.n, e3), Kind.ACROSS: (at.u, at.n), Kind.AXIAL: (at.across, e3)}
        for kind, (first, second) in ways.items():
            k = self._of(kind)
            by_point[:, k, 0], by_point[:, k, 1] = first[:, None], second[:, None]
        return self._answer(by_point, by_direction)


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
