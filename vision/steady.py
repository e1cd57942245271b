"""The phone's own motion, from the still background.

Every frame is aligned directly with the first: the greys of some thousands of
well-textured pixels are compared, not the frame before, so nothing drifts. What
moves by itself (board, body, hands) disagrees with the rest and is weighed down.

The alignment is a homography, by steps with the mean of both pictures' gradients
(Benhimane and Malis, International Journal of Robotics Research 26 (2007) 661): the noise of
one picture alone passes for texture and makes steps short.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import radians
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from solver.compiled import compiled
from vision.straight import median

Floats = NDArray[np.float64]

PIXELS = {4: 1600, 2: 3000, 1: 4000}
"""How many pixels are watched where the picture is shrunk by so much."""
SETTLED_PX = {4: 0.5, 2: 0.25, 1: 0.02}
"""At steps of so much a level has settled."""
MOST_STEPS, STRIDE = 30, 1.5
"""Weights that change from step to step make steps short by about a third."""
BLOCKS = 24
"""The picture is cut in this many columns; each gives its best pixels."""
RIDGE = 1e-6
STILL_ROLL_RAD = radians(0.05)
STILL_SHIFT_PX = 0.5
AS_WELL, ASTRAY = 0.01, 10.0
"""By which share fewer pixels may agree with no alignment, and how far that may then go."""
AGREE = 0.83
"""Of the biweight's cut: farther off a pixel has hardly a weight."""
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
    unmoved_share: float = 0.0
    """Share of the watched pixels that would agree had the phone not stirred."""

    def is_still(self) -> bool:
        """Whether the phone has not stirred, as far as the picture can tell: where it is dim and
        noisy, an alignment may go a little astray and explain it no better than none."""
        astray = ASTRAY if self.unmoved_share > self.still_share - AS_WELL else 1.0
        stays = abs(self.roll_rad) < astray * STILL_ROLL_RAD
        return stays and abs(self.shift_px) < astray * STILL_SHIFT_PX

    def seen(self, points: Floats) -> Floats:
        """Pixels ``(..., 2)`` of the first frame's view, where this frame has them."""
        return carried(points, self.turned)

    def steadied(self, points: Floats) -> Floats:
        """Pixels ``(..., 2)`` of this frame, where the first frame's view would have them."""
        return carried(points, np.linalg.inv(self.turned))


def carried(points: Floats, homographies: NDArray[Any]) -> Floats:
    """Pixels where homographies carry them: one all of them, or each of ``(N, 3, 3)`` those
    of its own, ``(N, M, 2)``."""
    across = np.swapaxes(homographies[..., :2], -1, -2)
    ahead = points @ across + homographies[..., None, :, 2]
    return np.asarray(ahead[..., :2] / ahead[..., 2:])


