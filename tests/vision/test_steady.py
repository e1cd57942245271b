"""A phone's known turns of a textured picture are found, and what moves by itself is not taken."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

import cv2
import numpy as np
import pytest

from vision.steady import Steadier

WIDTH, HEIGHT, MARGIN = 640, 360, 60
MIDDLE = np.array([WIDTH / 2, HEIGHT / 2])
FOCAL_PX = 480.0
"""67° along the longer side, as phones have."""
ROLL_DEG, SHIFT_PX = 0.01, 0.1
"""How well a turn is to be found."""


@pytest.fixture(scope="module")
def room() -> np.ndarray:
    """Mottled in several sizes, larger than the picture, grey levels about 120."""
    rng = np.random.default_rng(11)
    shape = (HEIGHT + 2 * MARGIN, WIDTH + 2 * MARGIN)
    grey = np.zeros(shape, np.float32)
    for blur in (1.5, 4, 12):
        layer = cv2.GaussianBlur(rng.standard_normal(shape).astype(np.float32), (0, 0), blur)
        grey += layer / layer.std()
    return 120 + 18 * grey


def _turned(roll_deg: float, across_px: float, down_px: float) -> np.ndarray:
    """Homography of a phone that rolls, and swings so that the picture's middle shifts."""
    ahead = np.array([across_px / FOCAL_PX, down_px / FOCAL_PX, 1.0])
    axis = np.cross([0.0, 0.0, 1.0], ahead)
    size = np.linalg.norm(axis)
    swing, _ = cv2.Rodrigues(axis / max(size, 1e-12) * np.arctan(size))
    roll, _ = cv2.Rodrigues(np.array([0.0, 0.0, radians(roll_deg)]))
    return _of_turn(swing @ roll)


def _of_turn(turn: np.ndarray) -> np.ndarray:
    """K R K⁻¹ (Hartley & Zisserman, 8.4)."""
    matrix = np.array([[FOCAL_PX, 0, MIDDLE[0]], [0, FOCAL_PX, MIDDLE[1]], [0, 0, 1]])
    homography = matrix @ turn @ np.linalg.inv(matrix)
    return homography / homography[2, 2]


def _pan(yaw_deg: float, pitch_deg: float) -> np.ndarray:
    """Homography of a phone that pans and nods."""
    return _of_turn(cv2.Rodrigues(np.radians([pitch_deg, yaw_deg, 0.0]))[0])


def _photo(room: np.ndarray, homography: np.ndarray, seed: int, noise=2.0) -> np.ndarray:
    """The room as the phone sees it there, in bytes, with noise of its own."""
    out = np.eye(3)
    out[:2, 2] = -MARGIN
    seen = cv2.warpPerspective(room, homography @ out, (WIDTH, HEIGHT), flags=cv2.INTER_CUBIC)
    seen = seen + np.random.default_rng(seed).normal(0, noise, seen.shape)
    return np.clip(np.rint(seen), 0, 255).astype(np.uint8)


def _corner_error_px(found: np.ndarray, true: np.ndarray) -> float:
    corners = np.array([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]], float)[:, None]
    away = cv2.perspectiveTransform(corners, found) - cv2.perspectiveTransform(corners, true)
    return float(np.hypot(*away[:, 0].T).max())


@pytest.fixture(scope="module")
def steadier(room) -> Steadier:
    return Steadier(_photo(room, np.eye(3), 0))


@pytest.fixture
def fresh(room) -> Steadier:
    return Steadier(_photo(room, np.eye(3), 0))


@pytest.mark.parametrize(
    ("roll_deg", "across", "down"),
    [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (-1.0, 2.3, -1.7), (0.05, 0.4, 0.25), (2.0, -6.0, 5.0)],
)
def test_roll_and_shift_are_found(room, fresh, roll_deg, across, down):
    true = _turned(roll_deg, across, down)
    view = fresh.align(_photo(room, true, 1))
    assert degrees(view.roll_rad) == pytest.approx(roll_deg, abs=ROLL_DEG)
    assert view.shift_px == pytest.approx(down, abs=SHIFT_PX)
    assert _corner_error_px(view.turned, true) < 1.5 * SHIFT_PX
    assert _corner_error_px(view.homography, true) < 2 * SHIFT_PX
    assert view.still_share > 0.8


def test_a_phone_that_seems_to_stir_is_looked_at_finely(room, fresh, monkeypatch):
    rough_px = {True: 0.8, False: 0.0}
    looks = []

    def aligned(grey, roughly=False):
        looks.append(roughly)
        return replace(fresh.first_view, shift_px=rough_px[roughly], unmoved_share=0.0)

    monkeypatch.setattr(fresh, "align", aligned)
    assert fresh.is_still(_photo(room, np.eye(3), 4)) and looks == [True, False]
    rough_px[False] = 0.8
    assert not fresh.is_still(_photo(room, np.eye(3), 4))


