from math import radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from solver.friction import Push, Slide, Stand, Way, friction_by_surface, push
from solver.worked_friction import friction_from_tilt, friction_of, pushed, raised
from tests.solver.latex_reader import check

TIN = Stand(ufloat(0.0365, 0.0002), ufloat(0.055, 0.0008), ufloat(0.45, 0.03), 0.12, 0.11)


def same(one, other):
    assert nominal_value(one) == pytest.approx(nominal_value(other), rel=1e-9)
    assert std_dev(one) == pytest.approx(std_dev(other), rel=1e-6)


@given(
    st.floats(0.02, 0.2),
    st.floats(0.02, 0.2),
    st.floats(0.15, 1.2),
    st.sampled_from([0.0, 0.3, 0.8]),
    st.sampled_from([-0.3, 0.0, 0.4]),
    st.sampled_from(Way),
)
def test_the_numbers_reproduce_the_forces_and_the_crossing_height(r, x, mu, share, beta, way):
    stand = Stand(r, x, mu, mass_kg=0.3)
    tilt = share * min(stand.slide_rad, stand.brink_rad)
    how = Push(0.05, beta, 0.03, way)
    working, result = pushed(stand, how, tilt), push(stand, how, tilt)
    for step in working.steps:
        check(step)
    same(working.step("P_slide").result.value, result.slide_n)
    same(working.step("P_topple").result.value, result.topple_n)
    same(working.step("h_cross").result.value, result.crossing_m)


def test_a_level_push_is_worked_as_a_book_would():
    working = pushed(TIN, Push(0.05))
    shown = [step.in_symbols() for step in working.steps]
    assert shown == [
        r"P_{\text{slide}} = m g \mu",
        r"P_{\text{topple}} = \frac{m g r}{h}",
        r"h_{\text{cross}} = \frac{r}{\mu}",
    ]
    assert "It slides first" in working.conclusion


def test_a_force_that_does_not_exist_is_left_out():
    assert [s.result.letter.name for s in pushed(TIN, Push(0.0)).steps] == ["P_slide", "h_cross"]


def test_raising_compares_both_angles_and_gives_the_chance():
    working = raised(TIN)
    same(working.step("alpha_slide").result.value, TIN.slide_rad)
    same(working.result, TIN.brink_rad)
    assert "smaller angle" in working.conclusion
    assert "chance" in working.conclusion
    for step in working.steps:
        check(step)


def test_friction_from_slides_gives_the_mean_and_its_interval():
    angles = [ufloat(0.40, 0.01), ufloat(0.46, 0.01), ufloat(0.43, 0.01)]
    working = friction_of("oak", angles)
    same(working.result, friction_by_surface(Slide("oak", a) for a in angles)["oak"].mean)
    for step in working.steps:
        check(step)
    single = friction_from_tilt(radians(24), "oak")
    assert single.result == pytest.approx(tan(radians(24)))
    assert single.title == "Friction on oak"
    check(single.steps[0])