def _view(
    homography: Floats, still_share: float, unmoved_share: float, width: int, height: int
) -> View:
    """Split a homography of the background.

    A phone that shifts sideways shears a background whose depth changes with
    height in the picture. Roll is therefore read from how the picture's rows
    have turned, which such a shift leaves alone; pan and pitch from where the
    picture's middle has gone.
    """
    centre = np.array([width / 2, height / 2])
    rows = centre + [[-width / 4, 0], [width / 4, 0], [0, 0]]
    left, right, middle = carried(rows, homography)
    focal = FOCAL * max(width, height) / 2
    camera = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
    swung = Rotation.align_vectors([*((middle - centre) / focal), 1.0], [0.0, 0.0, 1.0])[0]
    panned = carried(rows, _turning(camera, swung))
    roll = _slope(right - left) - _slope(panned[1] - panned[0])
    turned = _turning(camera, swung * Rotation.from_rotvec([0.0, 0.0, roll]))
    down = float(middle[1] - centre[1])
    return View(homography, turned, _slope(right - left), still_share, down, unmoved_share)


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
        self.first_view = _view(np.eye(3), 1.0, 1.0, self._width, self._height)

    def align(self, grey: NDArray[np.uint8], roughly: bool = False) -> View:
        """Align a later frame, starting from where the last one was found; ``roughly`` well
        enough to tell whether the phone has stirred."""
        homography, still, unmoved = self._last, 0.0, 0.0
        for level in self._rough if roughly else [*self._rough, self._fine]:
            homography, still, unmoved = level.align(grey, homography)
        self._last = homography
        return _view(homography, still, unmoved, self._width, self._height)

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
        small = self._smaller(grey).astype(np.float32)
        along_y, along_x = (np.gradient(small, axis=axis) for axis in (0, 1))
        rows, columns = _textured_pixels(along_x, along_y, PIXELS[shrink])
        full = self._full(columns), self._full(rows)
        height, width = grey.shape
        self._scale = max(height, width) / 2
        self._centre = np.array([width / 2, height / 2])
        self._full_size = np.array(
            [[self._scale, 0, width / 2], [0, self._scale, height / 2], [0, 0, 1]]
        )
        self._centring = np.linalg.inv(self._full_size)
        gradients = along_x[rows, columns] / shrink, along_y[rows, columns] / shrink
        self._watched = np.column_stack([*full, small[rows, columns], *gradients])

    def _smaller(self, grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
        if self._shrink > 1:
            size = (grey.shape[1] // self._shrink, grey.shape[0] // self._shrink)
            grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.GaussianBlur(grey, (0, 0), 1.0), np.uint8)

    def _full(self, at: NDArray[np.int64]) -> Floats:
        return np.asarray((at + 0.5) * self._shrink - 0.5, dtype=np.float64)

    def align(self, grey: NDArray[np.uint8], start: Floats) -> tuple[Floats, float, float]:
        """The homography, and the shares of the watched pixels that agree with it and with a
        phone that has not stirred."""
        small = self._smaller(grey)
        homography = start
        seen = np.empty((len(self._watched), 3))
        for _ in range(MOST_STEPS):
            _compare(small, self._shrink, homography, self._watched, seen)
            centred = self._centring @ homography @ self._full_size
            step, share, cut = self._step(seen, centred / centred[2, 2])
            change = np.eye(3) + np.append(step, 0.0).reshape(3, 3)
            homography = self._full_size @ centred @ np.linalg.inv(change) @ self._centring
            homography = homography / homography[2, 2]
            if np.abs(step).max() * self._scale < SETTLED_PX[self._shrink]:
                break
        _compare(small, self._shrink, np.eye(3), self._watched, seen)
        off = np.abs(seen[:, 0] - np.nanmedian(seen[:, 0]))
        return homography, share, float(np.mean(off < AGREE * cut))

    def _step(self, seen: Floats, centred: Floats) -> tuple[Floats, float, float]:
        """The next step, ``(8,)``, the share of the watched pixels that agree, and the greys
        beyond which one does not."""
        scale, known = 1.0, seen[np.isfinite(seen[:, 0]), 0]
        if len(known):
            lighter = median(known.copy())
            seen[:, 0] -= lighter
            scale = max(1.4826 * median(np.abs(known - lighter)), 1.0)
        normal, towards = np.zeros((8, 8)), np.zeros(8)
        about = *self._centre, self._scale
        cut = 3 * scale
        agree = _weigh(self._watched, seen, *about, cut, normal, towards)
        prior = (_NOT_TURNS / _NOT_TURNS_U[:, None]) * scale * NOISE_RUN
        departure = (centred - np.eye(3)).ravel()[:8]
        # A bare wall tells nothing: then nothing moves.
        normal += prior.T @ prior + RIDGE * np.eye(8)
        towards += prior.T @ (prior @ departure)
        step = STRIDE * np.linalg.solve(normal, towards)
        return np.asarray(step), agree / len(self._watched), cut


@compiled
def _compare(
    picture: NDArray[np.uint8], shrink: int, homography: Floats, watched: Floats, seen: Floats
) -> None:
    """Fill in by how much a picture, shrunk, differs from each watched pixel and its gradients
    there, ``(M, 3)``; NaN outside it."""
    height, width, h = picture.shape[0], picture.shape[1], homography
    for k in range(len(watched)):
        x, y = watched[k, 0], watched[k, 1]
        depth = h[2, 0] * x + h[2, 1] * y + h[2, 2]
        at_x = ((h[0, 0] * x + h[0, 1] * y + h[0, 2]) / depth + 0.5) / shrink - 0.5
        at_y = ((h[1, 0] * x + h[1, 1] * y + h[1, 2]) / depth + 0.5) / shrink - 0.5
        seen[k] = np.nan
        if not (2 <= at_x < width - 3 and 2 <= at_y < height - 3):
            continue
        left, top = int(at_x), int(at_y)
        right, down = at_x - left, at_y - top
        seen[k] = 0.0
        for i in range(2):
            for j in range(2):
                share = (right if i else 1 - right) * (down if j else 1 - down)
                column, row = left + i, top + j
                across = float(picture[row, column + 1]) - picture[row, column - 1]
                along = float(picture[row + 1, column]) - picture[row - 1, column]
                seen[k, 0] += share * picture[row, column]
                seen[k, 1] += share * across / (2 * shrink)
                seen[k, 2] += share * along / (2 * shrink)
        seen[k, 0] -= watched[k, 2]


@compiled
def _weigh(
    watched: Floats,
    seen: Floats,
    middle_x: float,
    middle_y: float,
    scale: float,
    cut: float,
    normal: Floats,
    towards: Floats,
) -> int:
    """Add up the normal equations of Tukey's biweight cut there; how many pixels agree."""
    agree, slope = 0, np.empty(8)
    for k in range(len(seen)):
        weight = max(1 - (seen[k, 0] / cut) ** 2, 0.0) ** 2
        if not weight > 0:
            continue
        agree += abs(seen[k, 0]) < AGREE * cut
        x, y = (watched[k, 0] - middle_x) / scale, (watched[k, 1] - middle_y) / scale
        gx = (watched[k, 3] + seen[k, 1]) / 2 * scale
        gy = (watched[k, 4] + seen[k, 2]) / 2 * scale
        slope[0], slope[1], slope[2] = gx * x, gx * y, gx
        slope[3], slope[4], slope[5] = gy * x, gy * y, gy
        slope[6], slope[7] = -(gx * x + gy * y) * x, -(gx * x + gy * y) * y
        for p in range(8):
            weighted = weight * slope[p]
            towards[p] += weighted * seen[k, 0]
            for q in range(p + 1):
                normal[p, q] += weighted * slope[q]
    for p in range(8):
        for q in range(p):
            normal[q, p] = normal[p, q]
    return agree


def _textured_pixels(
    along_x: NDArray[np.float32], along_y: NDArray[np.float32], pixels: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The most textured pixels, spread over the picture by blocks.

    Half are the best for shifts sideways, half for shifts up and down: a table's grain
    would else take all the places and tell of one of them alone.
    """
    height, width = along_x.shape
    side = max(4, -(-width // BLOCKS))
    down = -(-height // side)
    each = min(max(1, pixels // (2 * BLOCKS * down)), side * side)
    rows, columns = [], []
    for strength in (np.abs(along_x), np.abs(along_y)):
        strength[:3], strength[-3:], strength[:, :3], strength[:, -3:] = 0, 0, 0, 0
        beyond = (0, down * side - height), (0, -(-width // side) * side - width)
        whole = np.pad(strength, beyond, constant_values=-1)
        blocks = whole.reshape(down, side, -1, side).swapaxes(1, 2).reshape(-1, side * side)
        block = np.arange(len(blocks))[:, None]
        pixel = np.argpartition(blocks, -each, axis=1)[:, -each:]
        there = np.take_along_axis(blocks, pixel, axis=1) >= 0
        across = whole.shape[1] // side
        rows.append((block // across * side + pixel // side)[there])
        columns.append((block % across * side + pixel % side)[there])
    return np.concatenate(rows), np.concatenate(columns)
