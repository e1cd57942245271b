from math import pi, radians, sqrt, tan

import pytest
from uncertainties import ufloat

from solver.notation import LATEX, TYPST, Letter, Pen, evaluate, names_in
from solver.quantities import DEGREE, GRAM, MILLIMETRE, RATIO

A, B = Letter("a", "", MILLIMETRE), Letter("b", "", MILLIMETRE)
LETTERS = [
    A.at(0.0365),
    B.at(-0.02),
    Letter("theta", "", DEGREE).at(radians(24)),
    Letter("m", "", GRAM, "lump").at(0.05),
    Letter("n", "", RATIO, "1").at(3.0),
    Letter("y", "", MILLIMETRE).at(0.0),
]
SYMBOLS = {s.letter.name: s for s in LETTERS}


@pytest.mark.parametrize(
    ("equation", "latex", "typst"),
    [
        ("y = a / tan(theta)", r"\frac{a}{\tan \theta}", "frac(a, tan theta)"),
        ("y = a - (b - a)", r"a - \left(b - a\right)", "a - (b - a)"),
        ("y = a - b - a", "a - b - a", "a - b - a"),
        ("y = n_1 * (a + b)", r"n_1 \left(a + b\right)", "n_1 (a + b)"),
        ("y = (a + b)**2", r"\left(a + b\right)^{2}", "(a + b)^(2)"),
        ("y = (a / b)**2", r"\left(\frac{a}{b}\right)^{2}", "(frac(a, b))^(2)"),
        ("y = (a**2 + b**2) / b", r"\frac{a^{2} + b^{2}}{b}", "frac(a^(2) + b^(2), b)"),
        ("y = atan(a / b)", r"\tan^{-1} \frac{a}{b}", "tan^(-1) frac(a, b)"),
        ("y = a * m_lump", r"a m_{\text{lump}}", 'a m_"lump"'),
        ("y = a * sin(theta)", r"a \sin \theta", "a sin theta"),
        ("y = degrees(90) - theta", r"90^\circ - \theta", "90° - theta"),
    ],
)
def test_symbols_are_drawn_with_no_more_brackets_than_needed(equation, latex, typst):
    assert Pen(LATEX, SYMBOLS).equation(equation) == f"y = {latex}"
    assert Pen(TYPST, SYMBOLS).equation(equation) == f"y = {typst}"


@pytest.mark.parametrize(
    ("equation", "latex"),
    [
        ("y = a / tan(theta)", r"\frac{36.5\,\text{mm}}{\tan 24^\circ}"),
        ("y = n_1 * a", r"3 \times 36.5\,\text{mm}"),
        ("y = a + b", r"36.5\,\text{mm} + \left(-20\,\text{mm}\right)"),
        ("y = a**2", r"\left(36.5\,\text{mm}\right)^{2}"),
        ("y = n_1**2", "3^{2}"),
        ("y = m_lump * a", r"50\,\text{g} \times 36.5\,\text{mm}"),
    ],
)
def test_numbers_come_with_their_units(equation, latex):
    assert Pen(LATEX, SYMBOLS, numbers=True).equation(equation) == f"y = {latex}"


def test_evaluation_follows_the_arithmetic_and_its_uncertainty():
    values = {"a": 2.0, "b": ufloat(3.0, 0.1), "theta": pi / 4}
    assert evaluate("y = b * a**2 / 4 - a - sin(theta)", values).nominal_value == pytest.approx(
        1 - sqrt(0.5)
    )
    assert evaluate("y = b / tan(theta)", values).std_dev == pytest.approx(0.1)
    assert evaluate("y = degrees(60) - theta", values) == pytest.approx(pi / 12)
    assert tan(evaluate("y = atan(a)", values)) == pytest.approx(2.0)


def test_names_are_those_of_symbols_not_of_functions():
    assert names_in("y = a / tan(theta) + a") == {"a", "theta"}


@pytest.mark.parametrize("equation", ["y = a % b", "y = [a]", "y = -a", "y = a if b else a"])
def test_what_is_no_equation_is_refused(equation):
    values = {"a": 1.0, "b": 2.0}
    with pytest.raises(ValueError, match="Not an"):
        evaluate(equation, values)
    with pytest.raises(ValueError, match="Not an"):
        Pen(LATEX, SYMBOLS).equation(equation)
