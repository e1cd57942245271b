"""The drawn picture against the pinhole: edges lie where the geometry says."""

from __future__ import annotations

from dataclasses import replace
from math import acos, atan2, radians

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.scenes.camera import Camera, camera_of, tilted
from tests.scenes.random_scene import random_scene
from tests.scenes.render import Painter
from tests.scenes.scene import Board, Body, Look, Pattern, Scene, Side, View
from tests.scenes.stage import Stage, body_pose

Floats = NDArray[np.float64]
TOLERANCE_PX = 0.05
VIEWS = {
    "square on": View(),
    "oblique and close": View(yaw_deg=15, pitch_deg=12, distance_m=0.6),
    "rolled": View(yaw_deg=-7, pitch_deg=9, roll_deg=5),
    "portrait": View(720, 1280, yaw_deg=6, pitch_deg=4, distance_m=1.1),
}
MOMENTS = {
    "flat": (0.0, 0.0, 0.0, 0.0),
    "tilted": (radians(20), 0.0, 0.004, 0.0),
    "leaning": (radians(24), radians(12), 0.0, 0.0),
}


@pytest.fixture(params=VIEWS.values(), ids=list(VIEWS))
def view(request: pytest.FixtureRequest) -> View:
    return request.param


@pytest.fixture(params=MOMENTS.values(), ids=list(MOMENTS))
def moment(request: pytest.FixtureRequest) -> tuple[float, float, float, float]:
    return request.param


@pytest.fixture(params=list(Side))
def scene(request: pytest.FixtureRequest, view: View) -> Scene:
    """Flat colours and a black table, so that no shadow slopes beside an edge."""
    return Scene(
        body=Body(lid=False, pattern=Pattern.PLAIN, colour=(0.02, 0.02, 0.02)),
        board=Board(
            colour=(0.7, 0.7, 0.7),
            mat_colour=(0.9, 0.9, 0.9),
            mat_margin_m=0.02,
            mat_thickness_m=0.004,
        ),
        look=Look(
            posters=False,
            clutter=False,
            hand=False,
            grain=0.0,
            mottle=0.0,
            table_colour=(0.0, 0.0, 0.0),
        ),
        lifted=request.param,
        view=view,
    )


def _drawn(scene: Scene, moment: tuple[float, float, float, float]) -> Floats:
    """The whole picture in linear light, grey."""
    painter = Painter(Stage(scene), camera_of(scene))
    everything = slice(0, scene.view.height), slice(0, scene.view.width)
    return painter.draw(np.array(moment), everything).mean(axis=2)


def _edge_offset(picture: Floats, ends: Floats, reach_px: float = 3.0) -> float:
    """How far a drawn edge lies from the line between two pixels, along its normal.

    Brightness is sampled across the line, averaged along it, and the edge taken at the
    centroid of its slope.
    """
    along = ends[1] - ends[0]
    normal = np.array([-along[1], along[0]]) / np.hypot(*along)
    across = np.arange(-reach_px, reach_px + 0.05, 0.1)
    at = ends[0] + np.linspace(0, 1, 200)[:, None] * along
    samples = at[:, None] + across[None, :, None] * normal
    maps = samples.astype(np.float32)
    profile = cv2.remap(picture, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR).mean(axis=0)
    slope = np.gradient(profile)
    assert abs(profile[-1] - profile[0]) > 0.03, "no edge to measure"
    return float((slope * across).sum() / slope.sum())


def _outline(scene: Scene, moment, camera: Camera) -> list[Floats]:
    """The straight sides of the cylinder's outline, each as two pixels."""
    pose = body_pose(scene, *moment)
    eye = pose.axes @ (camera.at - pose.at)
    away = acos(scene.body.radius_m / np.hypot(eye[0], eye[1]))
    lines = []
    for side in (-1, 1):
        angle = atan2(eye[1], eye[0]) + side * away
        touch = scene.body.radius_m * np.array([np.cos(angle), np.sin(angle)])
        heights = np.array([0.35, 0.75]) * scene.body.height_m
        points = np.array([[*touch, height] for height in heights])
        lines.append(camera.project(pose.world(points)))
    return lines


