"""Draw one moment of a scene: rays for what moves, planes for the room behind.

One ray a pixel, and sixteen wherever a pixel holds more than one surface.  Light adds
up linearly; the lens's blur comes before the gamma, as in a camera.
"""

from __future__ import annotations

from math import sin, tan
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.scenes.camera import Camera
from tests.scenes.shapes import Solid
from tests.scenes.stage import WALL_AT_M, Stage
from tests.scenes.textures import PLANE_TEXEL_M, look_up

Image = NDArray[Any]
"""Of float32, BGR; OpenCV's own annotations are wider."""
Window = tuple[slice, slice]
_AMBIENT, _KEY, _GAMMA, _FINE, _PARTS = 0.45, 0.75, 1 / 2.2, 16, 8


class Painter:
    """Draws a stage through a camera, in linear light, BGR, shape ``(H, W, 3)``."""

    def __init__(self, stage: Stage, camera: Camera) -> None:
        self._stage, self._camera = stage, camera
        x, y = np.meshgrid(
            np.arange(camera.width, dtype=np.float32),
            np.arange(camera.height, dtype=np.float32),
        )
        self._rays = camera.rays(x, y)
        self._room = Room(stage, camera)
        self.background = self._room.draw(self._rays)
        everything = slice(0, camera.height), slice(0, camera.width)
        self._add(stage.clutter(), self.background, everything)

    def window(self, moments: NDArray) -> Window:
        """What the moving things and their shadow cover, for ``(tilt, lean, slip, gap)`` rows."""
        boxes = [self._window_of(self._room.shadow_corners(m[0])) for m in moments]
        boxes += [self._window_of(s.corners()) for m in moments for s in self._stage.solids(*m)]
        rows = slice(min(b[0].start for b in boxes), max(b[0].stop for b in boxes))
        return rows, slice(min(b[1].start for b in boxes), max(b[1].stop for b in boxes))

    def draw(self, moment: NDArray, window: Window) -> Image:
        """The window of the picture at one ``(tilt, lean, slip, gap)``."""
        rays = self._rays[window]
        picture = self._room.shadowed(self.background[window], rays, moment[0])
        self._add(self._stage.solids(*moment), picture, window)
        return picture

    def _add(self, solids: list[Solid], picture: Image, window: Window) -> None:
        """Draw solids in front of what a window of the picture holds."""
        rays = self._rays[window]
        behind = picture.copy()
        depth = np.full(rays.shape[:2], np.inf, np.float32)
        kind = np.zeros(rays.shape[:2], np.int16)
        for k, solid in enumerate(solids):
            inner = _inside(self._window_of(solid.corners()), window)
            self._nearer(solid, k, rays[inner], depth[inner], kind[inner])
        seen = kind > 0
        picture[seen] = self._colour(solids, kind[seen], depth[seen], rays[seen])
        self._smooth_edges(solids, kind, rays, picture, behind, window)

    def _nearer(self, solid: Solid, k: int, rays, depth, kind) -> None:
        """Put a solid into ``depth`` and ``kind`` where it is the nearest so far."""
        start, turned = solid.pose.local(self._camera.at, rays)
        found, part = solid.meet(start, turned)
        nearer = found < depth
        depth[nearer] = found[nearer]
        kind[nearer] = 1 + k * _PARTS + part[nearer]

    def _colour(self, solids: list[Solid], kind, depth, rays) -> Image:
        """Light that comes along rays which met a solid, shape ``(N, 3)``."""
        colour = np.empty((kind.size, 3), np.float32)
        which, part = np.divmod(kind - 1, _PARTS)
        for k in np.unique(which):
            mine = which == k
            solid = solids[k]
            start, turned = solid.pose.local(self._camera.at, rays[mine])
            points = start + depth[mine, None] * turned
            normals = solid.normal(points, part[mine]) @ solid.pose.axes.astype(np.float32)
            light = lit(normals, self._stage.to_light)
            colour[mine] = solid.paint(points, part[mine]) * light[:, None]
        return colour

    def _smooth_edges(self, solids, kind, rays, picture, behind, window: Window) -> None:
        """Draw again, with many rays, the pixels where surfaces meet."""
        square = np.ones((3, 3), np.uint8)
        y, x = np.nonzero(cv2.dilate(kind, square) != cv2.erode(kind, square))
        if not y.size:
            return
        fine = self._fine_rays(rays[y, x])
        depth = np.full(fine.shape[:2], np.inf, np.float32)
        kinds = np.zeros(fine.shape[:2], np.int16)
        for k, solid in enumerate(solids):
            rows, columns = _inside(self._window_of(solid.corners()), window)
            mine = (y >= rows.start) & (y < rows.stop) & (x >= columns.start) & (x < columns.stop)
            part_depth, part_kind = depth[mine], kinds[mine]
            self._nearer(solid, k, fine[mine], part_depth, part_kind)
            depth[mine], kinds[mine] = part_depth, part_kind
        samples = np.repeat(behind[y, x][:, None], fine.shape[1], axis=1)
        seen = kinds > 0
        samples[seen] = self._colour(solids, kinds[seen], depth[seen], fine[seen])
        picture[y, x] = samples.mean(axis=1)

    def _fine_rays(self, rays: NDArray) -> NDArray:
        """Rays spread within each pixel, shape ``(N, _FINE, 3)``.

        A lattice with every row and column used once: level and upright edges, too,
        are true to a fraction of ``1 / _FINE`` of a pixel.
        """
        count = np.arange(_FINE)
        across = (count + 0.5) / _FINE - 0.5
        along = (7 * count % _FINE + 0.5) / _FINE - 0.5
        right, down, _ = self._camera.axes / self._camera.focal_px
        offsets = across.reshape(-1, 1) * right + along.reshape(-1, 1) * down
        return rays[:, None] + offsets.astype(np.float32)

    def _window_of(self, corners: NDArray) -> Window:
        camera = self._camera
        depth = (corners - camera.at) @ camera.axes[2]
        if np.any(depth < 0.02):
            return slice(0, camera.height), slice(0, camera.width)
        seen = camera.project(corners)
        (x0, y0), (x1, y1) = (
            np.floor(seen.min(axis=0)) - 2,
            np.ceil(seen.max(axis=0)) + 3,
        )
        columns, rows = (
            np.clip([x0, x1], 0, camera.width),
            np.clip([y0, y1], 0, camera.height),
        )
        return slice(int(rows[0]), int(rows[1])), slice(int(columns[0]), int(columns[1]))


