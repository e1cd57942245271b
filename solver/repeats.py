"""One value from repeats of a measurement, and whether two values agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import copysign, inf, sqrt
from statistics import stdev

from scipy.stats import norm
from uncertainties import nominal_value, std_dev

from solver.errors import InputError
from solver.propagation import linear, student
from solver.quantities import Quantity, measured
from solver.scatter import excess_scatter

EXCESS = "scatter of the repeats"
"""Name in the budget of what the repeats' own uncertainties do not explain."""


@dataclass(frozen=True)
class Repeats:
    """The mean of repeats, in their own unit."""

    mean: Quantity
    """With its standard uncertainty."""
    count: int
    scatter: float | None
    """Standard deviation about the mean; None for a single value."""
    coverage_factor: float
    """Standard uncertainties in the 95 % interval."""

    @property
    def u95(self) -> float:
        """Half-width of the 95 % interval."""
        return float(self.coverage_factor * std_dev(self.mean))


def mean_of(values: Sequence[Quantity]) -> Repeats:
    """The plain mean, and how uncertain it is.

    What the values share, such as one rule, stays as it is. Where they
    scatter more than the uncertainties they do not share can explain, the
    excess is added: ``τ² = s² − mean variance about the mean``, ``u² += τ²/n``
    (method of moments with equal weights: Hedges and Olkin 1985, from memory).
    The coverage factor is that of `solver.propagation.linear`, the excess having
    n − 1 degrees of freedom. Raises `InputError` where there are no values.
    """
    if not values:
        raise InputError("There are no readings to take the mean of; give at least one.")
    count, mean = len(values), sum(values) / len(values)
    if count == 1:
        return Repeats(mean, 1, None, _coverage(mean, 1))
    scatter = stdev(map(nominal_value, values))
    excess = excess_scatter([values]).sigma / sqrt(count)
    mean = mean + measured(0.0, excess, EXCESS)
    return Repeats(mean, count, scatter, _coverage(mean, count))


def _coverage(mean: Quantity, count: int) -> float:
    spreads = {EXCESS: student(count - 1)} if count > 1 else {}
    return linear(mean, {"mean": mean}, spreads).coverage_factor


@dataclass(frozen=True)
class Agreement:
    """How two measurements of one thing compare."""

    difference: Quantity
    """The first less the second, with their joint uncertainty."""
    ratio: float
    """The difference in joint standard uncertainties, signed."""
    chance: float
    """Of a difference at least so large where the two measure the same."""

    @property
    def agrees(self) -> bool:
        """Whether they are within two joint standard uncertainties."""
        return abs(self.ratio) <= 2


def compare(first: Quantity, second: Quantity) -> Agreement:
    """Two measurements of one thing, such as a centre by balancing and by toppling.

    What both depend on cancels as it should, where it is the same ``ufloat``.
    """
    difference = first - second
    gap, u = nominal_value(difference), std_dev(difference)
    ratio = gap / u if u else (0.0 if gap == 0 else copysign(inf, gap))
    return Agreement(difference, ratio, float(2 * norm.sf(abs(ratio))))