def _board_edges(scene: Scene, tilt_rad: float, camera: Camera) -> dict[str, Floats]:
    """The near upper edge of the mat and the near lower one of the board, in pixels."""
    board = scene.board
    mat_y, mat_x = board.mat_margin_m - board.width_m / 2, np.array([0.55, 0.85])
    mat = [(x, mat_y, board.top_m) for x in mat_x * board.length_m]
    underside = [(x, -board.width_m / 2, 0.0) for x in np.array([0.15, 0.9]) * board.length_m]
    return {
        "mat": camera.project(tilted(np.array(mat), tilt_rad)),
        "underside": camera.project(tilted(np.array(underside), tilt_rad)),
    }


def test_edges_are_where_they_project(scene: Scene, moment) -> None:
    picture, camera = _drawn(scene, moment), camera_of(scene)
    board = _board_edges(scene, moment[0], camera)
    offsets = [_edge_offset(picture, ends) for ends in _outline(scene, moment, camera)]
    offsets.append(_edge_offset(picture, board["mat"], reach_px=1.4))
    offsets.append(_edge_offset(picture, board["underside"], reach_px=2.0))
    assert np.abs(offsets).max() < TOLERANCE_PX


def test_projection_is_opencvs_pinhole() -> None:
    scene = Scene(view=View(yaw_deg=11, pitch_deg=8, roll_deg=-4, focal_px=1130))
    camera = camera_of(scene)
    points = np.random.default_rng(1).uniform(-0.2, 0.3, (50, 3))
    spin, _ = cv2.Rodrigues(camera.axes)
    matrix = np.array([[1130, 0, 639.5], [0, 1130, 359.5], [0, 0, 1.0]])
    expected, _ = cv2.projectPoints(points, spin, -camera.axes @ camera.at, matrix, None)
    assert camera.project(points) == pytest.approx(expected[:, 0], abs=1e-8)


def test_rays_and_projection_are_inverse() -> None:
    camera = camera_of(Scene(view=View(yaw_deg=11, pitch_deg=8, roll_deg=-4)))
    x, y = np.array([3.0, 640.25, 1200.0]), np.array([700.0, 20.5, 333.0])
    points = camera.at + 0.8 * camera.rays(x, y).astype(float)
    assert camera.project(points) == pytest.approx(np.column_stack([x, y]), abs=1e-3)


def test_lifting_from_the_left_is_the_mirror_image() -> None:
    view = View(320, 180, focal_px=250)
    right = Scene(view=view, look=Look(posters=False, clutter=False, grain=0.0))
    left = replace(right, lifted=Side.LEFT)
    one, two = camera_of(right), camera_of(left)
    point = np.array([[0.2, -0.05, 0.1]])
    assert two.project(point)[0, 0] == pytest.approx(319 - one.project(point)[0, 0])
    assert two.project(point)[0, 1] == pytest.approx(one.project(point)[0, 1])


@pytest.mark.parametrize("seed", range(30))
def test_random_scenes_keep_to_the_ranges_of_the_study(seed: int) -> None:
    scene = random_scene(np.random.default_rng(seed))
    view, body = scene.view, scene.body
    assert abs(view.yaw_deg) <= 15 and 0 <= view.pitch_deg <= 15 and abs(view.roll_deg) <= 5
    assert 0.4 <= view.distance_m <= 1.5
    assert 0.020 <= body.radius_m <= 0.060
    assert radians(8) <= body.brink_rad <= radians(45)
    assert 1 <= scene.lift.rate_deg_s <= 10
    board = scene.board
    half = board.width_m / 2
    corners = np.array([(x, y, 0) for x in (0, board.length_m) for y in (-half, half)])
    seen = camera_of(scene).project(
        tilted(corners, min(body.brink_rad, radians(scene.lift.most_deg)))
    )
    assert np.all(seen > 0) and np.all(seen < [view.width, view.height])
