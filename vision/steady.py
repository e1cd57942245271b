"""The phone's own motion, from the still background.

Every frame is aligned directly with the first: the greys of some thousands of
well-textured pixels are compared, not the frame before, so nothing drifts. What
moves by itself (board, body, hands) disagrees with the rest and is weighed down.

The alignment is a homography, by the inverse compositional method of Baker and
Matthews, International Journal of Computer Vision 56 (2004) 221.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import radians

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

Floats = NDArray[np.float64]

PIXELS = {4: 1600, 2: 3000, 1: 4000}
"""How many pixels are watched where the picture is shrunk by so much."""
BLOCKS = 24
"""The picture is cut in this many columns; each gives its best pixels."""
RIDGE = 1e-6
STILL_ROLL_RAD = radians(0.05)
STILL_SHIFT_PX = 0.5
NOISE_RUN = 5.0
"""Neighbouring pixels repeat each other's noise: root of how many count as one."""
FOCAL = 1.5
"""Focal length in half pictures: 67° along the longer side."""
# What a mere turn of the phone does not do to (h11 … h32), and how much of it the
# shift of a hand can do: zoom across and down, shear, and two departures of the
# perspective from that of pan and pitch.
_NOT_TURNS = np.array(
    [
        [1, 0, 0, 0, 0, 0, 0, 0],
        [0, 0, 0, 0, 1, 0, 0, 0],
        [0, 1, 0, 1, 0, 0, 0, 0],
        [0, 0, 1 / FOCAL**2, 0, 0, 0, 1, 0],
        [0, 0, 0, 0, 0, 1 / FOCAL**2, 0, 1],
    ],
    dtype=float,
)
_NOT_TURNS_U = np.array([0.01, 0.01, 0.01, 0.003, 0.003])


@dataclass(frozen=True)
class View:
    """Where the phone looks, against the first frame."""

    homography: Floats
    """Shape ``(3, 3)``: first frame to this frame, on the background."""
    turned: Floats
    """The part of it that turned the phone, shape ``(3, 3)``: roll, pan and pitch."""
    roll_rad: float
    """Turn of the picture about its middle, positive from x towards y."""
    still_share: float
    """Share of the watched pixels that agree."""
    shift_px: float
    """How far the picture's middle has moved down or up. Sideways is not asked for:
    table grain runs that way and hides it."""

    def is_still(self) -> bool:
        """Whether the phone has not stirred, as far as the picture can tell."""
        return abs(self.roll_rad) < STILL_ROLL_RAD and abs(self.shift_px) < STILL_SHIFT_PX

    def seen(self, points: Floats) -> Floats:
        """Pixels ``(..., 2)`` of the first frame's view, where this frame has them."""
        return _carried(points, self.turned)

    def steadied(self, points: Floats) -> Floats:
        """Pixels ``(..., 2)`` of this frame, where the first frame's view would have them."""
        return _carried(points, np.asarray(np.linalg.inv(self.turned), dtype=np.float64))


def _carried(points: Floats, homography: Floats) -> Floats:
    ahead = points @ homography[:, :2].T + homography[:, 2]
    return ahead[..., :2] / ahead[..., 2:]


def _view(homography: Floats, still_share: float, width: int, height: int) -> View:
    """Split a homography of the background.

    A phone that shifts sideways shears a background whose depth changes with
    height in the picture. Roll is therefore read from how the picture's rows
    have turned, which such a shift leaves alone; pan and pitch from where the
    picture's middle has gone.
    """
    centre = np.array([width / 2, height / 2])
    rows = centre + [[-width / 4, 0], [width / 4, 0], [0, 0]]
    left, right, middle = _carried(rows, homography)
    focal = FOCAL * max(width, height) / 2
    camera = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
    swung = Rotation.align_vectors([*((middle - centre) / focal), 1.0], [0.0, 0.0, 1.0])[0]
    panned = _carried(rows, _turning(camera, swung))
    roll = _slope(right - left) - _slope(panned[1] - panned[0])
    turned = _turning(camera, swung * Rotation.from_rotvec([0.0, 0.0, roll]))
    return View(homography, turned, _slope(right - left), still_share, float(middle[1] - centre[1]))


def _turning(camera: Floats, turn: Rotation) -> Floats:
    """What a mere turn of the phone does to the picture, K R K⁻¹ (Hartley and Zisserman,
    Multiple View Geometry, 2nd edition, 8.4.2)."""
    homography = camera @ turn.as_matrix() @ np.linalg.inv(camera)
    return homography / homography[2, 2]


def _slope(along: Floats) -> float:
    return float(np.arctan2(along[1], along[0]))


class Steadier:
    """Aligns frames with the first one on what stays still."""

    def __init__(self, grey: NDArray[np.uint8]) -> None:
        self._first = grey
        self._last = np.eye(3)
        self._height, self._width = grey.shape
        self.first_view = _view(np.eye(3), 1.0, self._width, self._height)

    def align(self, grey: NDArray[np.uint8], roughly: bool = False) -> View:
        """Align a later frame, starting from where the last one was found; ``roughly`` well
        enough to tell whether the phone has stirred."""
        homography = self._last
        share = 0.0
        for level in self._rough if roughly else [*self._rough, self._fine]:
            homography, share = level.align(grey, homography)
        self._last = homography
        return _view(homography, share, self._width, self._height)

    def is_still(self, grey: NDArray[np.uint8]) -> bool:
        """Whether the phone has not stirred by a later frame: looked at roughly, and finely
        where that says it has, for a hand and its shadow go a long way in a small picture."""
        return self.align(grey, roughly=True).is_still() or self.align(grey).is_still()

    @cached_property
    def _rough(self) -> list[_Level]:
        return [_Level(self._first, 4), _Level(self._first, 2)]

    @cached_property
    def _fine(self) -> _Level:
        return _Level(self._first, 1)


