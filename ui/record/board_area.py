"""Where board and body are in a clip's picture, from the start to the fall."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from itertools import chain
from math import radians
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from vision.clip import Clip, open_clip
from vision.finding import Finding, NotFoundError, find_scene
from vision.first_look import FirstLook, look_first, working_frame
from vision.reading import Marks
from vision.scene import LEAN, TILT, Scene

MARGIN = 0.04
"""Of the picture's longer side, kept around what was found."""
FALL_RAD = radians(50)
"""How far a body that goes is followed past the largest tilt."""
LEAST_TILT_RAD = radians(5)


@dataclass(frozen=True)
class Area:
    """A part of the upright picture, in pixels; right and bottom are outside it."""

    left: int
    top: int
    right: int
    bottom: int

    def scaled(self, factor: float) -> Area:
        """The same part of the picture at another size."""
        return Area(*(round(factor * edge) for edge in astuple(self)))


def board_area(
    path: Path, start_tilt_rad: float, largest_tilt_rad: float, marks: Marks | None = None
) -> Area:
    """The part of the picture that board and body pass through.

    Raises
    ------
    ClipError
        The clip cannot be read.
    NotFoundError
        Board or body were not found; the message says which.
    """
    with open_clip(path) as clip:
        width, height, look = _first_look(clip)
    working = look.kept[0].frame.grey.shape[1] / width
    finding = find_scene(
        look, start_tilt_rad, look.phone_is_still(), marks and marks.scaled(working)
    )
    points = _passed(finding, look, start_tilt_rad, largest_tilt_rad) / working
    return _around(points, width, height)


def _first_look(clip: Clip) -> tuple[int, int, FirstLook]:
    """The picture's width and height, and what is seen in the first look."""
    frames = iter(clip)
    first = next(frames, None)
    if first is None:
        raise NotFoundError("The clip holds no frame.")
    height, width = first.size
    look = look_first(working_frame(frame) for frame in chain([first], frames))
    return width, height, look


def _passed(
    finding: Finding, look: FirstLook, start_tilt_rad: float, largest_tilt_rad: float
) -> NDArray[np.float64]:
    """Pixels of the working picture that board and body reach, shape ``(N, 2)``."""
    scene = finding.fit.scene
    own = finding.own_of(look)[:1]
    tilts = np.linspace(start_tilt_rad, max(largest_tilt_rad, LEAST_TILT_RAD), 12)
    raised = np.repeat(own, len(tilts), axis=0)
    raised[:, TILT] = tilts
    fallen = np.repeat(raised[-1:], 8, axis=0)
    fallen[:, LEAN] = np.linspace(0.0, FALL_RAD, 8)
    on_board = [line.of_board for line in scene.lines]
    board = scene.segments(raised)[:, on_board]
    at = [scene.project(scene.frames(raised).hinge)]
    for each in (raised, fallen):
        at += _body(scene, each)
    return np.concatenate([board.reshape(-1, 2), *at])


def _body(scene: Scene, own: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """The rims of base and lid."""
    at = scene.frames(own)
    top = at.base + 1.1 * scene.body_height * at.axis
    corners = [
        centre + scene.radius * (along * at.across + across * at.e3)
        for centre in (at.base, top)
        for along in (-1, 1)
        for across in (-1, 1)
    ]
    return [scene.project(corner) for corner in corners]


def _around(points: NDArray[np.float64], width: int, height: int) -> Area:
    margin = MARGIN * max(width, height)
    left, top = np.floor(points.min(axis=0) - margin)
    right, bottom = np.ceil(points.max(axis=0) + margin)
    return Area(
        int(max(left, 0)), int(max(top, 0)), int(min(right, width)), int(min(bottom, height))
    )
