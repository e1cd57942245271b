"""The pinhole camera of the drawn clips."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.scenes.scene import Scene, View

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Camera:
    """A pinhole in the practical frame; pixel centres on whole numbers.

    ``axes`` has rows right, down, forward, shape ``(3, 3)``; ``at`` has shape ``(3,)``.
    """

    at: Floats
    axes: Floats
    focal_px: float
    width: int
    height: int

    def project(self, points: Floats) -> Floats:
        """Pixels ``(x, y)``, shape ``(N, 2)``, of points of shape ``(N, 3)``, metres."""
        seen = (np.atleast_2d(points) - self.at) @ self.axes.T
        return seen[:, :2] / seen[:, 2:] * self.focal_px + self.centre

    @property
    def centre(self) -> Floats:
        """The principal point, pixels ``(x, y)``."""
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2])

    def rays(self, x: NDArray, y: NDArray) -> NDArray[np.float32]:
        """Directions of unit depth, shape ``x.shape + (3,)``, through pixels."""
        across = ((x - self.centre[0]) / self.focal_px)[..., None]
        along = ((y - self.centre[1]) / self.focal_px)[..., None]
        right, down, forward = self.axes
        return (across * right + along * down + forward).astype(np.float32)

    def shaken(self, turn_rad: Floats, shift_m: Floats) -> Camera:
        """Turned by a small rotation vector in its own axes, and shifted."""
        spin, _ = cv2.Rodrigues(np.asarray(turn_rad, float))
        return replace(self, at=self.at + shift_m @ self.axes, axes=spin @ self.axes)


def camera_of(scene: Scene) -> Camera:
    """The resting camera, shifted sideways so that the practical is in mid-picture."""
    camera = _aimed(scene.view, _middle(scene), scene.mirror)
    for _ in range(4):
        low, high = _extent(camera, scene)
        off = (low + high) / 2 - camera.centre
        shift = off / camera.focal_px * scene.view.distance_m
        camera = replace(camera, at=camera.at + shift @ camera.axes[:2])
    return camera


def fitted(scene: Scene, margin: float = 0.06, farthest_m: float = 1.5) -> Scene:
    """The scene with its camera moved back until the practical fits the picture."""
    view = scene.view
    while view.distance_m < farthest_m:
        low, high = _extent(camera_of(replace(scene, view=view)), scene)
        edge = margin * min(view.width, view.height)
        size = np.array([view.width, view.height])
        if np.all(low > edge) and np.all(high < size - edge):
            break
        view = replace(view, distance_m=min(view.distance_m * 1.03, farthest_m))
    return replace(scene, view=view)


def tilted(points: Floats, tilt_rad: float) -> Floats:
    """Points of the board's frame, shape ``(N, 3)``, when the board is tilted."""
    return np.asarray(points) @ turn(tilt_rad).T


def turn(tilt_rad: float) -> Floats:
    """The rotation about the hinge that raises ``+x``."""
    c, s = cos(tilt_rad), sin(tilt_rad)
    return np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]])


def _aimed(view: View, target: Floats, mirror: int) -> Camera:
    yaw, pitch, roll = map(radians, (view.yaw_deg, view.pitch_deg, view.roll_deg))
    forward = np.array([sin(yaw) * cos(pitch), cos(yaw) * cos(pitch), -sin(pitch)])
    level = np.array([cos(yaw), -sin(yaw), 0.0])
    below = np.cross(forward, level)
    right = cos(roll) * level + sin(roll) * below
    down = cos(roll) * below - sin(roll) * level
    flip = np.array([mirror, 1, 1])
    axes = np.array([right, down, forward]) * flip
    at = target - axes[2] * view.distance_m
    return Camera(at, axes, view.focal_px, view.width, view.height)


def _middle(scene: Scene) -> Floats:
    return np.array([scene.board.length_m / 2, 0.0, scene.body.height_m / 2])


def _extent(camera: Camera, scene: Scene) -> tuple[Floats, Floats]:
    """Corners in pixels of all the board and body pass through up to the brink."""
    board, body = scene.board, scene.body
    half = board.width_m / 2
    corners = [(x, y, 0.0) for x in (0.0, board.length_m) for y in (-half, half)]
    top = board.top_m + body.height_m
    lid = [
        (board.body_at_m + dx, board.body_aside_m + dy, top)
        for dx in (-body.radius_m, body.radius_m)
        for dy in (-body.radius_m, body.radius_m)
    ]
    highest = min(body.brink_rad, radians(scene.lift.most_deg)) + radians(3)
    tilts = np.linspace(radians(scene.lift.start_deg), highest, 4)
    seen = np.concatenate([camera.project(tilted(np.array(corners + lid), tilt)) for tilt in tilts])
    return seen.min(axis=0), seen.max(axis=0)
