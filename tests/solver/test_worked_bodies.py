from math import radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.bodies import Body, Contact, Part, Side
from solver.edge_balance import Balance, End, Overhang, balanced_centre
from solver.shapes import box
from solver.worked_bodies import (
    balance_of,
    brink_of,
    height_from_tilt,
    inertia_of,
    tilt_from_height,
)
from tests.solver.latex_reader import check
from tests.solver.rigs import tin_with_rod

RIG = tin_with_rod(radius_u=0.0002, mass_u=0.0005)


def same(one, other):
    assert nominal_value(one) == pytest.approx(nominal_value(other), rel=1e-9)
    assert std_dev(one) == pytest.approx(std_dev(other), rel=1e-6)


@given(st.floats(0.005, 0.2), st.floats(3.0, 80.0), st.floats(0.0, 1.0))
def test_the_numbers_reproduce_a_centre_height(radius, degrees, u):
    tilt = ufloat(radians(degrees), radians(u)) if u > 0.01 else radians(degrees)
    working = height_from_tilt(radius, tilt)
    for step in working.steps:
        check(step)
    back = tilt_from_height(radius, working.result)
    same(back.result, tilt)
    for step in back.steps:
        check(step)


def test_a_published_line_of_working():
    """r 30(0.1) mm, angle 20(0.2)°: x = 82.424, u = 0.936 (by uncertainties, GTC, metrolopy)."""
    tilt = ufloat(radians(20), radians(0.2))
    step = height_from_tilt(ufloat(0.03, 0.0001), tilt).step("x")
    assert step.in_symbols() == r"x = \frac{r}{\tan \phi}"
    assert step.with_numbers() == r"x = \frac{30\,\text{mm}}{\tan 20^\circ}"
    assert step.answer() == r"x = \left(82.4 \pm 1.8\right)\,\text{mm}"
    assert std_dev(step.result.value) == pytest.approx(0.000936, abs=5e-7)


def test_similar_triangles_come_before_the_tangent():
    working = height_from_tilt(0.03, radians(20))
    triangles, tangent = working.steps
    assert "similar" in triangles.principle
    assert triangles.in_symbols() == r"\phi = 90^\circ - \left(90^\circ - \theta\right)"
    assert triangles.result.value == pytest.approx(radians(20))
    assert "pivot" in tangent.principle


def test_the_working_of_a_body_gives_its_mass_centre_and_brink():
    body = RIG.carrier
    working = brink_of(body)
    same(working.step("m").result.value, body.mass_kg)
    same(working.step("x").result.value, body.centre_height_m)
    same(working.result, body.brink_rad())
    assert "mass of the lid" in {s.letter.meaning for s in working.step("m").symbols.values()}
    for step in working.steps:
        check(step)


def test_the_working_of_inertia_gives_the_inertia_about_either_edge():
    block = Body(
        "block", (Part.of("wood", box(0.04, 0.06, 0.1), 0.2),), Contact.rectangle(0.04, 0.06)
    )
    for side in (Side.RIGHT, Side.BACK):
        working = inertia_of(block, side)
        same(working.result, block.inertia_kg_m2(side))
        check(working.steps[0])


@pytest.mark.parametrize(
    "readings",
    [
        [Overhang(0.053)],
        [Overhang(0.053), Overhang(0.054)],
        [Overhang(0.055, End.TOP), Overhang(0.056, End.TOP)],
        [Overhang(0.053), Overhang(0.0535), Overhang(0.055, End.TOP)],
    ],
)
def test_the_working_of_a_balance_gives_its_centre_and_interval(readings):
    balance = Balance(ufloat(0.11, 0.0003), 0.002, 0.0002)
    working = balance_of(balance, readings)
    centre = balanced_centre(balance, readings)
    same(working.result, centre.mean)
    assert working.steps[-1].coverage_factor == centre.coverage_factor
    for step in working.steps:
        check(step)
