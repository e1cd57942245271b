"""Rays against boxes, cylinders and capsules, in single precision."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Rays = NDArray[np.float32]
Paint = Callable[[NDArray, NDArray], NDArray]
"""From local points ``(N, 3)`` and parts ``(N,)`` to reflectance ``(N, 3)``, BGR."""

MISS = np.float32(np.inf)


@dataclass(frozen=True)
class Pose:
    """Where a solid is: ``world = axes.T @ local + at``; axes has local axes as rows."""

    axes: NDArray
    at: NDArray

    def local(self, start: NDArray, rays: Rays) -> tuple[Rays, Rays]:
        """A common start, shape ``(3,)``, and rays ``(..., 3)``, in the solid's frame."""
        origin = self.axes @ (start - self.at)
        return origin.astype(np.float32), rays @ self.axes.T.astype(np.float32)

    def world(self, points: NDArray) -> NDArray:
        """Points ``(N, 3)`` of the solid in the practical frame."""
        return points @ self.axes + self.at


@dataclass(frozen=True)
class Box:
    """Of full size ``size``, its origin at the middle of its ``-x`` lower edge."""

    pose: Pose
    size: tuple[float, float, float]
    paint: Paint

    def corners(self) -> NDArray:
        """World corners, shape ``(8, 3)``."""
        x, y, z = self.size
        grid = [(i * x, (j - 0.5) * y, k * z) for i in (0, 1) for j in (0, 1) for k in (0, 1)]
        return self.pose.world(np.array(grid))

    def meet(self, start: Rays, rays: Rays) -> tuple[NDArray, NDArray]:
        """Depth of the first hit, ``inf`` where none, and the face, 0 to 5."""
        x, y, z = self.size
        enter, leave = np.float32(-np.inf), np.float32(np.inf)
        face = np.zeros(rays.shape[:-1], np.int16)
        for axis, (low, high) in enumerate([(0, x), (-y / 2, y / 2), (0, z)]):
            with np.errstate(divide="ignore", invalid="ignore"):
                inverse = 1 / rays[..., axis]
                one = (np.float32(low) - start[axis]) * inverse
                two = (np.float32(high) - start[axis]) * inverse
            near = np.minimum(one, two)
            face = np.where(near > enter, 2 * axis + (inverse < 0), face)
            enter = np.maximum(enter, near)
            leave = np.minimum(leave, np.maximum(one, two))
        hit = (enter < leave) & (enter > 0)
        return np.where(hit, enter, MISS), face.astype(np.int16)

    def normal(self, _points: NDArray, part: NDArray) -> NDArray:
        """Outward unit normals in the solid's frame, shape ``(N, 3)``."""
        normals = np.zeros((part.size, 3), np.float32)
        normals[np.arange(part.size), part // 2] = np.where(part % 2, 1, -1)
        return normals


@dataclass(frozen=True)
class Cylinder:
    """Standing on the origin along its ``z``; parts: side 0, bottom 1, top 2."""

    pose: Pose
    radius: float
    height: float
    paint: Paint

    def corners(self) -> NDArray:
        """World corners of the box round it, shape ``(8, 3)``."""
        r, h = self.radius, self.height
        grid = [(x, y, z) for x in (-r, r) for y in (-r, r) for z in (0, h)]
        return self.pose.world(np.array(grid))

    def meet(self, start: Rays, rays: Rays) -> tuple[NDArray, NDArray]:
        """Depth of the first hit, ``inf`` where none, and the part."""
        side = side_depth(start, rays, self.radius)
        z = start[2] + side * rays[..., 2]
        side = np.where((z >= 0) & (z <= self.height), side, MISS)
        bottom, top = (self._cap(start, rays, level) for level in (0.0, self.height))
        depth = np.minimum(np.minimum(side, bottom), top)
        return depth, np.where(depth == side, 0, np.where(depth == bottom, 1, 2)).astype(np.int16)

    def _cap(self, start: Rays, rays: Rays, level: float) -> NDArray:
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = (np.float32(level) - start[2]) / rays[..., 2]
            x, y = start[0] + depth * rays[..., 0], start[1] + depth * rays[..., 1]
            inside = (x * x + y * y <= self.radius**2) & (depth > 0)
        return np.where(inside, depth, MISS)

    def normal(self, points: NDArray, part: NDArray) -> NDArray:
        """Outward unit normals in the solid's frame, shape ``(N, 3)``."""
        normals = points / np.float32(self.radius)
        normals[:, 2] = 0
        normals[part > 0] = 0
        normals[part == 1, 2], normals[part == 2, 2] = -1, 1
        return normals


@dataclass(frozen=True)
class Capsule:
    """A rod with round ends: ``length`` along its ``z`` from the origin."""

    pose: Pose
    radius: float
    length: float
    paint: Paint

    def corners(self) -> NDArray:
        """World corners of the box round it, shape ``(8, 3)``."""
        r = self.radius
        ends = (-r, self.length + r)
        grid = [(x, y, z) for x in (-r, r) for y in (-r, r) for z in ends]
        return self.pose.world(np.array(grid))

    def meet(self, start: Rays, rays: Rays) -> tuple[NDArray, NDArray]:
        """Depth of the first hit, ``inf`` where none; a capsule is one part."""
        side = side_depth(start, rays, self.radius)
        z = start[2] + side * rays[..., 2]
        depth = np.where((z >= 0) & (z <= self.length), side, MISS)
        for end in (0.0, self.length):
            depth = np.minimum(
                depth,
                _ball_depth(start - np.array([0, 0, end], np.float32), rays, self.radius),
            )
        return depth, np.zeros(depth.shape, np.int16)

    def normal(self, points: NDArray, _part: NDArray) -> NDArray:
        """Outward unit normals in the solid's frame, shape ``(N, 3)``."""
        normals = points.copy()
        normals[:, 2] -= np.clip(points[:, 2], 0, self.length)
        return normals / np.float32(self.radius)


Solid = Box | Cylinder | Capsule


def side_depth(start: Rays, rays: Rays, radius: float) -> NDArray:
    """Where rays enter an endless cylinder about ``z``; ``inf`` where they miss."""
    dx, dy = rays[..., 0], rays[..., 1]
    square = dx * dx + dy * dy
    miss_by = start[0] * dy - start[1] * dx
    reach = square * np.float32(radius**2) - miss_by * miss_by
    with np.errstate(divide="ignore", invalid="ignore"):
        depth = (-(start[0] * dx + start[1] * dy) - np.sqrt(reach)) / square
    return np.where((reach > 0) & (depth > 0), depth, MISS)


def _ball_depth(start: Rays, rays: Rays, radius: float) -> NDArray:
    square = (rays * rays).sum(axis=-1)
    along = rays @ start
    reach = along * along - square * np.float32(start @ start - radius**2)
    with np.errstate(invalid="ignore"):
        depth = (-along - np.sqrt(reach)) / square
    return np.where((reach > 0) & (depth > 0), depth, MISS)
