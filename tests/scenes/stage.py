"""The furniture of a scene, and the light on it."""

from __future__ import annotations

from functools import cached_property
from math import pi

import numpy as np
from numpy.typing import NDArray

from tests.scenes.camera import turn
from tests.scenes.scene import Scene
from tests.scenes.shapes import Box, Capsule, Cylinder, Paint, Pose, Solid
from tests.scenes.textures import (
    BODY_TEXEL_M,
    PLANE_TEXEL_M,
    body_texture,
    grain_texture,
    look_up,
    softened,
    wall_texture,
)

WALL_AT_M = 0.75
"""Distance of the wall behind the hinge's middle."""
_SKIN, _SLEEVE, _STEEL = (0.25, 0.35, 0.55), (0.28, 0.11, 0.06), (0.45, 0.45, 0.45)
_LID_HEIGHT_M = 0.014


class Stage:
    """What is there to be seen, for any tilt, lean and slip."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self._rng = np.random.default_rng(scene.seed + 1)
        self.body_texture = body_texture(scene.body, self._rng)
        self.grains = softened(grain_texture(scene.look, self._rng))
        self.wall = wall_texture(scene.look, self._rng)
        self._spin = self._rng.uniform(-0.6, 0.6)

    @cached_property
    def to_light(self) -> NDArray:
        """Unit vector to the main light, practical frame."""
        towards = np.array([-0.45 * self.scene.mirror, -0.55, 0.75])
        return towards / np.linalg.norm(towards)

    def solids(self, tilt_rad: float, lean_rad: float, slip_m: float, gap_m: float) -> list[Solid]:
        """Everything that moves, at one moment."""
        board = Pose(turn(tilt_rad).T, np.zeros(3))
        return [
            *self._board(board, slip_m, lean_rad),
            *self._body(tilt_rad, lean_rad, slip_m, gap_m),
            *(self._hand(board) if self.scene.look.hand else []),
        ]

    def clutter(self) -> list[Solid]:
        """Books and a mug that stand still, behind and beside the practical."""
        if not self.scene.look.clutter:
            return []
        rng = np.random.default_rng(self.scene.seed + 4)
        solids: list[Solid] = []
        for pile, x in enumerate(rng.uniform([-0.55, 0.45], [-0.3, 0.7])):
            height = 0.0
            for _ in range(int(rng.integers(1, 4)) - pile):
                thick = float(rng.uniform(0.02, 0.045))
                at = np.array([x, rng.uniform(0.4, 0.5), height])
                spine = turned_about_z(rng.uniform(-0.4, 0.4))
                paint = _flat(tuple(rng.uniform(0.03, 0.5, 3)))
                solids.append(Box(Pose(spine, at), (0.21, 0.15, thick), paint))
                height += thick
        mug = Pose(np.eye(3), np.array([rng.uniform(0.4, 0.6), 0.33, 0.0]))
        solids.append(Cylinder(mug, 0.04, 0.095, _flat(tuple(rng.uniform(0.05, 0.6, 3)))))
        return solids

    def _board(self, pose: Pose, slip_m: float, lean_rad: float) -> list[Solid]:
        board = self.scene.board
        size = (board.length_m, board.width_m, board.thickness_m)
        near_base = _BaseShadow(self.scene, slip_m, lean_rad)
        solids: list[Solid] = [Box(pose, size, near_base.over(self._wood, 0.0))]
        if board.mat_thickness_m > 0:
            margin, clip = board.mat_margin_m, 0.03
            at = pose.world(np.array([[margin, 0, board.thickness_m]]))[0]
            mat = (
                board.length_m - margin - clip,
                board.width_m - 2 * margin,
                board.mat_thickness_m,
            )
            paint = near_base.over(_flat(board.mat_colour), margin)
            solids.append(Box(Pose(pose.axes, at), mat, paint))
        return solids

    def _wood(self, points: NDArray, _part: NDArray) -> NDArray:
        row = (points[:, 1] + points[:, 2] + 0.7) / PLANE_TEXEL_M
        grain = look_up(self.grains[0], row, points[:, 0] / PLANE_TEXEL_M + 900)
        return np.array(self.scene.board.colour, np.float32) * grain

    def _body(self, tilt_rad: float, lean_rad: float, slip_m: float, gap_m: float) -> list[Solid]:
        body = self.scene.body
        pose = body_pose(self.scene, tilt_rad, lean_rad, slip_m, gap_m)
        side = body.height_m - (_LID_HEIGHT_M if body.lid else 0.0)
        solids: list[Solid] = [Cylinder(pose, body.radius_m, side, self._print)]
        if body.lid:
            at = pose.world(np.array([[0, 0, side]]))[0]
            lid = Pose(pose.axes, at)
            paint = _flat(body.second_colour)
            solids.append(Cylinder(lid, body.radius_m + 0.0008, _LID_HEIGHT_M, paint))
        return solids

    def _print(self, points: NDArray, part: NDArray) -> NDArray:
        around = np.arctan2(self.scene.mirror * points[:, 0], -points[:, 1]) + self._spin
        column = (around / (2 * pi) + 0.5) * self.body_texture.shape[1]
        found = look_up(self.body_texture, points[:, 2] / BODY_TEXEL_M, column)
        found[part > 0] = self.scene.body.colour
        return found

    def _hand(self, board: Pose) -> list[Solid]:
        """A clip on the lifted end, fingers over it, and a sleeve out of the picture."""
        size, aside = self.scene.board, self.scene.look.hand_aside_m
        end, top = size.length_m, size.thickness_m
        at = board.world(np.array([[end - 0.028, aside, top]]))[0]
        solids: list[Solid] = [Box(Pose(board.axes, at), (0.034, 0.05, 0.007), _flat(_STEEL))]
        knuckle = np.array([end + 0.05, aside, top + 0.008])
        for k, across in enumerate((-0.022, 0.0, 0.022)):
            tip = np.array([end - 0.012 + 0.004 * k, aside + across, top + 0.014])
            solids.append(_rod(board, tip, knuckle + [0, across, 0], 0.008, _SKIN))
        thumb = np.array([end - 0.006, aside, -0.006])
        solids.append(_rod(board, thumb, knuckle - [0, 0, 0.016], 0.009, _SKIN))
        wrist = knuckle + [0.07, 0, 0.0]
        solids.append(_rod(board, knuckle + [0.01, 0, 0], wrist, 0.026, _SKIN))
        solids.append(_rod(board, wrist, wrist + [0.6, 0.02, 0.02], 0.038, _SLEEVE))
        return solids


def body_pose(scene: Scene, tilt_rad: float, lean_rad: float, slip_m: float, gap_m: float) -> Pose:
    """Origin in the middle of the base; it leans about its lower rim."""
    rim = np.array(
        [
            scene.board.body_at_m - scene.body.radius_m - slip_m,
            scene.board.body_aside_m,
            scene.board.top_m + gap_m,
        ]
    )
    axes = turn(tilt_rad + lean_rad).T
    at = turn(tilt_rad) @ rim + axes[0] * scene.body.radius_m
    return Pose(axes, at)


def turned_about_z(angle_rad: float) -> NDArray:
    """Axes, as rows, of a solid turned about the upright."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])


