"""Working: the steps a student would write, as data.

A `Step` holds a principle, an equation and the symbols in it with their
values. Page, hand-out and test all draw from it, so none can disagree with
another. The workings themselves are in the modules named ``worked_…``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from scipy.stats import norm
from uncertainties import nominal_value, std_dev

from solver.notation import LATEX, Dialect, Letter, Pen, Symbol, evaluate, names_in
from solver.quantities import FIGURES, Quantity, decimal
from solver.repeats import Repeats
from solver.rounding import rounded

NORMAL_COVERAGE = float(norm.ppf(0.975))
"""Standard uncertainties in a 95 % interval of a normal quantity."""

ANSWER_FIGURES = 3
"""Significant figures of an answer that has no uncertainty."""


@dataclass(frozen=True)
class Step:
    """One line of working. Make it with `solve`."""

    principle: str
    """A plain sentence: why the equation holds."""
    equation: str
    """As `solver.notation` reads it; its left-hand side is the result."""
    symbols: Mapping[str, Symbol]
    """By name, the result among them."""
    result: Symbol
    coverage_factor: float = NORMAL_COVERAGE
    """Standard uncertainties in the 95 % interval of the result."""

    @property
    def _as_given(self) -> bool:
        """Whether nothing is worked out: the answer is a number that was put in."""
        return self.equation.partition(" = ")[2] in self.symbols

    def in_symbols(self, dialect: Dialect = LATEX) -> str:
        """The equation, in the letters."""
        return Pen(dialect, self.symbols).equation(self.equation)

    def with_numbers(self, dialect: Dialect = LATEX) -> str:
        """The equation, with numbers and units put in."""
        return Pen(dialect, self.symbols, numbers=True).equation(self.equation)

    def answer(self, dialect: Dialect = LATEX) -> str:
        """The result with its unit; with its 95 % interval where it is uncertain."""
        letter = self.result.letter
        value = nominal_value(self.result.value) / letter.unit.in_si
        u95 = self.coverage_factor * std_dev(self.result.value) / letter.unit.in_si
        if u95:
            texts = rounded(value, u95)
            number = f"{texts.value}{dialect.plus_minus}{texts.uncertainty}"
            number = dialect.brackets.format(number) if letter.unit.symbol else number
        else:
            number = decimal(value, FIGURES if self._as_given else ANSWER_FIGURES)
        return f"{dialect.symbol(letter)} = {dialect.measure(number, letter.unit)}"


@dataclass(frozen=True)
class Working:
    """The steps from what is known to what was asked."""

    title: str
    steps: tuple[Step, ...]
    conclusion: str = ""
    """A plain sentence, where the answer is not a number alone."""

    @property
    def result(self) -> Quantity:
        """The value of the last step, SI."""
        return self.steps[-1].result.value

    def step(self, name: str) -> Step:
        """The step whose result has that name."""
        return next(step for step in self.steps if step.result.letter.name == name)


def solve(principle: str, equation: str, known: Sequence[Symbol], unknown: Letter) -> Step:
    """A step whose result is worked out from those known symbols it needs."""
    used = names_in(equation)
    symbols = {s.letter.name: s for s in known if s.letter.name in used}
    value = evaluate(equation, {name: symbol.value for name, symbol in symbols.items()})
    result = unknown.at(value)
    return Step(principle, equation, {**symbols, unknown.name: result}, result)


def measured_as(step: Step, repeats: Repeats) -> Step:
    """The step with the interval of repeats, whose scatter no equation shows."""
    result = step.result.letter.at(repeats.mean)
    symbols = {**step.symbols, result.letter.name: result}
    return replace(step, symbols=symbols, result=result, coverage_factor=repeats.coverage_factor)


def mean_step(letter: Letter, values: Sequence[Quantity]) -> Step:
    """The mean of repeats; each is given the letter with its number added."""
    repeats = [
        replace(letter, index=f"{letter.index}{i}", meaning=f"{letter.meaning}, reading {i}").at(v)
        for i, v in enumerate(values, start=1)
    ]
    equation = f"{letter.name} = {total(repeats)}"
    if len(repeats) > 1:
        equation = f"{letter.name} = ({total(repeats)}) / {len(repeats)}"
    return solve(f"The mean of the readings: {letter.meaning}.", equation, repeats, letter)


def total(symbols: Iterable[Symbol]) -> str:
    """The text of an equation's sum of some symbols."""
    return " + ".join(symbol.letter.name for symbol in symbols)
