"""Equations written once and read three ways: in symbols, with numbers, evaluated.

An equation is one line of Python arithmetic over named symbols, such as
``x = r / tan(theta)``: ``+ - * / **``, plain numbers, and `FUNCTIONS`, of which
``degrees(90)`` is the angle 90°. It is drawn in LaTeX for the page and in Typst
for paper.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import pi

from uncertainties import nominal_value, umath

from solver.quantities import Quantity, Unit, decimal

GREEK = ("alpha", "beta", "theta", "phi", "rho", "mu")

FUNCTIONS: dict[str, Callable[[Quantity], Quantity]] = {
    "degrees": lambda number: number * pi / 180,
    "sin": umath.sin,
    "cos": umath.cos,
    "tan": umath.tan,
    "atan": umath.atan,
}


@dataclass(frozen=True)
class Letter:
    """A letter of an equation and what it stands for."""

    letter: str
    """A Latin letter, or a Greek one by its name in `GREEK`."""
    meaning: str
    unit: Unit
    index: str = ""

    @property
    def name(self) -> str:
        """How equations call it: ``m_0``."""
        return f"{self.letter}_{self.index}" if self.index else self.letter

    def at(self, value: Quantity) -> Symbol:
        """The letter with its value, SI."""
        return Symbol(self, value)


@dataclass(frozen=True)
class Symbol:
    """A letter with its value."""

    letter: Letter
    value: Quantity
    """SI."""


@dataclass(frozen=True)
class Dialect:
    """How one typesetter writes mathematics, as templates for ``str.format``."""

    greek: str
    index: str
    unit: str
    degree: str
    fraction: str
    brackets: str
    power: str
    function: str
    inverse_tangent: str
    times: str
    plus_minus: str

    def symbol(self, letter: Letter) -> str:
        """A letter with its index."""
        body = self.greek.format(letter.letter) if letter.letter in GREEK else letter.letter
        if not letter.index:
            return body
        return body + (self.index if len(letter.index) > 1 else "_{}").format(letter.index)

    def measure(self, number: str, unit: Unit) -> str:
        """A number with its unit."""
        if unit.symbol == "°":
            return number + self.degree
        return number + (self.unit.format(unit.symbol) if unit.symbol else "")


LATEX = Dialect(
    greek=r"\{}",
    index=r"_{{\text{{{}}}}}",
    unit=r"\,\text{{{}}}",
    degree=r"^\circ",
    fraction=r"\frac{{{}}}{{{}}}",
    brackets=r"\left({}\right)",
    power="{}^{{{}}}",
    function=r"\{} {}",
    inverse_tangent=r"\tan^{{-1}} {}",
    times=r" \times ",
    plus_minus=r" \pm ",
)
TYPST = Dialect(
    greek="{}",
    index='_"{}"',
    unit=' "{}"',
    degree="°",
    fraction="frac({}, {})",
    brackets="({})",
    power="{}^({})",
    function="{} {}",
    inverse_tangent="tan^(-1) {}",
    times=" times ",
    plus_minus=" plus.minus ",
)


def names_in(equation: str) -> set[str]:
    """The names of the symbols on the right-hand side."""
    nodes = list(ast.walk(_sides(equation)[1]))
    called = {id(node.func) for node in nodes if isinstance(node, ast.Call)}
    return {node.id for node in nodes if isinstance(node, ast.Name) and id(node) not in called}


def evaluate(equation: str, values: Mapping[str, Quantity]) -> Quantity:
    """The right-hand side, with the uncertainties of its values."""
    return _value(_sides(equation)[1], values)


def _sides(equation: str) -> tuple[str, ast.expr]:
    statement = ast.parse(equation).body[0]
    assert isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name)
    return statement.targets[0].id, statement.value


def _value(node: ast.expr, values: Mapping[str, Quantity]) -> Quantity:
    match node:
        case ast.Name(id=name):
            return values[name]
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Call(func=ast.Name(id=name), args=[inner]):
            return FUNCTIONS[name](_value(inner, values))
        case ast.BinOp(left=left, op=op, right=right):
            one, other = _value(left, values), _value(right, values)
            match op:
                case ast.Add():
                    return one + other
                case ast.Sub():
                    return one - other
                case ast.Mult():
                    return one * other
                case ast.Div():
                    return one / other
                case ast.Pow():
                    return one**other
    raise ValueError(f"Not an equation this module can read: {ast.unparse(node)}")


SUM, PRODUCT, POWER, ATOM = range(4)
"""How tightly a piece of text holds together, so what needs brackets."""


@dataclass(frozen=True)
class Pen:
    """Draws equations in one dialect, in symbols or with their numbers."""

    dialect: Dialect
    symbols: Mapping[str, Symbol]
    numbers: bool = False

    def equation(self, equation: str) -> str:
        """Both sides; the left one always as its symbol."""
        name, right = _sides(equation)
        left = self.dialect.symbol(self.symbols[name].letter)
        return f"{left} = {self._draw(right)[0]}"

    def _draw(self, node: ast.expr) -> tuple[str, int]:
        match node:
            case ast.Name(id=name):
                return self._leaf(self.symbols[name])
            case ast.Constant(value=value):
                return str(value), ATOM
            case ast.Call(func=ast.Name(id="degrees"), args=[inner]):
                return self._draw(inner)[0] + self.dialect.degree, POWER
            case ast.Call(func=ast.Name(id=name), args=[inner]):
                return self._function(name, self._held(inner, POWER)), PRODUCT
            case ast.BinOp(left=left, op=op, right=right):
                return self._pair(left, op, right)
        raise ValueError(f"Not an equation this module can read: {ast.unparse(node)}")

    def _leaf(self, symbol: Symbol) -> tuple[str, int]:
        if not self.numbers:
            return self.dialect.symbol(symbol.letter), ATOM
        number = nominal_value(symbol.value) / symbol.letter.unit.in_si
        text = self.dialect.measure(decimal(number), symbol.letter.unit)
        if number < 0:
            return text, SUM
        return text, POWER if symbol.letter.unit.symbol else ATOM

    def _function(self, name: str, argument: str) -> str:
        if name == "atan":
            return self.dialect.inverse_tangent.format(argument)
        return self.dialect.function.format(name, argument)

    def _pair(self, left: ast.expr, op: ast.operator, right: ast.expr) -> tuple[str, int]:
        match op:
            case ast.Div():
                top, bottom = self._draw(left)[0], self._draw(right)[0]
                return self.dialect.fraction.format(top, bottom), POWER
            case ast.Pow():
                base, exponent = self._held(left, ATOM), self._draw(right)[0]
                return self.dialect.power.format(base, exponent), POWER
            case ast.Mult():
                sign = self.dialect.times if self.numbers else " "
                return self._held(left, PRODUCT) + sign + self._held(right, PRODUCT), PRODUCT
            case ast.Add():
                return f"{self._draw(left)[0]} + {self._held(right, PRODUCT)}", SUM
            case ast.Sub():
                return f"{self._draw(left)[0]} - {self._held(right, PRODUCT)}", SUM
        raise ValueError(f"Not an operation this module can draw: {ast.dump(op)}")

    def _held(self, node: ast.expr, least: int) -> str:
        """The text of a node, in brackets where it holds less tightly than needed."""
        text, tightness = self._draw(node)
        return text if tightness >= least else self.dialect.brackets.format(text)