@pytest.mark.parametrize(("yaw_deg", "pitch_deg"), [(0.5, 0.0), (0.0, -0.4), (-0.8, 0.6)])
def test_pan_and_pitch_are_found(room, fresh, yaw_deg, pitch_deg):
    true = _pan(yaw_deg, pitch_deg)
    view = fresh.align(_photo(room, true, 2))
    assert _corner_error_px(view.homography, true) < 3 * SHIFT_PX
    assert _corner_error_px(view.turned, true) < 3 * SHIFT_PX
    assert degrees(view.roll_rad) == pytest.approx(0, abs=2 * ROLL_DEG)


def test_points_are_carried_there_and_back(fresh, room):
    view = fresh.align(_photo(room, _pan(-0.8, 0.6), 2))
    points = np.array([[[10.0, 20.0], [600.0, 300.0]], [[np.nan, np.nan], [320.0, 180.0]]])
    assert view.steadied(view.seen(points)) == pytest.approx(points, abs=1e-6, nan_ok=True)
    straight = cv2.perspectiveTransform(points[1:, 1:], view.turned)[0, 0]
    assert view.seen(points)[1, 1] == pytest.approx(straight)


def test_nothing_drifts_over_a_long_shake(room, fresh):
    """Each frame is compared with the first: the last error is no larger than the first."""
    errors = []
    for k in range(60):
        roll_deg = 0.4 * np.sin(0.3 * k)
        true = _turned(roll_deg, 3 * np.sin(0.2 * k), 2 * np.cos(0.25 * k) - 2)
        errors.append(degrees(fresh.align(_photo(room, true, 100 + k)).roll_rad) - roll_deg)
    assert np.abs(errors).max() < ROLL_DEG
    assert abs(np.mean(errors[40:])) < ROLL_DEG / 2


def test_where_it_ends_does_not_hang_on_where_it_began(room, fresh):
    """From far, and from the frame before, in a noisy picture."""
    seen = _photo(room, _turned(0.8, 4.0, -3.0), 20, noise=8.0)
    far = fresh.align(seen)
    for seed, roll_deg in enumerate((0.3, 0.6, 0.8)):
        fresh.align(_photo(room, _turned(roll_deg, 4.0, -3.0), seed, noise=8.0))
    assert _corner_error_px(fresh.align(seen).homography, far.homography) < SHIFT_PX / 5


def test_a_board_and_a_hand_that_move_by_themselves_are_not_taken(room, fresh):
    """A fifth of the picture turns by 10° the other way."""
    true, moving = _turned(0.5, 1.0, 1.0), _turned(-10.0, 8.0, -12.0)
    seen, own = _photo(room, true, 3), _photo(room, moving, 4)
    seen[120:300, 200:460] = own[120:300, 200:460]
    view = fresh.align(seen)
    assert degrees(view.roll_rad) == pytest.approx(0.5, abs=2 * ROLL_DEG)
    assert view.still_share < 0.9


def test_a_change_of_light_is_no_motion(room, fresh):
    """Exposure drifts by ten grey levels while the phone stands."""
    view = fresh.align(_photo(room + 10, np.eye(3), 5))
    assert degrees(view.roll_rad) == pytest.approx(0, abs=ROLL_DEG)
    assert view.is_still()


@pytest.mark.parametrize(
    ("roll_deg", "down", "still"),
    [(0.0, 0.0, True), (0.02, 0.2, True), (0.1, 0.0, False), (0.0, 0.8, False)],
)
def test_a_phone_that_lies_still_is_told_from_one_that_stirs(room, fresh, roll_deg, down, still):
    assert fresh.align(_photo(room, _turned(roll_deg, 0, down), 6)).is_still() is still


@pytest.mark.parametrize(
    ("shift_px", "unmoved", "still"),
    [(0.3, 0.2, True), (2.0, 0.88, True), (2.0, 0.7, False), (8.0, 0.9, False)],
)
def test_an_alignment_that_explains_nothing_is_no_stir(fresh, shift_px, unmoved, still):
    """In the dim, noise leads one astray by some pixels; a hand's stir is explained or far."""
    view = replace(fresh.first_view, still_share=0.88, shift_px=shift_px, unmoved_share=unmoved)
    assert view.is_still() is still


@pytest.mark.parametrize(("down", "agree"), [(0.0, True), (3.0, False)])
def test_pixels_agree_with_an_unmoved_phone_only_where_it_is(room, down, agree):
    dim = 20 + 0.15 * (room - 120)
    steadier = Steadier(_photo(dim, np.eye(3), 7, noise=4.0))
    view = steadier.align(_photo(dim, _turned(0.0, 0.0, down), 60, noise=4.0))
    assert (view.unmoved_share > view.still_share - 0.02) is agree


def test_the_first_view_is_the_first_frames_own(steadier):
    view = steadier.first_view
    assert np.array_equal(view.homography, np.eye(3))
    assert view.turned == pytest.approx(np.eye(3))
    assert view.roll_rad == 0 and view.shift_px == 0 and view.is_still()


def test_a_bare_wall_tells_nothing_and_moves_nothing():
    bare = np.full((HEIGHT, WIDTH), 140, np.uint8)
    view = Steadier(bare).align(bare)
    assert view.homography == pytest.approx(np.eye(3), abs=1e-9)
    assert view.is_still()
