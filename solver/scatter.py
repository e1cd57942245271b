"""How repeats scatter beyond their own uncertainties, all groups of a class together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import stdev

from uncertainties import nominal_value, std_dev

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
    mean = sum(group) / len(group)
    seen = (len(group) - 1) * stdev(map(nominal_value, group)) ** 2
    return float(seen - sum(std_dev(value - mean) ** 2 for value in group))
