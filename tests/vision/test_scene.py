"""The scene's geometry against OpenCV's projection, a mesh, and the simulator's camera."""

from __future__ import annotations

from math import degrees, radians

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes.scene import Board, Side
from tests.vision.geometry import KINDS, drawn_scene, own_of, raised, scene_of, seen_edges
from vision.edges import Kind
from vision.fit import start_camera
from vision.scene import BEHIND, BODY, CAMERA, LEAN, SHIFT_X, SLIP, TILT, Scene, SceneLine
from vision.steady import Steadier

SIDES = st.sampled_from([1, -1])
angles = st.floats(-0.25, 0.25)
turns = st.tuples(angles, angles, angles)
VIEWS = [
    {},
    {"yaw_deg": 15, "pitch_deg": 15, "roll_deg": 5},
    {"yaw_deg": -12, "pitch_deg": 3, "roll_deg": -4, "width": 720, "height": 1280},
]


def _scene(turn=(0.1, 0.05, -0.02), side=1, lines=KINDS, radius=0.05) -> Scene:
    camera = start_camera(1280, 720)
    camera[:3], camera[4:6] = turn, (-0.2 * side, 0.1)
    away = -0.12 * side
    body, rng = [0.2, away, radius], np.random.default_rng(4)
    places = [rng.uniform(-0.03, 0.03, 2) for kind in lines if kind not in (Kind.LEFT, Kind.RIGHT)]
    seen = tuple(SceneLine(kind, (1.0,), 0.02, 0.25) for kind in lines)
    return Scene(1280, 720, side, seen, np.concatenate([camera, body, *places]))


def _own(**values: float) -> np.ndarray:
    own = np.zeros((1, 5))
    columns = {"tilt": TILT, "lean": LEAN, "slip": SLIP, "x": 3, "y": 4}
    for name, value in values.items():
        own[0, columns[name]] = value
    return own


@given(turns, SIDES)
def test_the_scenes_axes_are_a_right_handed_frame(turn, side):
    axes = _scene(turn, side).rotation
    assert axes.T @ axes == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1)
    e1, e2, e3 = axes.T
    assert np.sign(e1[0]) == side and e2[1] < 0
    assert e3 == pytest.approx(np.cross(e1, e2), abs=1e-12)


@given(
    st.lists(
        st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(0.4, 3)),
        min_size=4, max_size=9,
    )
)  # fmt: skip
def test_projection_is_opencvs(points):
    scene, points = _scene(), np.array(points)
    matrix = np.array(
        [[scene.focal_px, 0, 639.5], [0, scene.focal_px, 359.5], [0, 0, 1]], dtype=float
    )
    theirs, _ = cv2.projectPoints(points, np.zeros(3), np.zeros(3), matrix, None)
    assert scene.project(points) == pytest.approx(theirs[:, 0], abs=1e-6)


@given(turns, SIDES, st.floats(0, 0.8))
def test_projection_of_the_tilted_board_is_opencvs(turn, side, tilt):
    """OpenCV turns and shifts the tilted board by the camera's turn and the hinge's place."""
    scene, own = _scene(turn, side), _own(tilt=tilt)
    at = scene.frames(own)
    board = np.array([[0.0, 0, 0], [0.4, 0, 0], [0.4, 0, 0.2], [0.1, 0.03, -0.1]])
    c, s = np.cos(tilt), np.sin(tilt)
    tilted = board @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]) * [side, -1, -side]
    matrix = np.array(
        [[scene.focal_px, 0, 639.5], [0, scene.focal_px, 359.5], [0, 0, 1]], dtype=float
    )
    theirs, _ = cv2.projectPoints(tilted, np.array(turn), at.hinge[0], matrix, None)
    ours = at.hinge + board[:, :1] * at.u + board[:, 1:2] * at.n + board[:, 2:] * at.e3
    assert scene.project(ours) == pytest.approx(theirs[:, 0], abs=1e-6)


