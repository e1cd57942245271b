"""The board's line, found again by its ink."""

import cv2
import numpy as np
import pytest

from tests.ui.checking.inked import HINGE, SIZE, far_end, inked
from ui.checking.picture_lines import board_line, decoded


def test_a_line_is_found_from_end_to_end_though_something_hides_its_middle():
    line = board_line(decoded(inked("brink", 22.0, covered=True).png))
    assert line.lower == pytest.approx(HINGE, abs=3)
    assert line.upper == pytest.approx(far_end(22.0), abs=3)
    assert line.direction_deg == pytest.approx(22.0, abs=0.1)


def test_a_teal_thing_in_the_picture_is_no_line():
    picture = decoded(inked("brink", 22.0).png)
    cv2.rectangle(picture, (300, 40), (1200, 240), (117, 122, 11), -1)
    line = board_line(picture)
    assert line.direction_deg == pytest.approx(22.0, abs=0.1)


def test_without_ink_there_is_no_line():
    assert board_line(np.full((SIZE[1], SIZE[0], 3), 128, np.uint8)) is None
