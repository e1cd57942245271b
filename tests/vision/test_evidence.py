"""The scene drawn in: where, in which colours, and how large."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes.camera import camera_of, tilted
from tests.scenes.scene import Board, Side
from tests.vision.geometry import FLAT, drawn_scene, own_of, raised, scene_of, seen_edges
from vision.evidence import (
    AMBER,
    LONGEST_SIDE_PX,
    PAPER,
    PLUM,
    TEAL,
    draw_scene,
    evidence_picture,
    turning_plane,
)
from vision.steady import View

STILL = View(np.eye(3), np.eye(3), 0.0, 1.0, 0.0)
NEAR = 40.0
"""How far a drawn colour may be from its own, over three channels, by smoothing."""
TILT = radians(18)


@pytest.fixture(scope="module")
def drawn():
    return drawn_scene(yaw_deg=6, pitch_deg=8)


@pytest.fixture(scope="module")
def motion():
    return raised(TILT, 2)


def _drawing(drawn, motion, size=(1280, 720), view=STILL) -> np.ndarray:
    grey = np.full((size[1], size[0], 3), 128, np.uint8)
    return draw_scene(grey, scene_of(drawn), own_of(drawn, motion)[-1], view)


def _places(picture: np.ndarray, colour) -> np.ndarray:
    """Pixels (x, y) of a colour."""
    away = np.linalg.norm(picture.astype(float) - np.array(colour), axis=2)
    return np.argwhere(away < NEAR)[:, ::-1]


def _off_line(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    """Distances from the line through two pixels."""
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    return np.abs((points - line[0]) @ [-along[1], along[0]])


def test_the_palette_is_the_designs():
    """Board teal #0B7A75, outline amber #D98200, weight plum #6A3D8F; OpenCV has blue first."""
    for colour, code in [(TEAL, "0B7A75"), (AMBER, "D98200"), (PLUM, "6A3D8F")]:
        assert "".join(f"{part:02X}" for part in reversed(colour)) == code


def test_the_board_line_lies_on_the_boards_edge(drawn, motion):
    near = seen_edges(drawn, motion)[-1, 0]
    teal = _places(_drawing(drawn, motion), TEAL)
    assert _off_line(teal, near).max() < 3
    # Solid: from end to end without a gap.
    length = np.linalg.norm(near[1] - near[0])
    along = np.sort((teal - near[0]) @ (near[1] - near[0]) / length)
    # The outline and the line of the weight are drawn across it.
    assert along[0] < 3 and along[-1] > length - 3
    assert np.diff(along).max() < 25


def test_the_outline_is_dashed_on_both_sides(drawn, motion):
    edges = seen_edges(drawn, motion)[-1, 4:]
    amber = _places(_drawing(drawn, motion), AMBER)
    for line in edges:
        beside = amber[_off_line(amber, line) < 2]
        length = np.linalg.norm(line[1] - line[0])
        along = np.sort((beside - line[0]) @ (line[1] - line[0]) / length)
        assert np.ptp(along) > 0.85 * length
        gaps = np.diff(along)
        assert np.sum(gaps > 2.5) >= 5


def test_the_weight_hangs_from_the_pivot_straight_down_in_space(drawn, motion):
    """Seen by an unrolled camera it is upright in the picture's middle, and passes the pivot."""
    scene, own = scene_of(drawn), own_of(drawn, motion)
    at = scene.frames(own[-1:])
    up = scene.rotation[:, 1]
    line = scene.project(np.stack([at.pivot[0], at.pivot[0] + 0.2 * up]))
    plum = _places(_drawing(drawn, motion), PLUM)
    away = _off_line(plum, line)
    assert np.mean(away < 3) > 0.5
    # The rest is the dot on the pivot.
    assert np.hypot(*(plum[away >= 3] - line[0]).T).max() < 14
    assert abs(np.degrees(np.arctan2(line[1, 0] - line[0, 0], line[0, 1] - line[1, 1]))) < 4


def test_every_line_stands_off_from_what_is_behind_it(drawn, motion):
    assert len(_places(_drawing(drawn, motion), PAPER)) > 500


def test_large_pictures_are_drawn_smaller(drawn, motion):
    large = _drawing(drawn, motion, (3840, 2160))
    assert max(large.shape[:2]) == LONGEST_SIDE_PX
    teal = _places(large, TEAL)
    assert _off_line(teal, seen_edges(drawn, motion)[-1, 0]).max() < 3


def test_the_frame_given_is_not_drawn_upon(drawn, motion):
    grey = np.full((720, 1280, 3), 128, np.uint8)
    draw_scene(grey, scene_of(drawn), own_of(drawn, motion)[0], STILL)
    assert np.all(grey == 128)


def test_the_drawing_goes_with_the_phone(drawn, motion):
    shifted = np.eye(3)
    shifted[:2, 2] = [40.0, -25.0]
    view = replace(STILL, homography=shifted, turned=shifted)
    near = seen_edges(drawn, motion)[-1, 0] + [40.0, -25.0]
    assert _off_line(_places(_drawing(drawn, motion, view=view), TEAL), near).max() < 3


