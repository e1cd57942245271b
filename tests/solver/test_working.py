import pytest
from uncertainties import ufloat

from solver.notation import TYPST, Letter
from solver.quantities import MILLIMETRE, RATIO
from solver.repeats import mean_of
from solver.working import Working, mean_step, measured_as, solve
from tests.solver.latex_reader import check, reckon

A, B, C = (Letter(letter, f"length {letter}", MILLIMETRE) for letter in "abc")


def test_a_step_holds_principle_equation_and_the_symbols_it_needs():
    step = solve(
        "Lengths add.", "c = a + b", [A.at(0.01), B.at(0.02), Letter("q", "", RATIO).at(1)], C
    )
    assert set(step.symbols) == {"a", "b", "c"}
    assert step.result.value == pytest.approx(0.03)
    assert step.in_symbols() == "c = a + b"
    assert step.with_numbers() == r"c = 10\,\text{mm} + 20\,\text{mm}"
    assert step.answer() == r"c = 30\,\text{mm}"
    assert step.answer(TYPST) == 'c = 30 "mm"'


def test_an_uncertain_answer_comes_with_its_interval():
    step = solve("Lengths add.", "c = a + b", [A.at(ufloat(0.01, 0.0002)), B.at(0.02)], C)
    assert step.answer() == r"c = \left(30.00 \pm 0.39\right)\,\text{mm}"
    assert step.answer(TYPST) == 'c = (30.00 plus.minus 0.39) "mm"'


def test_a_mean_shows_each_reading():
    step = mean_step(Letter("a", "overhang", MILLIMETRE, "base"), [0.05, 0.052])
    assert step.with_numbers() == r"a_{\text{base}} = \frac{50\,\text{mm} + 52\,\text{mm}}{2}"
    check(step)
    alone = mean_step(A, [0.1245])
    assert alone.in_symbols() == r"a = a_1"
    assert alone.answer() == r"a = 124.5\,\text{mm}"  # as it was given, nothing rounded off


def test_a_mean_is_given_the_interval_of_its_repeats():
    """Two readings 2 mm apart: 12.7 times 1 mm by Student, not 1.96 times."""
    step = measured_as(mean_step(A, [0.05, 0.052]), mean_of([0.05, 0.052]))
    assert step.symbols["a"].value.std_dev == pytest.approx(0.001)
    assert step.answer() == r"a = \left(51 \pm 13\right)\,\text{mm}"
    assert Working("Mean", (step,)).result.std_dev == pytest.approx(0.001)


def test_steps_are_found_by_their_result():
    working = Working(
        "Both", (solve("", "b = a", [A.at(0.01)], B), solve("", "c = a", [A.at(0.01)], C))
    )
    assert working.step("b").result.letter is B
    assert working.result == 0.01


def test_the_reader_reckons_like_a_calculator():
    shown = r"x = \frac{36.5\,\text{mm}}{\tan 24^\circ} + \left(2\,\text{mm}\right)^{2} \times 3"
    assert reckon(shown) == pytest.approx(81.980345 + 12)
    assert reckon(r"x = \tan^{-1} \frac{1}{2}") == pytest.approx(26.565051)
