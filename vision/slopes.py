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

import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled
from vision.edges import ACROSS, AXIS, BASE, E3, HINGE, Kind, N, U
from vision.scene import BEHIND, BODY, CAMERA, LEAN, SHIFT_X, SHIFT_Y, SLIP, TILT, Scene

Floats = NDArray[np.float64]
Answer = tuple[float, float, float, float, float, float, float, float, float]


def distances(scene: Scene, own: Floats, points: Floats) -> Floats:
    """Signed distances in pixels of ``points`` ``(N, L, 2, 2)`` from their edges, ``(N, L, 2)``."""
    return Slopes(scene, own, points).distances


class Slopes:
    """The distances, and their derivatives by each frame's unknowns and by the scene's."""

    def __init__(self, scene: Scene, own: Floats, points: Floats) -> None:
        # Arrays laid out otherwise would have all compiled once more.
        points, own = np.ascontiguousarray(points), np.ascontiguousarray(own)
        self._scene, self._own, self._at = scene, own, scene.frames(own)
        rays, self.distances = np.empty_like(points), np.empty(points.shape[:3])
        """Shape ``(N, L, 2)``."""
        self._edges = *scene.edges_at(self._at), rays, scene.focal_px
        _measure(points, scene.middle_px, own, *self._edges, self.distances)

    def by_own(self) -> Floats:
        """Shape ``(N, L, 2, 5)``."""
        out = np.empty((*self.distances.shape, 5))
        _by_own(*self._edges, *self._moved, out)
        return out

    def by_shared(self) -> Floats:
        """Shape ``(N, L, 2, S)``."""
        out = np.zeros((*self.distances.shape, len(self._scene.shared)))
        _by_shared(*self._edges, *self._moved, _left_jacobian(self._scene.shared[:3]), out)
        return out

    @property
    def _moved(self) -> tuple[NDArray[np.int64], Floats, Floats, Floats, Floats]:
        scene = self._scene
        return scene.kinds, scene.places, scene.shared, self._at.vectors, self._own


@compiled
def _measure(
    pixels: Floats,
    middle: Floats,
    own: Floats,
    points: Floats,
    directions: Floats,
    rays: Floats,
    focal: float,
    distances: Floats,
) -> None:
    for k in range(len(rays)):
        sway_x, sway_y = BEHIND * own[k, SHIFT_X], BEHIND * own[k, SHIFT_Y]
        for line in range(rays.shape[1]):
            px, py, pz = points[k, line]
            dx, dy, dz = directions[k, line]
            mx, my, mz = py * dz - pz * dy, pz * dx - px * dz, px * dy - py * dx
            scale = focal / np.sqrt(mx * mx + my * my)
            for which in range(2):
                x = (pixels[k, line, which, 0] - middle[0]) / focal + sway_x
                y = (pixels[k, line, which, 1] - middle[1]) / focal + sway_y
                rays[k, line, which, 0], rays[k, line, which, 1] = x, y
                distances[k, line, which] = (mx * x + my * y + mz) * scale


@compiled
def _answer(point: Floats, direction: Floats, ray: Floats, focal: float) -> Answer:
    """How a distance answers to moves of the edge's point, to turns of its direction, and to
    the ray's x and y; and by how much it grows with the logarithm of the focal length, were
    the ray to do as its pixel does."""
    px, py, pz = point
    dx, dy, dz = direction
    mx, my, mz = py * dz - pz * dy, pz * dx - px * dz, px * dy - py * dx
    size = mx * mx + my * my
    scale = focal / np.sqrt(size)
    off = (mx * ray[0] + my * ray[1] + mz) / size
    x, y, z = scale * (ray[0] - off * mx), scale * (ray[1] - off * my), scale
    return (
        dy * z - dz * y, dz * x - dx * z, dx * y - dy * x,
        y * pz - z * py, z * px - x * pz, x * py - y * px,
        scale * mx, scale * my, scale * mz,
    )  # fmt: skip


@compiled
def _part(x: float, y: float, z: float, way: Floats) -> float:
    """What of a vector lies along one of the scene's own directions."""
    return x * way[0] + y * way[1] + z * way[2]


