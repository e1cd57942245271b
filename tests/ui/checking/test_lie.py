"""How a protractor lies: by the plane where it is known, else by the ink of the board's line."""

from dataclasses import replace
from math import atan2, cos, degrees, radians, sin

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.scenes.scene import Side
from tests.ui.checking.inked import HINGE, SIZE, drawn_brink, inked, pictures, without_ink
from ui.checking.lie import lie_on
from ui.checking.picture_lines import board_line, decoded


def base_deg(lie) -> float:
    (x0, y0), (x, y) = lie.centre, lie.pixel(1, 0)
    return degrees(atan2(y0 - y, x - x0))


@settings(max_examples=15, deadline=None)
@given(
    tilt_deg=st.floats(6, 45),
    lifted=st.sampled_from(Side),
    yaw_deg=st.floats(-15, 15),
    pitch_deg=st.floats(0, 15),
    roll_deg=st.floats(-5, 5),
)
@example(tilt_deg=12.421875, lifted=Side.RIGHT, yaw_deg=-12.0, pitch_deg=0.0, roll_deg=0.328125)
def test_in_its_plane_the_drawn_line_lies_at_the_boards_tilt(tilt_deg, lifted, **view):
    lie = lie_on([drawn_brink(tilt_deg, lifted, **view)])
    assert not lie.flat
    assert lie.seen_deg == pytest.approx(tilt_deg, abs=0.1)


def test_askew_the_plane_reads_the_tilt_that_the_flat_picture_misses():
    """15° off square cos 15° shortens the level: tan 20° looks like tan 20° / cos 15°."""
    first, brink = (drawn_brink(tilt, yaw_deg=15, pitch_deg=0) for tilt in (0.0, 20.0))
    start = replace(first, moment="start", plane_px=None)
    flat = lie_on([start, replace(brink, plane_px=None)])
    assert flat.flat
    assert abs(flat.seen_deg - 20) > 0.5
    assert lie_on([start, brink]).seen_deg == pytest.approx(20, abs=0.1)


def test_the_protractor_is_laid_in_its_plane_though_its_line_is_hidden():
    brink = drawn_brink(20)
    lie = lie_on([without_ink(brink)])
    assert (lie.seen_deg, lie.flat, lie.plane_px) == (None, False, brink.plane_px)


def test_ink_that_does_not_pass_the_hinge_is_not_the_boards():
    brink = drawn_brink(20)
    aside = replace(inked("brink", 22.0, hinge=(100.0, 200.0)), plane_px=brink.plane_px)
    assert board_line(decoded(aside.png)) is not None
    assert lie_on([aside]).seen_deg is None


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(("start", "brink"), [(0.0, 22.0), (-1.5, 11.0), (2.0, 44.0)])
def test_the_angle_and_the_hinge_of_the_picture_are_found(start, brink, left):
    lie = lie_on(pictures(brink, start, left))
    assert lie.flat
    assert lie.seen_deg == pytest.approx(brink - start, abs=0.15)
    assert lie.centre == pytest.approx(HINGE, abs=2.5)
    assert (lie.pixel(1, 0)[0] > lie.centre[0]) is not left
    assert (lie.width, lie.height) == SIZE


@pytest.mark.parametrize("left", [False, True])
def test_flat_the_plane_is_the_picture_turned(left):
    """No stretch, no shear: right angles and equal lengths stay, and up is up."""
    lie = lie_on(pictures(22.0, 1.5, left))
    centre, along, up = (np.array(lie.pixel(*spot)) for spot in ((0, 0), (1, 0), (0, 1)))
    length = np.linalg.norm(along - centre)
    assert np.linalg.norm(up - centre) == pytest.approx(length)
    assert (up - centre) @ (along - centre) == pytest.approx(0, abs=1e-6 * length**2)
    assert up[1] < centre[1] - 0.9 * length
    spot = lie.pixel(cos(radians(lie.seen_deg)), sin(radians(lie.seen_deg)))
    line = board_line(decoded(inked("brink", 22.0, left).png))
    assert spot == pytest.approx(line.upper, abs=4)


def test_a_phone_that_moved_between_leaves_the_lower_end_as_hinge():
    moved = (inked("start", 0.0, hinge=(400.0, 300.0)), inked("brink", 22.0))
    assert lie_on(moved).centre == pytest.approx(HINGE, abs=3)
    assert lie_on(moved).seen_deg == pytest.approx(22.0, abs=0.15)


def test_without_a_start_the_base_line_is_level():
    lie = lie_on([inked("brink", 22.0)])
    assert base_deg(lie) == 0.0
    assert lie.seen_deg == pytest.approx(22.0, abs=0.15)


def test_where_there_is_no_line_nothing_is_laid():
    assert lie_on([without_ink(inked("brink", 22.0))]) is None
    assert lie_on([inked("start", 0.0)]) is None
    assert lie_on([]) is None


def test_a_board_that_has_not_risen_gives_no_angle():
    assert lie_on([inked("start", 0.0), inked("brink", 0.5)]) is None
