"""What the bench says of its results, in the units people read."""

from __future__ import annotations

from math import inf, isfinite

from uncertainties import nominal_value, std_dev

from solver.quantities import DEGREE, GRAM, MILLIMETRE, NEWTON, Quantity, Unit, measured
from solver.repeats import Agreement
from solver.working import ANSWER_FIGURES, NORMAL_COVERAGE
from ui.answer import reckoned
from ui.words import interval

TOPPLING = "centre by toppling"


def from_interval(value: float, u95: float) -> Quantity:
    """A centre by toppling from half its 95 % interval, in the unit of both."""
    return measured(value, u95 / NORMAL_COVERAGE, TOPPLING)


def said(value: Quantity, unit: Unit) -> str:
    """The value with the half-width of its 95 % interval, where it has one."""
    if std_dev(value) == 0:
        return unit.show(value, ANSWER_FIGURES)
    return interval(reckoned(value), unit)


def compared(first: str, second: str, agreement: Agreement) -> str:
    """How two centre heights of one body stand to each other, each named by how it was found."""
    higher = nominal_value(agreement.difference) >= 0
    apart = said(agreement.difference if higher else -agreement.difference, MILLIMETRE)
    gap = f"The centre {first} lies {apart} {'above' if higher else 'below'} that {second}"
    ratio = abs(agreement.ratio)
    if ratio == inf:
        return f"{gap}, and both are given without uncertainty, so nothing says whether they agree."
    verdict = "they agree" if agreement.agrees else "they do not agree"
    return f"{gap}: {ratio:.1f} joint standard uncertainties, so {verdict}."


def record(value: Quantity, name: str, unit: Unit) -> dict[str, float | None]:
    """A value and its 95 % half-width for JSON, with the unit in the keys."""
    suffix = SUFFIXES[unit]
    number, half = nominal_value(value) / unit.in_si, reckoned(value).half_width / unit.in_si
    finite = isfinite(number)
    return {
        f"{name}{suffix}": float(number) if finite else None,
        f"{name}_u95{suffix}": float(half) if finite else None,
    }


SUFFIXES = {MILLIMETRE: "_mm", GRAM: "_g", DEGREE: "_deg", NEWTON: "_n"}
