"""How repeats scatter beyond their own uncertainties, all groups of a class together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import stdev

from uncertainties import UFloat, nominal_value

from solver.quantities import Quantity


@dataclass(frozen=True)
class Scatter:
    """Scatter of single repeats that their own uncertainties do not explain."""

    sigma: float
    """Standard deviation, in the repeats' unit; 0 where their uncertainties explain all."""
    freedoms: int
    """Degrees of freedom it is known with; 0 where no group repeated."""


def excess_scatter(groups: Sequence[Sequence[Quantity]]) -> Scatter:
    """The excess of all groups' repeats about their own means.

    ``σ² = (Σ(nᵢ−1)sᵢ² − expected)/Σ(nᵢ−1)`` where ``expected`` is the sum of the
    variances of the repeats about their group's mean by what they do not share: the
    method of moments of `solver.repeats.mean_of`, pooled.
    """
    repeated = [group for group in groups if len(group) > 1]
    freedoms = sum(len(group) - 1 for group in repeated)
    surplus = sum(_surplus(group) for group in repeated)
    return Scatter(sqrt(max(0.0, surplus) / freedoms) if freedoms else 0.0, freedoms)


def _surplus(group: Sequence[Quantity]) -> float:
    """Sum of squares about the mean, less what uncertainties let one expect of it.

    A source that moves reading i by ``cᵢ`` adds ``Σ(cᵢ − c̄)² = Σcᵢ² − (Σcᵢ)²/n``.
    """
    seen = (len(group) - 1) * stdev(map(nominal_value, group)) ** 2
    squares, sums = 0.0, defaultdict[UFloat, float](float)
    for value in group:
        for source, slope in value.derivatives.items() if isinstance(value, UFloat) else ():
            moved = slope * source.std_dev
            squares += moved**2
            sums[source] += moved
    return float(seen - squares + sum(total**2 for total in sums.values()) / len(group))