class _Level:
    """One level of the pyramid; coordinates inside are full-size pixels."""

    def __init__(self, grey: NDArray[np.uint8], shrink: int) -> None:
        self._shrink = shrink
        small = self._smaller(grey)
        along_y, along_x = (np.gradient(small, axis=axis).astype(np.float32) for axis in (0, 1))
        rows, columns = _textured_pixels(along_x, along_y, PIXELS[shrink])
        self._template = small[rows, columns]
        self._x, self._y = self._full(columns), self._full(rows)
        height, width = grey.shape
        self._scale = max(height, width) / 2
        self._centre = np.array([width / 2, height / 2])
        gx, gy = (g[rows, columns] / shrink * self._scale for g in (along_x, along_y))
        x = (self._x - self._centre[0]) / self._scale
        y = (self._y - self._centre[1]) / self._scale
        self._steepest = np.column_stack(
            [gx * x, gx * y, gx, gy * x, gy * y, gy, -(gx * x + gy * y) * x, -(gx * x + gy * y) * y]
        )

    def _smaller(self, grey: NDArray[np.uint8]) -> NDArray[np.float32]:
        if self._shrink > 1:
            size = (grey.shape[1] // self._shrink, grey.shape[0] // self._shrink)
            grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
        return cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 1.0)

    def _full(self, at: NDArray[np.int64]) -> Floats:
        return np.asarray((at + 0.5) * self._shrink - 0.5, dtype=np.float64)

    def align(self, grey: NDArray[np.uint8], start: Floats) -> tuple[Floats, float]:
        small = self._smaller(grey)
        norm = np.array(
            [
                [1 / self._scale, 0, -self._centre[0] / self._scale],
                [0, 1 / self._scale, -self._centre[1] / self._scale],
                [0, 0, 1],
            ]
        )
        homography, share = start, 0.0
        for _ in range(12):
            difference, inside = self._compare(small, homography)
            centred = norm @ homography @ np.linalg.inv(norm)
            step, share = self._solve(difference, inside, centred / centred[2, 2])
            change = np.eye(3) + np.append(step, 0.0).reshape(3, 3)
            homography = homography @ np.linalg.inv(np.linalg.inv(norm) @ change @ norm)
            homography = homography / homography[2, 2]
            if np.abs(step).max() * self._scale < 0.02:
                break
        return homography, share

    def _compare(
        self, small: NDArray[np.float32], homography: Floats
    ) -> tuple[Floats, NDArray[np.bool_]]:
        h = homography
        depth = h[2, 0] * self._x + h[2, 1] * self._y + h[2, 2]
        x = (h[0, 0] * self._x + h[0, 1] * self._y + h[0, 2]) / depth
        y = (h[1, 0] * self._x + h[1, 1] * self._y + h[1, 2]) / depth
        x, y = ((v + 0.5) / self._shrink - 0.5 for v in (x, y))
        inside = (x > 1) & (x < small.shape[1] - 2) & (y > 1) & (y < small.shape[0] - 2)
        seen = cv2.remap(
            small, x.astype(np.float32)[None], y.astype(np.float32)[None], cv2.INTER_LINEAR
        )[0]
        difference = seen.astype(np.float64) - self._template
        difference -= np.median(difference[inside]) if inside.any() else 0.0
        return difference, inside

    def _solve(
        self, difference: Floats, inside: NDArray[np.bool_], centred: Floats
    ) -> tuple[Floats, float]:
        scale = max(1.4826 * float(np.median(np.abs(difference[inside]))), 1.0)
        weight = np.square(np.clip(1 - np.square(difference / (3 * scale)), 0, None)) * inside
        weighted = self._steepest * weight[:, None]
        prior = (_NOT_TURNS / _NOT_TURNS_U[:, None]) * scale * NOISE_RUN
        departure = (centred - np.eye(3)).ravel()[:8]
        # A bare wall tells nothing: then nothing moves.
        normal = weighted.T @ self._steepest + prior.T @ prior + RIDGE * np.eye(8)
        towards = weighted.T @ difference + prior.T @ (prior @ departure)
        return np.linalg.solve(normal, towards), float(np.mean(weight > 0.1))


def _textured_pixels(
    along_x: NDArray[np.float32], along_y: NDArray[np.float32], pixels: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The most textured pixels, spread over the picture by blocks.

    Half are the best for shifts sideways, half for shifts up and down: a table's grain
    would else take all the places and tell of one of them alone.
    """
    height, width = along_x.shape
    side = max(4, -(-width // BLOCKS))
    each = max(1, pixels // (2 * BLOCKS * -(-height // side)))
    rows, columns = [], []
    for strength in (np.abs(along_x), np.abs(along_y)):
        strength[:3], strength[-3:], strength[:, :3], strength[:, -3:] = 0, 0, 0, 0
        for top in range(0, height, side):
            for left in range(0, width, side):
                block = strength[top : top + side, left : left + side]
                count = min(each, block.size)
                best = np.argpartition(block.ravel(), -count)[-count:]
                r, c = np.unravel_index(best, block.shape)
                rows.append(r + top)
                columns.append(c + left)
    return np.concatenate(rows), np.concatenate(columns)
