"""Where a protractor lies on a brink frame: from the board's line drawn in start and brink.

The evidence pictures carry the board's line in teal ink, and no numbers of where it is;
so it is found again by its ink. Two such lines, start and brink, cross at the hinge as
the picture shows it. Pixels, y down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.evidence import TEAL
from vision.reading import EvidencePicture, Point

INK_TOLERANCE = 24
"""Of each colour, in 256 steps: ink fades a little where its edge is smoothed."""
STROKE_PX = 9
"""The drawn line is narrower, at any size of picture."""
SHORTEST_SHARE = 0.15
"""Of the picture's longer side: a shorter line of ink is no board."""
WORK_ANGLE = np.pi / 720
NEAR_HINGE = 0.4
"""Lines cross this near to the lower end, in lengths of the line, or the phone moved between."""
LEAST_OPENING_DEG = 2.0


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


@dataclass(frozen=True)
class Lie:
    """How a protractor lies on a picture."""

    width: int
    height: int
    """Of the picture."""
    centre: Point
    """On the hinge."""
    base_deg: float
    """Direction of its base line towards the lifted end, anticlockwise from rightwards."""
    rightwards: bool
    """Whether the lifted end is to the right."""
    seen_deg: float
    """Angle from the base line to the board as the picture shows it."""
    board: PictureLine


def lie_on(pictures: Sequence[EvidencePicture]) -> Lie | None:
    """How a protractor lies on the brink picture; None where its board cannot be found."""
    brink = next((each for each in pictures if each.moment == "brink"), None)
    start = next((each for each in pictures if each.moment == "start"), None)
    picture = None if brink is None else decoded(brink.png)
    board = None if picture is None else board_line(picture)
    if picture is None or board is None:
        return None
    first = board_line(decoded(start.png)) if start is not None else None
    rightwards = board.upper[0] >= board.lower[0]
    base_deg = _level(first, rightwards)
    opening = board.direction_deg - base_deg if rightwards else base_deg - board.direction_deg
    if opening % 360 < LEAST_OPENING_DEG or opening % 360 > 90:
        return None
    height, width = picture.shape[:2]
    centre = _hinge(first, board)
    return Lie(width, height, centre, base_deg, rightwards, opening % 360, board)


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
    """The line through all ink within 3 px of a first one, from end to end."""
    spots = np.argwhere(ink)[:, ::-1].astype(float)
    along = (other - one) / np.linalg.norm(other - one)
    across = np.array([-along[1], along[0]])
    near = spots[np.abs((spots - one) @ across) <= 3]
    vx, vy, x, y = cv2.fitLine(near.astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
    direction, middle = np.array([vx, vy], float), np.array([x, y], float)
    reach = (near - middle) @ direction
    ends = [middle + reach.min() * direction, middle + reach.max() * direction]
    upper, lower = sorted(((float(e[0]), float(e[1])) for e in ends), key=lambda end: end[1])
    return PictureLine(lower, upper)


def _level(first: PictureLine | None, rightwards: bool) -> float:
    """Direction of the board at the start, towards the lifted end; level if it is not known."""
    towards = 0.0 if rightwards else 180.0
    if first is None:
        return towards
    off = (first.direction_deg - towards + 90) % 180 - 90
    return towards + off if abs(off) < 45 else towards


def _hinge(first: PictureLine | None, board: PictureLine) -> Point:
    """Where the two lines cross, if that is near the lower end; else that end."""
    if first is None:
        return board.lower
    one, other = (np.cross((*line.lower, 1.0), (*line.upper, 1.0)) for line in (first, board))
    x, y, w = np.cross(one, other)
    if abs(w) < 1e-9:
        return board.lower
    away = hypot(x / w - board.lower[0], y / w - board.lower[1])
    return (float(x / w), float(y / w)) if away <= NEAR_HINGE * board.length else board.lower