def test_a_frame_in_which_the_body_was_not_seen_is_drawn_without_it(drawn, motion):
    own = own_of(drawn, motion)[-1]
    own[1:3] = np.nan
    grey = np.full((720, 1280, 3), 128, np.uint8)
    picture = draw_scene(grey, scene_of(drawn), own, STILL)
    assert len(_places(picture, TEAL)) > 100
    assert len(_places(picture, AMBER)) == len(_places(picture, PLUM)) == 0


def test_a_picture_is_packed_as_png():
    drawing = np.random.default_rng(1).integers(0, 255, (40, 60, 3), dtype=np.uint8)
    packed = evidence_picture("brink", 73, 2.433, drawing)
    assert (packed.moment, packed.frame, packed.time_s) == ("brink", 73, 2.433)
    assert packed.png.startswith(b"\x89PNG\r\n\x1a\n")
    back = cv2.imdecode(np.frombuffer(packed.png, np.uint8), cv2.IMREAD_COLOR)
    assert np.array_equal(back, drawing)


def test_the_readings_pictures_show_the_scene(topples):
    for picture in topples.reading.pictures:
        image = cv2.imdecode(np.frombuffer(picture.png, np.uint8), cv2.IMREAD_COLOR)
        assert image.shape == (360, 640, 3)
        for colour in (TEAL, AMBER, PLUM):
            assert len(_places(image, colour)) > 30


SEEN_PX = 0.5
"""How far the turning plane may be from where the simulator's camera puts it."""
ON_BOARD = Board(mat_thickness_m=0.0, mat_margin_m=0.0)
"""With a thickness: its upper edge does not pass through the hinge."""


def _on_plane(plane, points: np.ndarray) -> np.ndarray:
    """Pixels of points of the turning plane."""
    ahead = np.column_stack([points, np.ones(len(points))]) @ np.array(plane).T
    return ahead[:, :2] / ahead[:, 2:]


def _by_the_camera(drawn, tilt_rad: float, points: np.ndarray) -> np.ndarray:
    """The same by the simulator: the near upper edge's foot, then along and up, in metres."""
    board = drawn.board
    foot = tilted(np.array([[0.0, -board.width_m / 2, board.top_m]]), tilt_rad)
    level, up = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    in_space = foot + board.length_m * (points[:, :1] * level + points[:, 1:] * up)
    return camera_of(drawn).project(in_space)


KNOWN = np.array([[0, 0], [1, 0], [-0.6, 0], [0, 0.6], [0.5, 0.5], [-0.4, 0.4], [0.9, 0.4]])


@settings(max_examples=40, deadline=None)
@given(
    yaw_deg=st.floats(-15, 15),
    pitch_deg=st.floats(0, 15),
    roll_deg=st.floats(-5, 5),
    tilt_deg=st.floats(1, 45),
    lifted=st.sampled_from(Side),
    board=st.sampled_from([FLAT, ON_BOARD]),
)
def test_the_turning_plane_is_where_the_camera_sees_it(tilt_deg, lifted, board, **view):
    drawn, tilt = drawn_scene(lifted, board, **view), radians(tilt_deg)
    motion = raised(tilt, 1, tilt)
    scene, own = scene_of(drawn), own_of(drawn, motion)[0]
    picture = np.zeros((720, 1280, 3), np.uint8)
    plane = turning_plane(picture, scene, own, STILL)
    away = _on_plane(plane, KNOWN) - _by_the_camera(drawn, tilt, KNOWN)
    assert np.hypot(*away.T).max() < SEEN_PX
    # A mark at the board's tilt lies along the board's edge, and ends where it does.
    mark = np.array([[0.0, 0.0], [np.cos(tilt), np.sin(tilt)]])
    assert _on_plane(plane, mark) == pytest.approx(seen_edges(drawn, motion)[0, 0], abs=SEEN_PX)


@pytest.mark.parametrize("size", [(1280, 720), (3840, 2160), (640, 360)])
def test_a_mark_at_the_tilt_lies_along_the_drawn_line_at_any_size(drawn, motion, size):
    picture = _drawing(drawn, motion, size)
    shifted = replace(STILL, turned=np.array([[1.0, 0.01, 9], [-0.01, 1, -7], [1e-5, 0, 1]]))
    for view, drawing in (
        (STILL, picture),
        (shifted, _drawing(drawn, motion, size, shifted)),
    ):
        plane = turning_plane(drawing, scene_of(drawn), own_of(drawn, motion)[-1], view)
        mark = _on_plane(plane, np.array([[0, 0], [np.cos(TILT), np.sin(TILT)]]))
        teal = _places(drawing, TEAL)
        assert _off_line(teal, mark).max() < 3
        along = (teal - mark[0]) @ (mark[1] - mark[0]) / np.sum((mark[1] - mark[0]) ** 2)
        assert (along.min(), along.max()) == pytest.approx((0, 1), abs=0.01)


def test_the_readings_pictures_know_their_plane(topples):
    """Of a clip from end to end: the board's ink lies at the tilt that was measured."""
    series = topples.reading.series
    for picture in topples.reading.pictures:
        tilt = series.tilt_rad[np.argmin(np.abs(series.time_s - picture.time_s))]
        image = cv2.imdecode(np.frombuffer(picture.png, np.uint8), cv2.IMREAD_COLOR)
        mark = _on_plane(picture.plane_px, np.array([[0, 0], [np.cos(tilt), np.sin(tilt)]]))
        assert _off_line(_places(image, TEAL), mark).max() < 3