class Room:
    """The table, the wall, and the shadow the board casts on the table."""

    def __init__(self, stage: Stage, camera: Camera) -> None:
        self._stage, self._camera = stage, camera

    def draw(self, rays: NDArray) -> Image:
        """The room without the practical, for rays of shape ``(H, W, 3)``."""
        at, focal = (
            self._camera.at.astype(np.float32),
            np.float32(self._camera.focal_px),
        )
        to_wall = (WALL_AT_M - at[1]) / rays[..., 1]
        height = at[2] + to_wall * rays[..., 2]
        wall_part = np.clip(height * focal / to_wall + 0.5, 0, 1)[..., None]
        wall = self._wall(at[0] + to_wall * rays[..., 0], np.maximum(height, 0))
        return wall_part * wall + (1 - wall_part) * self._table(rays)

    def _wall(self, x: NDArray, z: NDArray) -> Image:
        rows, columns = self._stage.wall.shape[:2]
        column = self._stage.scene.mirror * x / 0.002 + columns / 2
        light = lit(np.array([[0, -1, 0]], np.float32), self._stage.to_light)
        near_table = 1 - 0.3 * np.exp(-z / 0.06)[..., None]
        return look_up(self._stage.wall, z / 0.002 % rows, column % columns) * light * near_table

    def _table(self, rays: NDArray) -> Image:
        x, y, depth = self._on_table(rays)
        footprint = depth**2 / (self._camera.focal_px * self._camera.at[2]) / PLANE_TEXEL_M
        level = np.clip(np.log2(np.maximum(footprint, 1e-3)), 0, len(self._stage.grains) - 1)
        grain = np.zeros((*x.shape, 1), np.float32)
        for k, texture in enumerate(self._stage.grains):
            part = 1 - np.abs(level - k)
            mine = part > 0
            if not mine.any():
                continue
            found = look_up(texture, y[mine] / PLANE_TEXEL_M + 1024, x[mine] / PLANE_TEXEL_M + 1024)
            grain[mine] += part[mine][:, None] * found
        light = lit(np.array([[0, 0, 1]], np.float32), self._stage.to_light)
        return grain * np.array(self._stage.scene.look.table_colour, np.float32) * light

    def _on_table(self, rays: NDArray) -> tuple[NDArray, NDArray, NDArray]:
        """Where rays meet the table's plane, no farther than the wall, and how deep."""
        at = self._camera.at.astype(np.float32)
        with np.errstate(divide="ignore"):
            depth = np.where(rays[..., 2] < 0, -at[2] / rays[..., 2], np.inf)
        depth = np.minimum(depth, (WALL_AT_M - at[1]) / rays[..., 1])
        return at[0] + depth * rays[..., 0], at[1] + depth * rays[..., 1], depth

    def shadow_corners(self, tilt_rad: float) -> NDArray:
        """A rectangle on the table that holds the board's shadow, shape ``(4, 3)``."""
        board = self._stage.scene.board
        spread = 0.05 + 0.6 * board.length_m * sin(tilt_rad)
        xs = (-spread, board.length_m + spread)
        ys = (-board.width_m / 2 - spread, board.width_m / 2 + spread)
        return np.array([(x, y, 0.0) for x in xs for y in ys])

    def shadowed(self, picture: Image, rays: NDArray, tilt_rad: float) -> Image:
        """A copy of a piece of the room in the shadow of the board at this tilt."""
        board = self._stage.scene.board
        x, y, depth = self._on_table(rays)
        on_table = self._camera.at[2] + depth * rays[..., 2] < 1e-4
        height = np.clip(x, 0, board.length_m) * tan(tilt_rad)
        light = self._stage.to_light
        x = x + height * light[0] / light[2]
        y = y + height * light[1] / light[2]
        soft = 0.004 + 0.35 * height
        reach = board.length_m * np.cos(tilt_rad)
        inside = (
            _step(x / soft)
            * _step((reach - x) / soft)
            * _step((board.width_m / 2 - np.abs(y)) / soft)
        )
        dark = on_table * inside * (0.4 + 0.4 * np.exp(-height / 0.03))
        return picture * (1 - dark[..., None]).astype(np.float32)


