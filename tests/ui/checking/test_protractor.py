"""The protractor on the picture: geometry, and what is written on it."""

import re
from math import cos, dist, radians, sin
from xml.etree import ElementTree

import numpy as np
import pytest

from tests.scenes.scene import Side
from tests.ui.checking.inked import GREY, HINGE, drawn_brink, pictures, without_ink
from ui.checking.lie import lie_on
from ui.checking.protractor import FEW, MANY, REACH, YOURS, Protractor, protractor_svg

SVG = "{http://www.w3.org/2000/svg}"
TILT_DEG = 22.0
PHONE_PX = 390 - 2 * 16
"""Of a narrow page, without the padding beside its column."""


def drawn(left=False, reading=None, askew=False):
    given = [drawn_brink(TILT_DEG, Side.LEFT if left else Side.RIGHT, yaw_deg=12, pitch_deg=14)]
    on = Protractor(lie_on(given if askew else pictures(TILT_DEG, left=left)))
    text = protractor_svg(GREY, on, reading)
    return on, ElementTree.fromstring(text.replace("<svg ", f'<svg xmlns="{SVG[1:-1]}" ', 1)), text


def texts(tree, numbers) -> list:
    groups = [each for each in tree.iter(f"{SVG}g") if each.get("class") == numbers.name]
    return [text for group in groups for text in group.iter(f"{SVG}text") if text.text.isdigit()]


@pytest.mark.parametrize("left", [False, True])
def test_ninety_degrees_is_up_and_zero_lies_towards_the_lifted_end(left):
    on, *_ = drawn(left)
    way = -1 if left else 1
    x0, y0 = on.lie.centre
    for angle in (0, 22, 90, 180):
        x, y = on.spot(angle, 1.0)
        assert (x - x0) * way == pytest.approx(on.radius_px * cos(radians(angle)), abs=3)
        assert y0 - y == pytest.approx(on.radius_px * sin(radians(angle)), abs=3)


@pytest.mark.parametrize("left", [False, True])
def test_in_perspective_marks_are_where_the_plane_has_them(left):
    on, tree, _ = drawn(left, askew=True)
    marks = list(tree.iter(f"{SVG}line"))[:181]
    for angle in (0, 22, 90, 137, 180):
        turn = radians(angle)
        end = float(marks[angle].get("x2")), float(marks[angle].get("y2"))
        seen = on.lie.pixel(REACH * cos(turn), REACH * sin(turn))
        assert end == pytest.approx(seen, abs=0.1)
    # Seen from aside a half disc is no half disc: the far side of it is the shorter.
    reaches = [dist(on.lie.centre, on.spot(angle, 1.0)) for angle in (0, 180)]
    assert abs(reaches[0] - reaches[1]) > 0.03 * on.radius_px


@pytest.mark.parametrize("numbers", [MANY, FEW])
def test_both_scales_are_numbered_and_together_make_180(numbers):
    _, tree, _ = drawn()
    written = [int(text.text) for text in texts(tree, numbers)]
    outer, inner = written[::2], written[1::2]
    assert outer == list(range(0, 181, numbers.step_deg))
    assert [a + b for a, b in zip(outer, inner, strict=True)] == [180] * len(outer)


@pytest.mark.parametrize("askew", [False, True])
def test_numbers_on_a_phone_are_large_enough_and_apart(askew):
    """14 px is as small as the page's own captions are; a figure is 0.55 of its height wide."""
    _, tree, _ = drawn(askew=askew)
    to_page = PHONE_PX / float(tree.get("viewBox").split()[2])
    boxes = []
    for text in texts(tree, FEW):
        size = float(text.get("font-size")) * to_page
        assert size >= 14
        half = np.array([0.55 * len(text.text), 0.72]) * size / 2
        middle = np.array([float(text.get("x")), float(text.get("y"))]) * to_page
        boxes.append((middle - half, middle + half))
    for k, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[:k]:
            assert np.any(high <= other_low) or np.any(other_high <= low)


@pytest.mark.parametrize("askew", [False, True])
def test_the_boards_line_crosses_the_scale_where_the_board_lies(askew):
    on, tree, _ = drawn(askew=askew)
    board = list(tree.iter(f"{SVG}line"))[-1]
    start, end = ((float(board.get(f"x{k}")), float(board.get(f"y{k}"))) for k in (1, 2))
    assert start == pytest.approx(on.lie.centre if askew else HINGE, abs=3)
    assert end == pytest.approx(on.spot(TILT_DEG, 1.06), abs=2)


def test_without_the_boards_line_the_protractor_is_drawn_alone():
    _, tree, _ = drawn()
    alone = protractor_svg(GREY, Protractor(lie_on([without_ink(drawn_brink(TILT_DEG))])))
    assert len(list(tree.iter(f"{SVG}line"))) == alone.count("<line") + 2


def test_the_students_number_is_drawn_only_when_it_is_given():
    assert YOURS not in drawn()[2]
    on, tree, text = drawn(reading=158.0)
    assert text.count(f"{YOURS}: 158°") == 2
    dashed = [line for line in tree.iter(f"{SVG}line") if line.get("stroke-dasharray")]
    assert float(dashed[0].get("x2")) == pytest.approx(on.spot(158, 1.06)[0], abs=0.1)


@pytest.mark.parametrize("askew", [False, True])
@pytest.mark.parametrize("left", [False, True])
def test_all_of_it_is_in_view(left, askew):
    on, tree, _ = drawn(left, askew=askew)
    x, y, width, height = map(float, tree.get("viewBox").split())
    for spot in [on.spot(angle, 1.0) for angle in range(0, 181, 15)] + [on.spot(-90, 0.2)]:
        assert x <= spot[0] <= x + width
        assert y <= spot[1] <= y + height


def test_the_picture_is_within_and_named_for_those_who_cannot_see_it():
    _, tree, text = drawn()
    assert tree.get("role") == "img"
    assert "protractor" in tree.get("aria-label")
    assert re.search(r'<image href="data:image/jpeg;base64,', text)
