"""What a drawn scene's edges look like, without drawing: by the simulator's own camera.

The outline of the body is found in the body's own axes, as the two tangents from a
point to a circle; the reader finds it in the camera's.
"""

from __future__ import annotations

from dataclasses import replace
from math import log

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from tests.scenes.camera import Camera, camera_of, fitted, tilted
from tests.scenes.scene import Board, Body, Side, View
from tests.scenes.scene import Scene as Drawn
from tests.scenes.stage import body_pose
from vision.edges import Kind
from vision.scene import Scene, SceneLine

Floats = NDArray[np.float64]

KINDS = (Kind.ALONG, Kind.ALONG, Kind.ACROSS, Kind.ACROSS, Kind.LEFT, Kind.RIGHT)
"""Near and far long edge, hinge and lifted end of the board; the body's outlines."""
FLAT = Board(thickness_m=0.0, mat_thickness_m=0.0, mat_margin_m=0.0)
"""A board whose hinge lies in its standing surface, as the reader's pivot has it."""


def drawn_scene(lifted: Side = Side.RIGHT, board: Board = FLAT, **view: float) -> Drawn:
    """A tin on a board, the camera moved back until it is all in the picture."""
    return fitted(Drawn(body=Body(), board=board, view=View(**view), lifted=lifted))


def scene_of(drawn: Drawn) -> Scene:
    """The drawn scene in the reader's terms; the hinge is where the near edge meets it."""
    camera, board, body = camera_of(drawn), drawn.board, drawn.body
    near = np.array([0.0, -board.width_m / 2, 0.0])
    hinge = camera.axes @ (near - camera.at)
    depth = hinge[2]
    e1, e2 = camera.axes[:, 0], camera.axes[:, 2]
    away = float(np.sign(np.cross(e1, e2) @ camera.axes[:, 1]))
    turn = np.column_stack([e1, e2, np.cross(e1, e2)]) @ np.diag(
        [drawn.mirror, -1.0, -drawn.mirror]
    )
    top, wide = board.top_m, board.width_m
    shared = [
        *Rotation.from_matrix(turn).as_rotvec(), log(camera.focal_px), *hinge[:2] / depth,
        board.body_at_m / depth,
        away * (wide / 2 + board.body_aside_m) / depth, body.radius_m / depth,
        top / depth, 0.0, top / depth, away * wide / depth,
        0.0, top / depth, board.length_m / depth, top / depth,
    ]  # fmt: skip
    extents = [(0.0, board.length_m)] * 2 + [(0.0, away * wide)] * 2
    extents += [(top, top + body.height_m)] * 2
    lines = tuple(
        SceneLine(kind, (1.0,), low / depth, high / depth)
        for kind, (low, high) in zip(KINDS, extents, strict=True)
    )
    return Scene(drawn.view.width, drawn.view.height, drawn.mirror, lines, np.array(shared))


def seen_edges(drawn: Drawn, motion: Floats) -> Floats:
    """Two pixels of each edge in each frame, shape ``(N, 6, 2, 2)``, low end first.

    ``motion`` has rows of tilt, lean and slip, radians and metres.
    """
    camera = camera_of(drawn)
    return np.stack([_frame(drawn, camera, *row) for row in motion])


def own_of(drawn: Drawn, motion: Floats) -> Floats:
    """The same motion as the reader's unknowns, shape ``(N, 5)``."""
    camera = camera_of(drawn)
    near = np.array([0.0, -drawn.board.width_m / 2, 0.0])
    depth = (camera.axes @ (near - camera.at))[2]
    own = np.zeros((len(motion), 5))
    own[:, :3] = motion / [1.0, 1.0, depth]
    return own


def _frame(drawn: Drawn, camera: Camera, tilt: float, lean: float, slip: float) -> Floats:
    board = drawn.board
    half, top = board.width_m / 2, board.top_m
    corners = {
        (end, side): (end * board.length_m, side * half, top) for end in (0, 1) for side in (-1, 1)
    }
    ends = [[(0, -1), (1, -1)], [(0, 1), (1, 1)], [(0, -1), (0, 1)], [(1, -1), (1, 1)]]
    edges = [
        camera.project(tilted(np.array([corners[key] for key in pair]), tilt)) for pair in ends
    ]
    outlines = [camera.project(line) for line in _outlines(drawn, camera, tilt, lean, slip)]
    return np.stack(edges + sorted(outlines, key=lambda line: line[0, 0]))


def _outlines(drawn: Drawn, camera: Camera, tilt: float, lean: float, slip: float) -> list[Floats]:
    """Both generators of the cylinder that a ray from the camera grazes."""
    pose = body_pose(drawn, tilt, lean, slip, 0.0)
    x, y, _ = pose.axes @ (camera.at - pose.at)
    towards, spread = np.arctan2(y, x), np.arccos(drawn.body.radius_m / np.hypot(x, y))
    lines = []
    for angle in (towards - spread, towards + spread):
        rim = drawn.body.radius_m * np.array([np.cos(angle), np.sin(angle), 0.0])
        lines.append(pose.world(np.stack([rim, rim + [0, 0, drawn.body.height_m]])))
    return lines


def raised(most_rad: float, frames: int, start_rad: float = 0.0) -> Floats:
    """A lift at even steps of tilt, the body standing, shape ``(frames, 3)``."""
    motion = np.zeros((frames, 3))
    motion[:, 0] = np.linspace(start_rad, most_rad, frames)
    return motion


def nearer(drawn: Drawn, **changes: float) -> Drawn:
    """The same with some of the view changed."""
    return replace(drawn, view=replace(drawn.view, **changes))
