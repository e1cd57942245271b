"""Evidence pictures of known geometry: a board's line in the evidence's own ink."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import cv2
import numpy as np

from tests.scenes.scene import Side
from tests.vision.geometry import drawn_scene, own_of, raised, scene_of
from vision.evidence import PAPER, TEAL, draw_scene, evidence_picture, turning_plane
from vision.reading import EvidencePicture, Point
from vision.steady import View

SIZE = (1280, 720)
HINGE, LENGTH_PX = (400.0, 560.0), 520.0
GREY = np.full((SIZE[1], SIZE[0], 3), 128, np.uint8)
STILL = View(np.eye(3), np.eye(3), 0.0, 1.0, 0.0)


def far_end(angle_deg: float, left: bool = False, hinge: Point = HINGE) -> Point:
    """The lifted end of a board at that tilt."""
    x, y = LENGTH_PX * cos(radians(angle_deg)), LENGTH_PX * sin(radians(angle_deg))
    return hinge[0] + (-x if left else x), hinge[1] - y


def inked(
    moment: str, angle_deg: float, left: bool = False, hinge: Point = HINGE, covered: bool = False
) -> EvidencePicture:
    """A mottled picture with the board's line as the evidence draws it."""
    noise = np.random.default_rng(3).integers(90, 200, (SIZE[1], SIZE[0], 3), np.uint8)
    picture = cv2.GaussianBlur(noise, (0, 0), 3)
    ends = np.rint(16 * np.array([hinge, far_end(angle_deg, left, hinge)])).astype(np.int32)
    for colour, width in ((PAPER, 5), (TEAL, 3)):
        cv2.polylines(picture, [ends], False, colour, width, cv2.LINE_AA, 4)
    if covered:
        middle = ends.mean(axis=0) / 16
        cv2.circle(picture, tuple(int(v) for v in middle), 40, (40, 60, 90), -1)
    _, png = cv2.imencode(".png", picture)
    return EvidencePicture(moment, 0, 0.0, png.tobytes())


def pictures(angle_deg: float = 22.0, start_deg: float = 0.0, left: bool = False):  # type: ignore[no-untyped-def]
    """Start, brink and after."""
    return (
        inked("start", start_deg, left),
        inked("brink", angle_deg, left),
        inked("after", angle_deg + 3, left),
    )


def drawn_brink(tilt_deg: float, lifted: Side = Side.RIGHT, **view: float) -> EvidencePicture:
    """A drawn scene's evidence at that tilt, with its plane."""
    drawn, tilt = drawn_scene(lifted, **view), radians(tilt_deg)
    scene, own = scene_of(drawn), own_of(drawn, raised(tilt, 1, tilt))[0]
    picture = draw_scene(GREY, scene, own, STILL)
    plane = turning_plane(picture, scene, own, STILL)
    return evidence_picture("brink", 73, 2.4, picture, plane)


def without_ink(picture: EvidencePicture) -> EvidencePicture:
    """The same with nothing to be seen in it."""
    return replace(picture, png=cv2.imencode(".png", GREY)[1].tobytes())