class _BaseShadow:
    """The darkening of the surface close round the body's base, and its soft shadow."""

    def __init__(self, scene: Scene, slip_m: float, lean_rad: float) -> None:
        self._x = scene.board.body_at_m - slip_m
        self._y = scene.board.body_aside_m
        self._radius = scene.body.radius_m
        self._mirror = scene.mirror
        self._strength = 1 / (1 + 6 * abs(lean_rad))

    def over(self, paint: Paint, origin_x: float) -> Paint:
        """The same paint, in this shadow; ``origin_x`` is the solid's along the board."""

        def shadowed(points: NDArray, part: NDArray) -> NDArray:
            x = points[:, 0] + np.float32(origin_x - self._x)
            y = points[:, 1] - np.float32(self._y)
            gap = np.maximum(np.hypot(x, y) - self._radius, 0)
            along = (0.6 * self._mirror * x + 0.8 * y) / np.hypot(x, y).clip(1e-6)
            cast = np.exp(-gap / 0.05) * np.clip(along, 0, 1) ** 2
            dark = self._strength * (0.45 * np.exp(-gap / 0.006) + 0.4 * cast)
            return paint(points, part) * (1 - dark[:, None])

        return shadowed


def _flat(colour: tuple[float, float, float]) -> Paint:
    def paint(points: NDArray, _part: NDArray) -> NDArray:
        return np.broadcast_to(np.array(colour, np.float32), points.shape)

    return paint


def _rod(board: Pose, one: NDArray, two: NDArray, radius: float, colour) -> Capsule:
    """A capsule between two points of the board's frame."""
    ends = board.world(np.array([one, two]))
    along = ends[1] - ends[0]
    length = float(np.linalg.norm(along))
    z = along / length
    x = np.cross(z, [0.3, 0.9, 0.1])
    x /= np.linalg.norm(x)
    return Capsule(Pose(np.array([x, np.cross(z, x), z]), ends[0]), radius, length, _flat(colour))