@given(st.floats(0, 1279), st.floats(0, 719))
def test_rays_and_projection_undo_each_other(x, y):
    scene, pixel = _scene(), np.array([x, y])
    ray = scene.rays(pixel)
    assert ray[2] == 1
    assert scene.project(2.7 * ray) == pytest.approx(pixel, abs=1e-9)


@given(turns, SIDES, st.floats(0, 0.7), st.floats(0, 0.4), st.floats(-0.02, 0.1))
def test_lean_turns_about_the_lower_rim_and_slip_shifts_it_down_the_slope(
    turn, side, tilt, lean, slip
):
    scene = _scene(turn, side)
    rest = scene.frames(_own(tilt=tilt))
    moved = scene.frames(_own(tilt=tilt, lean=lean, slip=slip))
    assert moved.pivot - rest.pivot == pytest.approx(-slip * rest.u, abs=1e-12)
    assert np.linalg.norm(moved.base - moved.pivot) == pytest.approx(scene.radius)
    assert np.sum(moved.axis * rest.axis) == pytest.approx(np.cos(lean))
    # Down the slope: the top goes towards the hinge.
    assert np.sum(moved.axis * rest.u) == pytest.approx(-np.sin(lean), abs=1e-12)
    assert rest.axis == pytest.approx(rest.n) and rest.across == pytest.approx(rest.u)
    assert np.sum(rest.u * scene.rotation[:, 1]) == pytest.approx(np.sin(tilt))


@settings(max_examples=30)
@given(turns, SIDES, st.floats(0, 0.7), st.floats(0, 0.3), st.floats(0.02, 0.09))
def test_the_outlines_touch_a_fine_mesh_of_the_cylinder(turn, side, tilt, lean, radius):
    """Every point of the mesh lies on the inner side of both, and one as good as on each."""
    scene, own = _scene(turn, side, radius=radius), _own(tilt=tilt, lean=lean)
    at = scene.frames(own)
    angle, height = np.meshgrid(np.linspace(0, 2 * np.pi, 4001), np.linspace(0, 0.4, 3))
    around = np.cos(angle)[..., None] * at.across + np.sin(angle)[..., None] * at.e3
    mesh = at.base + radius * around + height[..., None] * at.axis
    pixels = scene.project(mesh).reshape(-1, 2)
    middle = scene.project(at.base + 0.2 * at.axis)[0]
    for k in (4, 5):
        a, b, c = scene.image_lines(own)[0, k]
        inward = np.sign(a * middle[0] + b * middle[1] + c)
        inside = inward * (pixels @ [a, b] + c)
        assert inside.min() == pytest.approx(0, abs=1e-3)
    left, right = scene.segments(own)[0, 4:]
    assert left[0] < right[0]


@given(turns, SIDES, st.floats(0, 0.7), st.floats(0, 0.3))
def test_segments_lie_on_the_image_lines(turn, side, tilt, lean):
    scene, own = _scene(turn, side, (*KINDS, Kind.AXIAL)), _own(tilt=tilt, lean=lean, x=0.01)
    lines, ends = scene.image_lines(own)[0], scene.segments(own)[0].reshape(-1, 2, 2)
    assert np.hypot(lines[:, 0], lines[:, 1]) == pytest.approx(np.ones(7))
    distance = np.einsum("lpk,lk->lp", ends, lines[:, :2]) + lines[:, 2:]
    assert distance == pytest.approx(np.zeros((7, 2)), abs=1e-8)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("side", list(Side))
def test_the_simulators_camera_sees_the_same_edges(side, view):
    drawn = drawn_scene(side, Board(), **view)
    motion = raised(radians(30), 7)
    segments = scene_of(drawn).segments(own_of(drawn, motion))
    assert segments == pytest.approx(seen_edges(drawn, motion).reshape(7, 6, 4), abs=1e-6)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("side", list(Side))
