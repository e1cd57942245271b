"""The protractor on the picture: geometry, and what is written on it."""

import re
from math import cos, radians, sin
from xml.etree import ElementTree

import numpy as np
import pytest

from tests.ui.checking.inked import HINGE, pictures
from ui.checking.picture_lines import lie_on
from ui.checking.protractor import YOURS, Protractor, protractor_svg

SVG = "{http://www.w3.org/2000/svg}"
PICTURE = np.full((720, 1280, 3), 128, np.uint8)


def drawn(left=False, reading=None):
    on = Protractor.on(lie_on(pictures(22.0, left=left)))
    text = protractor_svg(PICTURE, on, reading)
    return on, ElementTree.fromstring(text.replace("<svg ", f'<svg xmlns="{SVG[1:-1]}" ', 1)), text


@pytest.mark.parametrize("left", [False, True])
def test_ninety_degrees_is_up_and_zero_lies_towards_the_lifted_end(left):
    on, *_ = drawn(left)
    way = -1 if left else 1
    x0, y0 = on.lie.centre
    for angle in (0, 22, 90, 180):
        x, y = on.spot(angle, 1.0)
        assert (x - x0) * way == pytest.approx(on.radius_px * cos(radians(angle)), abs=3)
        assert y0 - y == pytest.approx(on.radius_px * sin(radians(angle)), abs=3)


def test_both_scales_are_numbered_and_together_make_180():
    _, tree, _ = drawn()
    numbers = [int(text.text) for text in tree.iter(f"{SVG}text")]
    outer, inner = numbers[::2], numbers[1::2]
    assert outer == list(range(0, 181, 10))
    assert [a + b for a, b in zip(outer, inner, strict=True)] == [180] * 19


def test_the_boards_line_crosses_the_scale_where_the_picture_shows_it():
    _, tree, _ = drawn()
    board = list(tree.iter(f"{SVG}line"))[-1]
    x1, y1, x2, y2 = (float(board.get(name)) for name in ("x1", "y1", "x2", "y2"))
    assert (x1, y1) == pytest.approx(HINGE, abs=3)
    assert np.degrees(np.arctan2(y1 - y2, x2 - x1)) == pytest.approx(22.0, abs=0.2)


def test_the_students_number_is_drawn_only_when_it_is_given():
    assert YOURS not in drawn()[2]
    on, tree, text = drawn(reading=158.0)
    assert f"{YOURS}: 158°" in text
    dashed = [line for line in tree.iter(f"{SVG}line") if line.get("stroke-dasharray")]
    assert float(dashed[0].get("x2")) == pytest.approx(on.spot(158, 1.06)[0], abs=0.1)


@pytest.mark.parametrize("left", [False, True])
def test_all_of_it_is_in_view(left):
    on, tree, _ = drawn(left)
    x, y, width, height = map(float, tree.get("viewBox").split())
    for angle in range(0, 181, 15):
        spot = on.spot(angle, 1.0)
        assert x <= spot[0] <= x + width
        assert y <= spot[1] <= y + height


def test_the_picture_is_within_and_named_for_those_who_cannot_see_it():
    _, tree, text = drawn()
    assert tree.get("role") == "img"
    assert "protractor" in tree.get("aria-label")
    assert re.search(r'<image href="data:image/jpeg;base64,', text)
