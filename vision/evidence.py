"""Pictures that show why: the scene drawn into the frames it was measured in.

One palette, never colour alone: board line solid teal, body outline dashed
amber, line of the weight dotted plum.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.reading import EvidencePicture, Plane
from vision.scene import Scene
from vision.steady import View

Floats = NDArray[np.float64]
Picture = NDArray[np.uint8]

TEAL, AMBER, PLUM, PAPER = (0x75, 0x7A, 0x0B), (0x00, 0x82, 0xD9), (0x8F, 0x3D, 0x6A), (255,) * 3
"""Blue, green, red."""
LONGEST_SIDE_PX = 1280
CORNERS = np.array([[-1.0, 0.0], [1.0, 0.0], [1.0, 1.0], [-1.0, 1.0]])
"""Of the turning plane, about where a protractor would lie in it."""


def shrunk(picture: Picture) -> Picture:
    """The picture at most 1280 pixels long, as it is drawn in."""
    scale = LONGEST_SIDE_PX / max(picture.shape[:2])
    if scale >= 1.0:
        return picture
    size = (round(picture.shape[1] * scale), round(picture.shape[0] * scale))
    # By little, averaging over areas gains nothing and takes several times as long.
    way = cv2.INTER_LINEAR if scale > 0.5 else cv2.INTER_AREA
    return cv2.resize(picture, size, interpolation=way)


def draw_scene(
    picture: Picture, scene: Scene, own: Floats, view: View, reference: int = 0
) -> Picture:
    """The picture with board line, body outline, pivot and line of the weight; where the body
    was not seen (lean and slip NaN), with the board line alone.

    Parameters
    ----------
    picture : BGR, shape ``(height, width, 3)``
    own : shape ``(5,)``
        The frame's unknowns; the scene may be in a smaller picture than this one.
    """
    drawn = shrunk(picture).copy()

    def pixels(points: Floats) -> Floats:
        return _pixels(points, drawn, scene, own, view)

    width = max(2, round(max(drawn.shape) / 450))
    for points, colour, dash, gap in _strokes(scene, own, reference):
        _stroke(drawn, pixels(points), PAPER, width + 2, dash * width, gap * width)
        _stroke(drawn, pixels(points), colour, width, dash * width, gap * width)
    if np.isfinite(own).all():
        _dot(drawn, pixels(scene.frames(own[None]).pivot)[0], 3 * width)
    return drawn


def turning_plane(
    drawn: Picture, scene: Scene, own: Floats, view: View, reference: int = 0
) -> Plane:
    """Where a drawn picture shows the plane in which the board turns, see EvidencePicture.

    Parameters as of `draw_scene`, but ``drawn`` is what that returned.
    """
    points, directions = (x[0, reference] for x in scene.edges(own[None]))
    line = scene.lines[reference]
    e1, e2, _ = (line.high - line.low) * scene.rotation.T
    corners = points + line.low * directions + CORNERS @ np.stack([e1, e2])
    seen = _pixels(corners, drawn, scene, own, view)
    to_pixels = cv2.getPerspectiveTransform(CORNERS.astype(np.float32), seen.astype(np.float32))
    return tuple((float(a), float(b), float(c)) for a, b, c in to_pixels)


def evidence_picture(
    moment: str, frame: int, time_s: float, drawn: Picture, plane_px: Plane | None = None
) -> EvidencePicture:
    """Pack a drawn frame as PNG."""
    _, png = cv2.imencode(".png", drawn)
    return EvidencePicture(moment, frame, time_s, png.tobytes(), plane_px)


def _pixels(points: Floats, drawn: Picture, scene: Scene, own: Floats, view: View) -> Floats:
    """Of points in camera axes, shape ``(N, 3)``, on the drawn picture."""
    to_drawn = drawn.shape[1] / scene.width
    seen = view.seen(scene.project(points) + scene.sway_px(own[None]))
    return (seen + 0.5) * to_drawn - 0.5


def _strokes(
    scene: Scene, own: Floats, reference: int
) -> list[tuple[Floats, tuple[int, int, int], int, int]]:
    """Lines to draw: points ``(M, 3)`` in camera axes, colour, dash and gap in line widths."""
    at = scene.frames(own[None])
    points, directions = (x[0] for x in scene.edges(own[None]))
    strokes = []
    for k, line in enumerate(scene.lines):
        ends = points[k] + np.array([[line.low], [line.high]]) * directions[k]
        if k == reference:
            strokes.append((ends, TEAL, 0, 0))
    if not np.isfinite(own).all():
        return strokes
    height = scene.body_height
    ring = _rim(at.base[0], at.across[0], at.e3, scene.radius)
    outlines = [
        np.vstack([points[k], points[k] + height * directions[k]])
        for k, line in enumerate(scene.lines)
        if line.is_outline
    ]
    for shape in (*outlines, ring, ring + height * at.axis[0]):
        strokes.append((shape, AMBER, 5, 3))
    up = scene.rotation[:, 1]
    strokes.append((at.pivot[0] + np.array([[-0.25], [1.15]]) * height * up, PLUM, 1, 2))
    return strokes


def _rim(centre: Floats, across: Floats, along: Floats, radius: float) -> Floats:
    turn = np.linspace(0, 2 * np.pi, 73)[:, None]
    return centre + radius * (np.cos(turn) * across + np.sin(turn) * along)


def _stroke(
    picture: Picture,
    points: Floats,
    colour: tuple[int, ...],
    width: int,
    dash_px: int,
    gap_px: int,
) -> None:
    """A polyline, solid where ``dash_px`` is 0."""
    if dash_px == 0:
        cv2.polylines(picture, [_fixed(points)], False, colour, width, cv2.LINE_AA, SHIFT)
        return
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    for start in np.arange(0.0, along[-1], dash_px + gap_px):
        stops = np.linspace(start, min(start + dash_px, along[-1]), 4)
        piece = np.column_stack([np.interp(stops, along, points[:, k]) for k in (0, 1)])
        cv2.polylines(picture, [_fixed(piece)], False, colour, width, cv2.LINE_AA, SHIFT)


def _dot(picture: Picture, point: Floats, radius_px: int) -> None:
    centre = tuple(int(v) for v in _fixed(point))
    cv2.circle(picture, centre, (radius_px + 2) << SHIFT, PAPER, -1, cv2.LINE_AA, SHIFT)
    cv2.circle(picture, centre, radius_px << SHIFT, PLUM, -1, cv2.LINE_AA, SHIFT)


SHIFT = 4
"""Sub-pixel bits of OpenCV's drawing."""


def _fixed(points: Floats) -> NDArray[np.int32]:
    return np.rint(np.clip(points, -20000, 20000) * (1 << SHIFT)).astype(np.int32)