def test_the_simulator_sees_the_same_lean_and_slip(side, view):
    drawn = drawn_scene(side, **view)
    motion = raised(radians(25), 6)
    motion[3:, 1], motion[:3, 2] = np.radians([2.0, 8.0, 15.0]), [0.0, 0.004, 0.02]
    segments = scene_of(drawn).segments(own_of(drawn, motion))
    assert segments == pytest.approx(seen_edges(drawn, motion).reshape(6, 6, 4), abs=1e-6)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("side", list(Side))
def test_lines_are_placed_from_where_they_are_seen(side, view):
    """Clean points give back body and edges; the ridge that guards a small turn costs little."""
    drawn = drawn_scene(side, **view)
    truth, motion = scene_of(drawn), raised(radians(30), 12)
    bare = truth.with_only([])
    bare.shared[CAMERA : CAMERA + BODY] = 0.3
    placed = bare.with_lines(list(KINDS), own_of(drawn, motion), seen_edges(drawn, motion))
    assert [line.kind for line in placed.lines] == list(KINDS)
    assert placed.shared == pytest.approx(truth.shared, abs=2e-3)


def test_lines_are_placed_though_some_frames_are_blind():
    drawn = drawn_scene(yaw_deg=8, pitch_deg=9)
    truth, motion = scene_of(drawn), raised(radians(30), 12)
    points = seen_edges(drawn, motion)
    points[3:7], points[8, 2] = np.nan, np.nan
    placed = truth.with_only([]).with_lines(list(KINDS), own_of(drawn, motion), points)
    assert placed.shared == pytest.approx(truth.shared, abs=2e-3)


def test_some_of_the_lines_keep_their_places():
    scene = _scene()
    kept = scene.with_only([5, 1, 3])
    own = _own(tilt=0.2)
    assert [line.kind for line in kept.lines] == [Kind.RIGHT, Kind.ALONG, Kind.ACROSS]
    assert kept.image_lines(own)[0] == pytest.approx(scene.image_lines(own)[0, [5, 1, 3]])
    assert kept.places[1:].ravel() == pytest.approx(kept.shared[-4:])
    assert kept.radius == scene.radius


def test_the_bodys_height_is_where_both_outlines_are_seen_to_end():
    scene = _scene(lines=(Kind.LEFT, Kind.RIGHT))
    lines = (SceneLine(Kind.LEFT, (1.0,), 0.0, 0.21), SceneLine(Kind.RIGHT, (1.0,), 0.0, 0.19))
    assert Scene(1280, 720, 1, lines, scene.shared).body_height == 0.19


@pytest.mark.parametrize("shift", [(0.01, 0.0), (0.0, -0.02)])
def test_a_shift_of_the_hinge_moves_everything_alike(shift):
    scene = _scene()
    still = scene.frames(_own(tilt=0.3))
    moved = scene.frames(_own(tilt=0.3, x=shift[0], y=shift[1]))
    for name in ("hinge", "pivot", "base"):
        by = getattr(moved, name) - getattr(still, name)
        assert by[0] == pytest.approx([*shift, 0.0], abs=1e-12)


def test_a_level_board_seen_square_on_is_level_in_the_picture():
    scene = _scene((0.0, 0.0, 0.0))
    x1, y1, x2, y2 = scene.segments(_own())[0, 0]
    assert y1 == pytest.approx(y2) and x2 > x1
    x1, y1, x2, y2 = scene.segments(_own(tilt=radians(20)))[0, 0]
    assert degrees(np.arctan2(y1 - y2, x2 - x1)) == pytest.approx(20)


def _shifted(scene: Scene, shift: np.ndarray, tilt: float) -> tuple[np.ndarray, np.ndarray]:
    """The unknowns of a frame whose phone has moved sideways, and the ends of the lines
    ``(L, 2, 2)`` as that phone's pinhole has them: all that is seen has moved the other way."""
    own = _own(tilt=tilt)
    points, directions = scene.edges(own)
    ends = np.stack([points + end * directions for end in (0.02, 0.25)], axis=2)[0]
    own[:, SHIFT_X:] = shift
    return own, scene.project(ends + [*shift, 0.0])


