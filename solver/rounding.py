"""Rounding for people: two significant figures of uncertainty, the value to the same place.

After JCGM 100:2008, 7.2.6. The texts carry a true minus sign and no unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from solver.errors import InputError

FIGURES = 2
"""Significant figures of an uncertainty shown to people."""


@dataclass(frozen=True)
class Rounded:
    """A value and its uncertainty as text, both to the same place."""

    value: str
    uncertainty: str

    def __str__(self) -> str:
        return f"{self.value} ± {self.uncertainty}"


def rounded(value: float, uncertainty: float, figures: int = FIGURES) -> Rounded:
    """A value rounded to its uncertainty, such as the half-width of its interval.

    Raises `InputError` where the uncertainty is not above zero or not finite:
    then nothing says how many figures of the value mean something.
    """
    decimals = last_decimal(uncertainty, figures)
    return Rounded(_text(value, decimals), _text(uncertainty, decimals))


def rounded_interval(low: float, high: float, figures: int = FIGURES) -> tuple[str, str]:
    """Both ends of an interval, to the place its half-width gives. Raises `InputError`."""
    decimals = last_decimal((high - low) / 2, figures)
    return _text(low, decimals), _text(high, decimals)


def last_decimal(uncertainty: float, figures: int = FIGURES) -> int:
    """Decimals that keep so many figures of an uncertainty; negative left of the point.

    0.0996 keeps 2, as 0.10: it is rounded before its figures are counted.
    """
    if not (isfinite(uncertainty) and uncertainty > 0):
        raise InputError(
            f"The uncertainty is {uncertainty:g}; it must be a finite number above 0 to round by."
        )
    exponent = int(f"{uncertainty:.{figures - 1}e}".partition("e")[2])
    return figures - 1 - exponent


def _text(number: float, decimals: int) -> str:
    return f"{round(number, decimals):z.{max(0, decimals)}f}".replace("-", "−")
