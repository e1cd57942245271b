"""Where a protractor lies, found again by the ink of the board's line."""

import cv2
import numpy as np
import pytest

from tests.ui.checking.inked import HINGE, SIZE, far_end, inked, pictures
from ui.checking.picture_lines import board_line, decoded, lie_on
from vision.reading import EvidencePicture


@pytest.mark.parametrize("left", [False, True])
@pytest.mark.parametrize(("start", "brink"), [(0.0, 22.0), (-1.5, 11.0), (2.0, 44.0)])
def test_the_angle_and_the_hinge_of_the_picture_are_found(start, brink, left):
    lie = lie_on(pictures(brink, start, left))
    assert lie.seen_deg == pytest.approx(brink - start, abs=0.15)
    assert lie.centre == pytest.approx(HINGE, abs=2.5)
    assert lie.rightwards is not left
    assert (lie.width, lie.height) == SIZE


def test_a_line_is_found_from_end_to_end_though_something_hides_its_middle():
    line = board_line(decoded(inked("brink", 22.0, covered=True).png))
    assert line.lower == pytest.approx(HINGE, abs=3)
    assert line.upper == pytest.approx(far_end(22.0), abs=3)
    assert line.direction_deg == pytest.approx(22.0, abs=0.1)


def test_a_phone_that_moved_between_leaves_the_lower_end_as_hinge():
    moved = (inked("start", 0.0, hinge=(400.0, 300.0)), inked("brink", 22.0))
    assert lie_on(moved).centre == pytest.approx(HINGE, abs=3)
    assert lie_on(moved).seen_deg == pytest.approx(22.0, abs=0.15)


def test_without_a_start_the_base_line_is_level():
    lie = lie_on([inked("brink", 22.0)])
    assert lie.base_deg == 0.0
    assert lie.seen_deg == pytest.approx(22.0, abs=0.15)


def test_where_there_is_no_line_nothing_is_laid():
    blank = np.full((SIZE[1], SIZE[0], 3), 128, np.uint8)
    png = cv2.imencode(".png", blank)[1].tobytes()
    assert lie_on([EvidencePicture("brink", 0, 0.0, png)]) is None
    assert lie_on([inked("start", 0.0)]) is None
    assert lie_on([]) is None


def test_a_board_that_has_not_risen_gives_no_angle():
    assert lie_on([inked("start", 0.0), inked("brink", 0.5)]) is None


def test_a_teal_thing_in_the_picture_is_no_line():
    picture = decoded(inked("brink", 22.0).png)
    cv2.rectangle(picture, (300, 40), (1200, 240), (117, 122, 11), -1)
    line = board_line(picture)
    assert line.direction_deg == pytest.approx(22.0, abs=0.1)