SHIFTS = [np.array([0.01, 0.0]), np.array([-0.006, 0.008])]
AXIAL_AND_BOARD = (*KINDS[:4], Kind.AXIAL)
"""An outline is another line of the body where the phone stands elsewhere."""


@pytest.mark.parametrize("shift", SHIFTS)
def test_a_hands_shift_is_seen_against_a_background_twice_as_far_off(shift):
    """A pinhole moves sideways before a wall at twice the hinge's depth, and each picture is
    laid on the first by the wall's homography (as OpenCV finds it)."""
    scene = _scene(lines=AXIAL_AND_BOARD)
    own, seen = _shifted(scene, shift, tilt=0.2)
    wall = np.array([[-0.9, -0.6, 1.0], [0.9, -0.6, 1.0], [0.8, 0.6, 1.0], [-0.8, 0.6, 1.0]])
    wall = wall / BEHIND
    first, now = scene.project(wall), scene.project(wall + [*shift, 0.0])
    homography, _ = cv2.findHomography(now, first)
    steadied = cv2.perspectiveTransform(seen, homography)
    assert scene.segments(own)[0].reshape(-1, 2, 2) == pytest.approx(steadied, abs=1e-3)
    unmoved = seen.reshape(-1, 4) - scene.segments(own)[0]
    assert np.abs(unmoved).max() > 2.5  # what leaving the sway out would miss by, in pixels
    assert unmoved.reshape(-1, 2) == pytest.approx(-np.tile(scene.sway_px(own), (10, 1)), abs=1e-6)


@pytest.mark.parametrize("shift", SHIFTS)
def test_a_wall_that_slides_by_is_taken_for_a_turn(shift):
    """The same by the aligner, on a drawn wall. A turn moves the picture's margin a little
    more than its middle, which a shift does not: a tenth of the sway is left."""
    scene = _scene(lines=AXIAL_AND_BOARD)
    own, seen = _shifted(scene, shift, tilt=0.2)
    by = scene.focal_px * BEHIND * shift
    spots = np.random.default_rng(3).uniform(0, 255, (820, 1380)).astype(np.float32)
    spots = cv2.normalize(cv2.GaussianBlur(spots, (0, 0), 4), None, 30, 220, cv2.NORM_MINMAX)
    wall = [
        cv2.warpAffine(spots, np.array([[1, 0, x - 50], [0, 1, y - 50]]), (1280, 720))
        for x, y in (np.zeros(2), by)
    ]
    before, after = (np.rint(picture).astype(np.uint8) for picture in wall)
    steadied = Steadier(before).align(after).steadied(seen)
    left = steadied - scene.segments(own)[0].reshape(-1, 2, 2)
    assert np.abs(left).max() < 0.2 * np.linalg.norm(by)
    assert np.sqrt(np.mean(left**2)) < 0.1 * np.linalg.norm(by)


@pytest.mark.parametrize("shift", SHIFTS)
def test_the_sway_is_taken_off_before_lines_are_placed(shift):
    truth = _scene(lines=KINDS)
    own = np.repeat(_own(), 12, axis=0)
    own[:, TILT] = np.linspace(0, 0.5, 12)
    own[:, SHIFT_X:] = np.outer(np.sin(np.arange(12)), shift)
    ends = truth.segments(own).reshape(12, -1, 2, 2)
    placed = truth.with_only([]).with_lines(list(KINDS), own, ends)
    assert placed.shared == pytest.approx(truth.shared, abs=2e-3)
    distance = np.einsum("nlpk,nlk->nlp", ends, truth.image_lines(own)[..., :2])
    assert distance == pytest.approx(-truth.image_lines(own)[..., 2:].repeat(2, -1), abs=1e-6)
