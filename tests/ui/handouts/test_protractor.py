"""The protractor as it is on paper: its lines are read out of the PDF itself."""

from __future__ import annotations

from math import atan2, degrees, hypot

import pytest

from tests.ui.handouts.lessons import empty
from tests.ui.handouts.paper_reader import sizes_mm, straight_lines_mm, words
from ui.handouts.content import Paper
from ui.handouts.protractor import CHECK_MM, RADIUS_MM, marks
from ui.handouts.sheets_before import protractor
from ui.handouts.typesetting import as_pdf

FINE_MM = 0.01
LEFT, RIGHT = 0, 1
"""The pages, by where the board is hinged."""


@pytest.fixture(scope="module", params=list(Paper))
def pdf(request: pytest.FixtureRequest) -> bytes:
    return as_pdf(protractor(empty()), request.param)


def lengths(pdf: bytes, page: int) -> list[float]:
    return [hypot(b[0] - a[0], b[1] - a[1]) for a, b in straight_lines_mm(pdf, page)]


def centre(pdf: bytes, page: int) -> tuple[float, float]:
    """Where the foot and the upright of the scale, both as long as its radius, meet."""
    straight = [
        (a, b)
        for a, b in straight_lines_mm(pdf, page)
        if hypot(b[0] - a[0], b[1] - a[1]) == pytest.approx(RADIUS_MM, abs=FINE_MM)
    ]
    (foot, upright) = straight
    assert foot[0] == pytest.approx(upright[0], abs=FINE_MM)
    assert foot[0][1] == pytest.approx(foot[1][1], abs=FINE_MM)
    assert upright[0][0] == pytest.approx(upright[1][0], abs=FINE_MM)
    return foot[0]


@pytest.mark.parametrize(("page", "way"), [(LEFT, 1), (RIGHT, -1)])
def test_every_half_degree_has_its_mark_in_its_place(pdf: bytes, page: int, way: int) -> None:
    x0, y0 = centre(pdf, page)
    found = []
    for inner, outer in straight_lines_mm(pdf, page):
        across, up = way * (outer[0] - x0), outer[1] - y0
        radial = hypot(across, up) == pytest.approx(RADIUS_MM, abs=FINE_MM)
        if radial and hypot(outer[0] - inner[0], outer[1] - inner[1]) < 20:
            angle = degrees(atan2(up, across))
            inner_angle = degrees(atan2(inner[1] - y0, way * (inner[0] - x0)))
            assert inner_angle == pytest.approx(angle, abs=0.01)
            found.append(angle)
    assert sorted(found) == pytest.approx([half / 2 for half in range(181)], abs=0.01)


@pytest.mark.parametrize("page", [LEFT, RIGHT])
def test_the_check_lines_are_fifty_millimetres_both_ways(pdf: bytes, page: int) -> None:
    checks = [
        (a, b)
        for a, b in straight_lines_mm(pdf, page)
        if hypot(b[0] - a[0], b[1] - a[1]) == pytest.approx(CHECK_MM, abs=FINE_MM)
    ]
    across = [a for a, b in checks if abs(a[1] - b[1]) < FINE_MM]
    along = [a for a, b in checks if abs(a[0] - b[0]) < FINE_MM]
    assert CHECK_MM == 50.0
    assert (len(across), len(along)) == (1, 1)


@pytest.mark.parametrize("page", [LEFT, RIGHT])
def test_nothing_comes_nearer_the_papers_edge_than_printers_reach(pdf: bytes, page: int) -> None:
    """Common practice: office printers leave 4 to 6 mm white."""
    width, height = sizes_mm(pdf)[page]
    for ends in straight_lines_mm(pdf, page):
        for x, y in ends:
            assert 8 < x < width - 8
            assert 8 < y < height - 8


def test_it_says_how_to_print_it(pdf: bytes) -> None:
    assert "Print at 100 %" in words(pdf)
    assert "50 mm across" in words(pdf)
    assert len(sizes_mm(pdf)) == 2


def test_longer_marks_at_rounder_angles() -> None:
    by_angle = {mark.angle_deg: mark.outer_mm - mark.inner_mm for mark in marks()}
    assert by_angle[20] > by_angle[25] > by_angle[21] > by_angle[20.5] > 0
