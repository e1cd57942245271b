"""How a protractor lies on a brink frame.

Where the picture's turning plane is known it stands in that plane, as the camera would
have seen it. A picture kept without it has no numbers of where its board is: then the
board's line is found by its ink in start and brink, the two cross at the hinge as the
picture shows it, and the protractor lies flat on the picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

from ui.checking.picture_lines import PictureLine, board_line, decoded
from vision.reading import EvidencePicture, Plane, Point

NEAR_HINGE = 0.4
"""Lines cross this near to the lower end, in lengths of the line, or the phone moved between."""
LEAST_OPENING_DEG = 2.0
OFF_HINGE = 0.05
"""In lengths of the board: ink that passes the hinge farther off is none of its line."""


@dataclass(frozen=True)
class Lie:
    """How a protractor lies on a picture."""

    width: int
    height: int
    """Of the picture."""
    plane_px: Plane
    """From the protractor's plane to pixels: its centre the origin, x along its base line
    towards the lifted end, y up, unit the board's line."""
    flat: bool
    """Whether it lies on the picture, and not in the plane the board turns in."""
    seen_deg: float | None
    """Where the board's line crosses its scale; None where that line cannot be found."""

    @property
    def centre(self) -> Point:
        """On the hinge, pixels."""
        return self.pixel(0.0, 0.0)

    def pixel(self, x: float, y: float) -> Point:
        """Where the picture has a point of the protractor's plane."""
        return _carried(np.array(self.plane_px), x, y)


def lie_on(pictures: Sequence[EvidencePicture]) -> Lie | None:
    """How a protractor lies on the brink picture; None where its board cannot be found."""
    brink = next((each for each in pictures if each.moment == "brink"), None)
    if brink is None:
        return None
    if brink.plane_px is not None:
        return _in_its_plane(brink, brink.plane_px)
    start = next((each for each in pictures if each.moment == "start"), None)
    return _flat(brink, start)


def _in_its_plane(brink: EvidencePicture, plane: Plane) -> Lie:
    picture = decoded(brink.png)
    board = board_line(picture)
    height, width = picture.shape[:2]
    seen_deg = None if board is None else _tilt_in(plane, board)
    return Lie(width, height, plane, False, seen_deg)


def _tilt_in(plane: Plane, board: PictureLine) -> float | None:
    """Tilt in degrees of a line of the picture that passes the plane's origin."""
    back = np.linalg.inv(np.array(plane))
    (x1, y1), (x2, y2) = (_carried(back, *end) for end in (board.lower, board.upper))
    length = hypot(x2 - x1, y2 - y1)
    if abs(x1 * y2 - x2 * y1) > OFF_HINGE * length:
        return None
    return (degrees(atan2(y2 - y1, x2 - x1)) + 90) % 180 - 90


def _flat(brink: EvidencePicture, start: EvidencePicture | None) -> Lie | None:
    picture = decoded(brink.png)
    board = board_line(picture)
    if board is None:
        return None
    first = None if start is None else board_line(decoded(start.png))
    rightwards = board.upper[0] >= board.lower[0]
    base_deg = _level(first, rightwards)
    opening = board.direction_deg - base_deg if rightwards else base_deg - board.direction_deg
    if opening % 360 < LEAST_OPENING_DEG or opening % 360 > 90:
        return None
    height, width = picture.shape[:2]
    plane = _flat_plane(_hinge(first, board), board.length, base_deg, rightwards)
    return Lie(width, height, plane, True, opening % 360)


def _flat_plane(centre: Point, length_px: float, base_deg: float, rightwards: bool) -> Plane:
    """The picture itself, turned so that the base line runs in a direction."""
    x, y = length_px * cos(radians(base_deg)), length_px * sin(radians(base_deg))
    up = 1 if rightwards else -1
    return (x, -up * y, centre[0]), (-y, -up * x, centre[1]), (0.0, 0.0, 1.0)


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


def _carried(homography: np.ndarray, x: float, y: float) -> Point:
    ahead = homography @ (x, y, 1.0)
    return float(ahead[0] / ahead[2]), float(ahead[1] / ahead[2])