@compiled
def _by_own(
    points: Floats,
    directions: Floats,
    rays: Floats,
    focal: float,
    kinds: NDArray[np.int64],
    places: Floats,
    shared: Floats,
    vectors: Floats,
    own: Floats,
    out: Floats,
) -> None:
    foot, radius = shared[CAMERA] - shared[CAMERA + 2], shared[CAMERA + 2]
    for k in range(len(rays)):
        at = vectors[k]
        for line in range(len(kinds)):
            kind, first, second = kinds[line], places[line, 0], places[line, 1]
            about_pivot = radius + first if kind == Kind.AXIAL else radius
            for which in range(2):
                ax, ay, az, bx, by, bz, to_x, to_y, _ = _answer(
                    points[k, line], directions[k, line], rays[k, line, which], focal
                )
                by_u = _part(ax, ay, az, at[U])
                by_n = _part(ax, ay, az, at[N])
                lean = slip = 0.0
                if kind == Kind.ALONG:
                    tilt = _part(bx, by, bz, at[N]) - first * by_u
                elif kind == Kind.ACROSS:
                    tilt = first * by_n - second * by_u
                else:
                    lifted = _part(ax, ay, az, at[AXIS])
                    turned = _part(bx, by, bz, at[ACROSS])
                    lean, slip = about_pivot * lifted - turned, -by_u
                    tilt = lean + (foot - own[k, SLIP]) * by_n
                row = out[k, line, which]
                row[TILT], row[LEAN], row[SLIP] = tilt, lean, slip
                # A shift moves the hinge, and the background the other way.
                row[SHIFT_X], row[SHIFT_Y] = ax + BEHIND * to_x, ay + BEHIND * to_y


@compiled
def _by_shared(
    points: Floats,
    directions: Floats,
    rays: Floats,
    focal: float,
    kinds: NDArray[np.int64],
    places: Floats,
    shared: Floats,
    vectors: Floats,
    own: Floats,
    jacobian: Floats,
    out: Floats,
) -> None:
    for k in range(len(rays)):
        at, placed = vectors[k], CAMERA + BODY
        for line in range(len(kinds)):
            kind = kinds[line]
            px, py, pz = points[k, line]
            dx, dy, dz = directions[k, line]
            x, y, z = px - at[HINGE, 0], py - at[HINGE, 1], pz - at[HINGE, 2]
            for which in range(2):
                ax, ay, az, bx, by, bz, to_x, to_y, to_z = _answer(
                    points[k, line], directions[k, line], rays[k, line, which], focal
                )
                row = out[k, line, which]
                # By the rotation vector of the camera: all but the hinge turns.
                tx = y * az - z * ay + dy * bz - dz * by
                ty = z * ax - x * az + dz * bx - dx * bz
                tz = x * ay - y * ax + dx * by - dy * bx
                for turn in range(3):
                    row[turn] = (
                        tx * jacobian[0, turn] + ty * jacobian[1, turn] + tz * jacobian[2, turn]
                    )
                # What a pixel's ray owes to the sway does not change with the focal length.
                row[3] = to_z + BEHIND * (to_x * own[k, SHIFT_X] + to_y * own[k, SHIFT_Y])
                row[4], row[5] = ax, ay
                by_u = _part(ax, ay, az, at[U])
                by_n = _part(ax, ay, az, at[N])
                by_e3 = _part(ax, ay, az, at[E3])
                by_across = _part(ax, ay, az, at[ACROSS])
                if kind == Kind.ALONG:
                    row[placed], row[placed + 1] = by_n, by_e3
                elif kind == Kind.ACROSS:
                    row[placed], row[placed + 1] = by_u, by_n
                else:
                    row[CAMERA], row[CAMERA + 1], row[CAMERA + 2] = by_u, by_e3, by_across - by_u
                    if kind == Kind.AXIAL:
                        row[placed], row[placed + 1] = by_across, by_e3
                    else:
                        out_x, out_y = px - at[BASE, 0], py - at[BASE, 1]
                        widened = ax * out_x + ay * out_y + az * (pz - at[BASE, 2])
                        row[CAMERA + 2] += widened / shared[CAMERA + 2]
            if kind < Kind.LEFT:
                placed += 2


def _left_jacobian(rotvec: Floats) -> Floats:
    """Turn of the axes by each component of a rotation vector, as columns, ``(3, 3)``.

    ``I + (1 − cos θ)/θ² [w]× + (θ − sin θ)/θ³ [w]×²`` (Chirikjian, Stochastic Models,
    Information Theory, and Lie Groups 2, 2011, equation 10.86, from memory).
    """
    x, y, z = rotvec
    theta2 = x * x + y * y + z * z
    theta = np.sqrt(theta2)
    first, second = 1 / 2, 1 / 6
    if theta > 1e-4:
        first, second = (1 - np.cos(theta)) / theta2, (theta - np.sin(theta)) / (theta2 * theta)
    skew = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + first * skew + second * (np.outer(rotvec, rotvec) - theta2 * np.eye(3))
