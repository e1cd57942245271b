"""What turns in the first seconds, and by how much."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

import cv2
import numpy as np
import pytest

from tests.vision.odd_clips import frame_of
from vision.clip import Frame
from vision.first_look import (
    ENOUGH_TURN_RAD,
    LOOKS_PER_S,
    MOST_KEPT,
    Shade,
    look_first,
    working_frame,
)

HINGE = np.array([70.0, 190.0])


def _texture(shape: tuple[int, int], seed: int) -> np.ndarray:
    grey = np.random.default_rng(seed).normal(0, 1, shape).astype(np.float32)
    grey = cv2.GaussianBlur(grey, (0, 0), 1.5)
    return np.clip(128 + 45 * grey / grey.std(), 0, 255).astype(np.uint8)


WALL, PLANK = _texture((240, 320), 1), _texture((240, 320), 2)


def _frame(index: int, time_s: float, turn_deg: float) -> Frame:
    """A patterned plank turned about its end before a patterned wall, anticlockwise."""
    turn = cv2.getRotationMatrix2D(HINGE.tolist(), turn_deg, 1.0)
    where = np.zeros(WALL.shape, np.uint8)
    cv2.rectangle(where, (70, 150), (270, 190), 255, -1)
    plank = cv2.warpAffine(PLANK, turn, WALL.shape[::-1])
    where = cv2.warpAffine(where, turn, WALL.shape[::-1])
    grey = np.where(where > 127, plank, WALL)
    noise = np.random.default_rng(index).normal(0, 1.5, grey.shape)
    grey = np.clip(grey + noise, 0, 255).astype(np.uint8)
    return frame_of(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), index, time_s)


def _lift(rate_deg_s: float, frames_per_second: float, seconds: float) -> Iterator:
    for k in range(int(seconds * frames_per_second)):
        time_s = k / frames_per_second
        yield working_frame(_frame(k, time_s, rate_deg_s * time_s))


@pytest.mark.parametrize("way", [1, -1])
def test_the_turn_is_found_with_its_sign(way):
    """Positive anticlockwise on the screen. It is a guess: points by the plank's edge are
    dragged along, and it may be a third out."""
    look = look_first(_lift(4.0 * way, 30, 3))
    assert way * look.turn_rad >= ENOUGH_TURN_RAD
    for kept in look.kept:
        assert degrees(kept.turn_rad) == pytest.approx(
            4.0 * way * kept.frame.time_s, rel=0.35, abs=0.3
        )
    assert look.phone_is_still()


def test_the_points_that_turn_are_on_the_plank():
    look = look_first(_lift(4.0, 30, 3))
    x, y = look.turning_points.T
    assert len(x) >= 8
    assert np.all((x > 66) & (x < 274) & (y > 146) & (y < 194))


def test_it_stops_as_soon_as_enough_has_turned():
    frames = _lift(4.0, 30, 60)
    look = look_first(frames)
    assert degrees(look.turn_rad) < degrees(ENOUGH_TURN_RAD) + 0.5
    assert next(frames).time_s == pytest.approx(look.kept[-1].frame.time_s, abs=0.05)


def test_nothing_turns_on_a_still_wall():
    look = look_first(_lift(0.0, 15, 2))
    assert look.turn_rad == 0.0 and len(look.turning_points) == 0
    assert look.kept[0].frame.index == 0


def test_fast_clips_are_not_looked_at_more_often():
    look = look_first(_lift(6.0, 120, 1.5))
    gaps = np.diff([kept.frame.time_s for kept in look.kept])
    assert gaps.min() > 0.9 / LOOKS_PER_S - 1 / 120
    assert degrees(look.turn_rad) > 6


def test_a_slow_lift_is_thinned_and_keeps_its_first_frame():
    look = look_first(_lift(0.8, 30, 9))
    assert len(look.kept) <= MOST_KEPT + 1
    assert look.kept[0].frame.time_s == 0.0
    assert degrees(look.turn_rad) == pytest.approx(0.8 * look.kept[-1].frame.time_s, abs=0.2)


def test_the_drawn_clips_first_degrees(topples, slides):
    """Turn in the picture goes with the tilt: within a tenth of it, and by side."""
    for clip, way in [(topples, 1), (slides, -1)]:
        look = clip.passed["look"]
        last = look.kept[-1]
        tilt = np.interp(last.frame.time_s, clip.trace[:, 1], clip.trace[:, 2])
        assert way * degrees(last.turn_rad) == pytest.approx(tilt, rel=0.12)
        assert look.phone_is_still()


@pytest.mark.parametrize(
    ("size", "kept"), [((3840, 2160), (1920, 1080)), ((2160, 3840), (1080, 1920)),
                       ((1920, 1080), (1920, 1080)), ((854, 480), (854, 480))],
)  # fmt: skip
def test_a_working_frame_is_grey_and_at_most_1920_long(size, kept):
    frame = working_frame(frame_of(np.full((size[1], size[0], 3), 90, np.uint8), 7, 0.25))
    assert frame.grey.shape == kept[::-1] and frame.grey.dtype == np.uint8
    assert np.all(frame.grey == 90)
    assert (frame.index, frame.time_s) == (7, 0.25)


@pytest.mark.parametrize("level", [0, 128])
def test_a_picture_without_texture_is_looked_at_all_the_same(level):
    flat = np.full((120, 160, 3), level, np.uint8)
    look = look_first(working_frame(frame_of(flat, k, k / 15)) for k in range(20))
    assert look.turn_rad == 0.0


def test_colours_that_are_equally_light_are_told_apart_by_their_red():
    """0.299 R + 0.587 G + 0.114 B is the lightness (ITU-R BT.601)."""
    wall, tin = (105, 115, 100), (105, 60, 208)  # blue, green, red
    bgr = np.full((40, 60, 3), wall, np.uint8)
    bgr[10:30, 20:40] = tin
    step = {shade: np.ptp(working_frame(frame_of(bgr), shade).grey.astype(int)) for shade in Shade}
    assert step[Shade.LIGHT] <= 1 and step[Shade.BLUE] == 0 and step[Shade.RED] == 108