def develop(linear: Image, light: float, blur_px: float) -> Image:
    """From linear light to grey levels 0 to 255 as a camera gives them, no noise."""
    if blur_px > 0:
        linear = cv2.GaussianBlur(linear, (0, 0), blur_px)
    return 255 * cv2.pow(np.clip(linear * np.float32(light), 0, 1), _GAMMA)


def lit(normals: NDArray, to_light: NDArray) -> NDArray:
    """Light on surfaces of these unit normals, shape ``(N,)``: a lamp and a bright room."""
    sky = _AMBIENT * (0.75 + 0.25 * normals[:, 2])
    return (sky + _KEY * np.maximum(0, normals @ to_light)).astype(np.float32)


def _step(value: NDArray) -> NDArray:
    """From 0 at -1 to 1 at +1, smoothly."""
    part = np.clip(value / 2 + 0.5, 0, 1)
    return part * part * (3 - 2 * part)


def _inside(inner: Window, outer: Window) -> Window:
    """A window in the coordinates of another that it is cut to."""
    cut = []
    for one, two in zip(inner, outer, strict=True):
        low = min(max(one.start, two.start), two.stop)
        high = max(min(one.stop, two.stop), low)
        cut.append(slice(low - two.start, high - two.start))
    return cut[0], cut[1]
