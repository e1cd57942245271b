"""Drawings: to scale, with names, and deaf to what names try."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from math import atan2, degrees, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value

from solver.bodies import Side
from solver.edge_balance import End
from solver.friction import Push, Stand, Way
from ui.bench import balance_drawing, body_drawing
from ui.bench.body_drawing import as_drawn, at_brink, centre_mm, lean_over, upright
from ui.bench.drawing import Drawing, Frame, spread
from ui.bench.examples import EXAMPLES, LEAF_TEA_TIN
from ui.bench.push_drawing import drawn, when_pushed, when_raised
from ui.bench.sheet import BaseSheet, BodySheet, Number, PartSheet

SVG = "{http://www.w3.org/2000/svg}"


def parsed(svg: str) -> ET.Element:
    """The drawing, which must be sound XML."""
    return ET.fromstring(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))


def words(svg: str) -> list[str]:
    return [element.text or "" for element in parsed(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda sheet: sheet.name)
def test_all_marks_lie_on_the_paper(sheet: BodySheet) -> None:
    body = sheet.whole()
    for svg in (upright(sheet, body), at_brink(sheet, body)):
        root = parsed(svg)
        _, _, width, height = map(float, root.attrib["viewBox"].split())
        for line in (*root.iter(f"{SVG}polyline"), *root.iter(f"{SVG}polygon")):
            for pair in line.attrib["points"].split():
                x, y = map(float, pair.split(","))
                assert -1 <= x <= width + 1 and -1 <= y <= height + 1, line.attrib


def test_every_part_is_named_and_the_lengths_are_given() -> None:
    shown = words(upright(LEAF_TEA_TIN, LEAF_TEA_TIN.whole()))
    assert {"wall", "base", "lid", "rod", "lump"} <= set(shown)
    assert "x = 57.5 mm" in shown and "r = 36.5 mm" in shown


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda sheet: sheet.name)
def test_at_the_brink_the_centre_is_drawn_above_the_pivot(sheet: BodySheet) -> None:
    body = sheet.whole()
    angle = float(nominal_value(body.brink_rad(sheet.base.tips)))
    place = lean_over((body_drawing.reach_mm(body, sheet), 0.0), angle)
    assert place(centre_mm(body, sheet))[0] == pytest.approx(0.0, abs=1e-9)


def test_the_board_is_drawn_at_the_brink_angle() -> None:
    body = LEAF_TEA_TIN.whole()
    boards = [
        line.attrib["points"]
        for line in parsed(at_brink(LEAF_TEA_TIN, body)).iter(f"{SVG}polyline")
        if line.attrib.get("stroke-width") == "5"
    ]
    (x1, y1), (x2, y2) = (map(float, pair.split(",")) for pair in boards[0].split())
    assert degrees(atan2(y2 - y1, x2 - x1)) == pytest.approx(32.39, abs=0.05)


def test_a_body_that_tips_to_the_left_is_drawn_with_its_pivot_on_the_right() -> None:
    part = PartSheet("weight", "weighed", Number(50.0), stands_at=Number(40.0), aside_mm=-10.0)
    base = BaseSheet(tips=Side.LEFT)
    sheet = BodySheet("tin", (*LEAF_TEA_TIN.parts, part), base)
    body = sheet.whole()
    x, _ = centre_mm(body, sheet)
    assert x > 0
    assert body_drawing.reach_mm(body, sheet) - x == pytest.approx(
        1000 * nominal_value(body.arm_m(Side.LEFT))
    )


@given(st.text(min_size=1, max_size=60))
def test_a_name_is_text_and_nothing_else(name: str) -> None:
    """What is no character of XML is left to the browser; nothing becomes a mark."""
    part = replace(LEAF_TEA_TIN.parts[0], name=name)
    sheet = replace(LEAF_TEA_TIN, name=name, parts=(part,), rod=None)
    svg = upright(sheet, sheet.whole())
    assert "\n" not in svg
    tags = set(re.findall(r"<(\w+)", svg))
    assert tags <= {"svg", "title", "polyline", "polygon", "circle", "path", "text"}


def test_forces_are_named_and_in_proportion() -> None:
    stand = Stand.of(LEAF_TEA_TIN.whole(), 0.45)
    outline = as_drawn(LEAF_TEA_TIN)
    scene = when_pushed("leaf tea tin", stand, outline, Push(0.05), 0.0)
    assert scene is not None
    shown = words(drawn(scene))
    assert {"weight 1.43 N", "normal 1.43 N", "friction 0.64 N", "push 0.64 N"} <= set(shown)


@pytest.mark.parametrize("way", Way)
def test_a_slope_is_drawn_with_its_angle(way: Way) -> None:
    stand = Stand.of(LEAF_TEA_TIN.whole(), 0.45)
    how = Push(0.05, radians(10), 0.06, way)
    scene = when_pushed("tin", stand, as_drawn(LEAF_TEA_TIN), how, radians(12))
    assert scene is not None and "α = 12°" in words(drawn(scene))


def test_nothing_is_drawn_where_no_force_moves_it() -> None:
    stand = Stand(0.03, 0.05, 0.9)
    assert when_pushed("tin", stand, [], Push(0.01, radians(-80), 0.06), 0.0) is None


def test_a_raised_board_stands_at_the_smaller_angle() -> None:
    slides, topples = (Stand.of(LEAF_TEA_TIN.whole(), mu) for mu in (0.3, 0.9))
    assert degrees(when_raised("tin", slides, []).tilt_rad) == pytest.approx(16.699, abs=1e-3)
    assert degrees(when_raised("tin", topples, []).tilt_rad) == pytest.approx(32.39, abs=5e-3)


@pytest.mark.parametrize("end", End)
def test_an_overhang_is_the_centre_less_the_edges_radius(end: End) -> None:
    outline = balance_drawing.plain_outline(110.0)
    shown = words(balance_drawing.drawn(outline, 110.0, 57.5, 3.0, end))
    wanted = 57.5 if end is End.BASE else 52.5
    assert f"{wanted:.1f} mm" in shown and f"a = {wanted - 3:.1f} mm" in shown


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=12), st.floats(0.1, 20))
def test_labels_are_spread_in_order_and_no_farther_than_needed(
    wanted: list[float], apart: float
) -> None:
    placed = spread(wanted, apart)
    ordered = [placed[i] for i in sorted(range(len(wanted)), key=lambda i: wanted[i])]
    gaps = [b - a for a, b in pairwise(ordered)]
    assert all(gap >= apart - 1e-9 for gap in gaps)
    assert sum(placed) == pytest.approx(sum(wanted), abs=1e-6)


def test_a_drawing_keeps_its_proportions() -> None:
    drawing = Drawing(Frame(0.0, 100.0, 0.0, 50.0), "a line")
    corner, right, top = map(drawing.px, [(0, 0), (100, 0), (0, 50)])
    assert right[0] - corner[0] == pytest.approx(2 * (corner[1] - top[1]))
