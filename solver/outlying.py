"""Readings that stand out, and why. Nothing here takes a reading away.

ISO 5725-2:1994 calls a value beyond the 5 % point of a test a straggler, and one
beyond the 1 % point an outlier; its words are kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt
from statistics import fmean, stdev

from scipy.stats import f, t
from uncertainties import nominal_value

from solver.errors import InputError
from solver.propagation import ALL_NORMAL, linear, student
from solver.quantities import Quantity, measured
from solver.repeats import EXCESS
from solver.scatter import Scatter

STRAGGLER, OUTLIER = 0.05, 0.01
FEWEST_FOR_GRUBBS = 4
"""Three repeats are never judged by their scatter: two that happen to agree condemn the third."""


@dataclass(frozen=True)
class Grubbs:
    """How far the farthest value lies from the mean."""

    row: int
    """Of the farthest value."""
    statistic: float
    """Its distance from the mean in standard deviations, all values included."""
    straggler_at: float
    """Critical value at 5 %, two-sided."""
    outlier_at: float
    """Critical value at 1 %."""

    @property
    def stands_out(self) -> bool:
        return self.statistic > self.straggler_at


def grubbs_critical(count: int, chance: float = STRAGGLER) -> float:
    """Two-sided critical value of Grubbs' test, from Student's t.

    ``G = (n−1)/√n · √(t²/(n−2+t²))`` with t at ``chance/2n`` and n − 2 degrees of
    freedom (F. E. Grubbs, Technometrics 11 (1969) 1). Raises `InputError` below 3.
    """
    if count < 3:
        raise InputError(f"Grubbs' test needs at least 3 values; there are {count}.")
    square = float(t.isf(chance / (2 * count), count - 2)) ** 2
    return (count - 1) / sqrt(count) * sqrt(square / (count - 2 + square))


def grubbs(values: Sequence[float]) -> Grubbs | None:
    """Grubbs' test of the farthest value; None below 4 values, or where all are equal."""
    if len(values) < FEWEST_FOR_GRUBBS or (scatter := stdev(values)) == 0:
        return None
    mean = fmean(values)
    row = max(range(len(values)), key=lambda i: abs(values[i] - mean))
    points = (grubbs_critical(len(values), chance) for chance in (STRAGGLER, OUTLIER))
    return Grubbs(row, abs(values[row] - mean) / scatter, *points)


@dataclass(frozen=True)
class Far:
    """A reading and the mean of the others."""

    difference: Quantity
    """The reading less that mean."""
    ratio: float
    """Of the difference to the half-width of its interval; beyond ±1 it is far."""

    @property
    def stands_out(self) -> bool:
        return abs(self.ratio) > 1


def far_from_others(
    value: Quantity, others: Sequence[Quantity], scatter: Scatter, chance: float = STRAGGLER
) -> Far:
    """Whether a reading lies farther from the others' mean than its own interval reaches.

    What it shares with them cancels. ``scatter`` is granted to it and to them beside
    their own uncertainties; ``chance`` is that of a false alarm. Raises `InputError`
    where there are no others.
    """
    if not others:
        raise InputError("There are no other readings to compare with; give at least one.")
    granted = measured(0.0, scatter.sigma * sqrt(1 + 1 / len(others)), EXCESS)
    difference = value - sum(others) / len(others) + granted
    spreads = {EXCESS: student(scatter.freedoms)} if scatter.freedoms else ALL_NORMAL
    half = linear(difference, {"difference": difference}, spreads, 1 - chance).half_width
    gap = float(nominal_value(difference))
    return Far(difference, gap / half if half else (0.0 if gap == 0 else inf))


@dataclass(frozen=True)
class Cochran:
    """How much of all repeats' variance is that of one group."""

    row: int
    """Of the group that scatters most."""
    statistic: float
    straggler_at: float
    outlier_at: float

    @property
    def stands_out(self) -> bool:
        return self.statistic > self.straggler_at


def cochran_critical(groups: int, repeats: int, chance: float = STRAGGLER) -> float:
    """Critical value of Cochran's test of the largest of so many variances, from F.

    ``C = 1/(1 + (p−1)/F)`` with F at ``chance/p`` and (n−1), (p−1)(n−1) degrees of
    freedom. Raises `InputError` below two groups or two repeats.
    """
    if groups < 2 or repeats < 2:
        raise InputError("Cochran's test needs at least two groups with two repeats each.")
    ratio = float(f.isf(chance / groups, repeats - 1, (groups - 1) * (repeats - 1)))
    return 1 / (1 + (groups - 1) / ratio)


def cochran(groups: Sequence[Sequence[float]]) -> Cochran | None:
    """Cochran's test of the group whose repeats scatter most.

    Of groups with as many repeats as most have, as ISO 5725-2 allows where few
    differ. None where fewer than two groups repeated, or none scatters.
    """
    sizes = [len(group) for group in groups if len(group) > 1]
    if not sizes:
        return None
    repeats = max(sorted(set(sizes)), key=sizes.count)
    squares = {row: stdev(g) ** 2 for row, g in enumerate(groups) if len(g) == repeats}
    total = sum(squares.values())
    if len(squares) < 2 or total == 0:
        return None
    row = max(squares, key=lambda each: squares[each])
    points = (cochran_critical(len(squares), repeats, each) for each in (STRAGGLER, OUTLIER))
    return Cochran(row, squares[row] / total, *points)
