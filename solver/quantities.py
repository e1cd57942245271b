"""Numbers with or without uncertainty, the units people read, and range checks.

The solver counts in metres, kilograms, seconds, radians and newtons. Only its
messages and its worked steps speak millimetres, grams and degrees, by way of
the `Unit` table here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isclose, isfinite, pi
from typing import TypeAlias

import numpy as np
from uncertainties import UFloat, nominal_value, std_dev, ufloat

from solver.errors import AngleError, FrictionError, InputError, LengthError, MassError

Quantity: TypeAlias = float | UFloat
"""A plain number is taken as exact; a ``ufloat`` carries a standard uncertainty."""

GRAVITY_M_S2 = 9.81
"""Acceleration of free fall as school mechanics takes it, m/s²."""


FIGURES = 4
"""Significant figures of a number shown to people, unless its uncertainty says better."""


def decimal(number: float, figures: int = FIGURES) -> str:
    """A number to so many significant figures, without an exponent or idle zeros."""
    return np.format_float_positional(
        number, precision=figures, unique=False, fractional=False, trim="-"
    )


@dataclass(frozen=True)
class Unit:
    """A unit people read."""

    symbol: str
    in_si: float
    """One of this unit in the solver's own, SI."""
    error: type[InputError] = InputError
    """What is raised when a quantity of this kind is out of range."""

    def show(self, value: Quantity, figures: int = FIGURES) -> str:
        """The value with its unit, to so many significant figures."""
        number = decimal(nominal_value(value) / self.in_si, figures)
        gap = "" if self.symbol in ("", "°") else " "
        return f"{number}{gap}{self.symbol}".replace("-", "−")


MILLIMETRE = Unit("mm", 1e-3, LengthError)
GRAM = Unit("g", 1e-3, MassError)
DEGREE = Unit("°", pi / 180, AngleError)
RATIO = Unit("", 1.0, FrictionError)
KILOGRAM = Unit("kg", 1.0, MassError)
METRE = Unit("m", 1.0, LengthError)
NEWTON = Unit("N", 1.0)
FREE_FALL = Unit("m/s²", 1.0)
INERTIA = Unit("kg m²", 1.0)
PER_VOLUME = Unit("kg/m³", 1.0, MassError)
PER_AREA = Unit("kg/m²", 1.0, MassError)
PER_LENGTH = Unit("kg/m", 1.0, MassError)


def measured(value: float, u: float, name: str) -> Quantity:
    """A named value with a standard uncertainty; a plain number where that is 0."""
    return ufloat(value, u, name) if u else value


def in_range(
    value: Quantity,
    name: str,
    unit: Unit,
    low: float = 0.0,
    high: float = inf,
    ends: str = "()",
) -> Quantity:
    """The value itself, if its nominal value lies between low and high.

    ``ends`` says which ends belong, in the notation of intervals: ``"(]"``
    leaves the low end out and takes the high end in, but for rounding. Low and
    high are SI.

    Raises the unit's own `InputError` with the range that is possible; a value
    that is not a finite number is out of every range.
    """
    number = nominal_value(value)
    above = number > low or (ends[0] == "[" and _same(number, low))
    below = number < high or (ends[1] == "]" and _same(number, high))
    if isfinite(number) and above and below and isfinite(std_dev(value)):
        return value
    least = ("at least " if ends[0] == "[" else "more than ") + unit.show(low)
    most = ("at most " if ends[1] == "]" else "less than ") + unit.show(high)
    bounds = [text for text, end in ((least, low), (most, high)) if isfinite(end)]
    rule = " and ".join(bounds) or "a finite number"
    raise unit.error(f"The {name} is {unit.show(value)}; it must be {rule}.")


def _same(number: float, end: float) -> bool:
    return isclose(number, end, rel_tol=1e-9, abs_tol=1e-15)


def a_length(
    value: Quantity, name: str, low: float = 0.0, high: float = inf, ends: str = "()"
) -> Quantity:
    """A length within its range, metres; else `LengthError` (see `in_range`)."""
    return in_range(value, name, MILLIMETRE, low, high, ends)


def a_mass(
    value: Quantity, name: str, low: float = 0.0, high: float = inf, ends: str = "()"
) -> Quantity:
    """A mass within its range, kilograms; else `MassError` (see `in_range`)."""
    return in_range(value, name, GRAM, low, high, ends)


def an_angle(
    value: Quantity, name: str, low: float = 0.0, high: float = pi / 2, ends: str = "()"
) -> Quantity:
    """An angle within its range, radians; else `AngleError` (see `in_range`)."""
    return in_range(value, name, DEGREE, low, high, ends)
