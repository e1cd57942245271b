"""Reads worked LaTeX back as a person with a calculator would, in the units shown."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from uncertainties import nominal_value, ufloat

from solver.notation import LATEX, evaluate
from solver.quantities import FIGURES, decimal
from solver.working import Step


@dataclass
class Key:
    """A calculator's function key, written ``key ** argument`` to bind tightly."""

    press: Callable[[float], float]

    def __pow__(self, argument: float) -> float:
        return self.press(argument)


KEYS = {
    "tan": Key(lambda deg: math.tan(math.radians(deg))),
    "sin": Key(lambda deg: math.sin(math.radians(deg))),
    "cos": Key(lambda deg: math.cos(math.radians(deg))),
    "atan": Key(lambda ratio: math.degrees(math.atan(ratio))),
}


def reckon(latex: str) -> float:
    """The value of the right-hand side, in the units shown; angles in degrees."""
    text = latex.split(" = ", 1)[1]
    text = re.sub(r"\\,\\text\{[^}]*\}|\^\\circ", "", text)
    text = text.replace(r"\tan^{-1} ", "atan ** ").replace(r"\times", "*")
    text = re.sub(r"\\(tan|sin|cos) ", r"\1 ** ", text)
    text = text.replace(r"\left(", "(").replace(r"\right)", ")")
    text = text.replace("}{", ")/(").replace(r"\frac{", "((").replace("^{", "**((")
    text = text.replace("}", "))")
    return float(eval(text, {"__builtins__": {}}, KEYS))


def answer_shown(step: Step) -> tuple[float, float]:
    """The number given as the answer, and how far rounding may have moved it."""
    texts = re.findall(r"-?\d+(?:\.\d+)?", step.answer(LATEX).replace("−", "-").split(" = ", 1)[1])
    number = float(texts[0])
    if r"\pm" not in step.answer():
        return number, 0.005 * abs(number)
    return number, 0.5 * 10.0 ** (math.floor(math.log10(float(texts[1]))) - 1)


def rounding_allowance(step: Step) -> float:
    """How far numbers rounded to `FIGURES` figures can move the result, in its unit."""
    rounded = {}
    for name, symbol in step.symbols.items():
        value, unit = float(nominal_value(symbol.value)), symbol.letter.unit.in_si
        slip = abs(float(decimal(value / unit, FIGURES)) * unit - value)
        rounded[name] = ufloat(value, slip) if slip else value
    moved = evaluate(step.equation, rounded)
    parts = moved.error_components().values() if hasattr(moved, "error_components") else ()
    return sum(parts) / step.result.letter.unit.in_si


def check(step: Step) -> None:
    """The numbers shown give the answer shown, but for rounding."""
    answer, rounding = answer_shown(step)
    exact = nominal_value(step.result.value) / step.result.letter.unit.in_si
    slack = 1.05 * rounding_allowance(step) + 1e-9 * abs(exact) + 1e-12
    reckoned = reckon(step.with_numbers())
    assert abs(reckoned - exact) <= slack, (step.with_numbers(), reckoned, exact)
    assert abs(answer - exact) <= 1.0001 * rounding + 1e-12, step.answer()
