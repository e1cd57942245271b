"""The board's line of an evidence picture, found again by its teal ink. Pixels, y down."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.evidence import TEAL
from vision.reading import Point

INK_TOLERANCE = 24
"""Of each colour, in 256 steps: ink fades a little where its edge is smoothed."""
STROKE_PX = 9
"""The drawn line is narrower, at any size of picture."""
SHORTEST_SHARE = 0.15
"""Of the picture's longer side: a shorter line of ink is no board."""
WORK_ANGLE = np.pi / 720
ROUNDS = 4


@dataclass(frozen=True)
class PictureLine:
    """The board's line in a picture."""

    lower: Point
    """The end nearer to the bottom of the picture."""
    upper: Point

    @property
    def length(self) -> float:
        return hypot(self.upper[0] - self.lower[0], self.upper[1] - self.lower[1])

    @property
    def direction_deg(self) -> float:
        """From its lower end, anticlockwise from rightwards."""
        return degrees(atan2(self.lower[1] - self.upper[1], self.upper[0] - self.lower[0]))


def decoded(png: bytes) -> NDArray[np.uint8]:
    """The picture, BGR."""
    return np.asarray(cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR), np.uint8)


def board_line(picture: NDArray[np.uint8]) -> PictureLine | None:
    """The longest straight line of teal ink in a picture ``(height, width, 3)``, BGR."""
    ink = _ink(picture)
    shortest = SHORTEST_SHARE * max(picture.shape[:2])
    found = cv2.HoughLinesP(ink, 1, WORK_ANGLE, 60, minLineLength=shortest, maxLineGap=shortest / 2)
    if found is None:
        return None
    x1, y1, x2, y2 = max(
        found.reshape(-1, 4).astype(float), key=lambda s: hypot(s[2] - s[0], s[3] - s[1])
    )
    return _settled(ink, np.array([x1, y1]), np.array([x2, y2]))


def _ink(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """1 where there is a thin stroke of teal: things of that colour in a scene are wider."""
    teal = np.abs(picture.astype(int) - TEAL).max(axis=2) <= INK_TOLERANCE
    wider = np.ones((STROKE_PX, STROKE_PX), np.uint8)
    return np.asarray(cv2.morphologyEx(teal.astype(np.uint8), cv2.MORPH_TOPHAT, wider), np.uint8)


def _settled(
    ink: NDArray[np.uint8], one: NDArray[np.float64], other: NDArray[np.float64]
) -> PictureLine:
    """The line through all ink as near to it as a stroke is wide, from end to end.

    The first one may cut across the stroke and leave some of its ink aside, so ink is gathered
    again about each line that was found.
    """
    spots = np.argwhere(ink)[:, ::-1].astype(float)
    middle, direction = one, (other - one) / np.linalg.norm(other - one)
    for _ in range(ROUNDS):
        across = np.array([-direction[1], direction[0]])
        near = spots[np.abs((spots - middle) @ across) <= STROKE_PX / 2]
        fit = cv2.fitLine(near.astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
        direction, middle = fit[:2].astype(float), fit[2:].astype(float)
    reach = (near - middle) @ direction
    ends = [middle + reach.min() * direction, middle + reach.max() * direction]
    upper, lower = sorted(((float(e[0]), float(e[1])) for e in ends), key=lambda end: end[1])
    return PictureLine(lower, upper)
