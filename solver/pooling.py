"""One value from a class: repeats of a group, then groups of a class.

The repeats of a group scatter; so do groups, about one another. What readings
share (the base radius of the body, a table's own slope) is one and the same
``ufloat`` in all of them, see `solver.shared`: it weighs nothing against another
reading, and no number of repeats averages it away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt

from uncertainties import UFloat, nominal_value, std_dev

from solver.combining import Combined, GroupAgreement, agreement, fixed_effect, paule_mandel
from solver.errors import InputError
from solver.precision import Precision, precision
from solver.propagation import ALL_NORMAL, Linear, Spreads, linear, student
from solver.quantities import Quantity, measured
from solver.repeats import EXCESS, Agreement, compare
from solver.scatter import excess_scatter
from solver.shared import only, sources
from solver.working import NORMAL_COVERAGE

GROUPS = "scatter of the groups"
"""Name in the budget of all that is fresh in each group, and of what they differ beyond it."""


@dataclass(frozen=True)
class Repeat:
    """One reading of a quantity by a group, in any unit."""

    group: str
    value: Quantity
    name: str = ""
    """What to call it by, such as the clip's name."""


@dataclass(frozen=True)
class GroupMean:
    """What one group's repeats say."""

    group: str
    count: int
    mean: Quantity
    result: Linear
    """The mean with its 95 % interval and budget."""
    fresh_u: float
    """Standard uncertainty of what it does not share with other groups."""
    weight: float
    """In the class's mean; the weights sum to 1."""


@dataclass(frozen=True)
class Pooled:
    """What a class's readings of one quantity say, in their unit."""

    mean: Quantity
    """With the sources it shares with other results."""
    result: Linear
    """The same mean with its 95 % interval and budget."""
    groups: tuple[GroupMean, ...]
    """In the order in which they were given."""
    between: float
    """τ: how groups differ beyond their uncertainties, by Paule and Mandel."""
    precision: Precision
    agreement: GroupAgreement | None
    """None for one group, or where a group has no uncertainty to agree within."""
    alike: Linear | None
    """The mean if all groups are taken to measure the same; None likewise."""

    @property
    def caution(self) -> str:
        """A plain sentence where the design says little; else nothing."""
        if len(self.groups) == 2:
            return (
                "Two groups can hardly show how far groups differ, so the interval is wide. "
                "A third group narrows it most."
            )
        if len(self.groups) == 1 and self.precision.readings == 1:
            return "One reading shows no scatter: repeat it."
        return ""


def pool(repeats: Sequence[Repeat]) -> Pooled:
    """The mean of a class with its 95 % interval.

    Repeats: their scatter beyond their own uncertainties, of all groups together
    (`solver.scatter`), adds ``σ²/nᵢ`` to the variance of each group's mean. Groups:
    the random effect of Paule and Mandel, and Student's t with k − 1 degrees of
    freedom on what is fresh in each. That is the interval of Hartung and Knapp
    (Stat. Med. 20 (2001) 1771) and of Sidik and Jonkman: with this τ its scale is 1
    where τ > 0, and it is kept from falling below 1 where τ = 0. Raises `InputError`
    where there are no readings.
    """
    if not repeats:
        raise InputError("There are no readings to pool; give at least one.")
    by_group = grouped(repeats)
    scatter = excess_scatter(list(by_group.values()))
    means = [_mean(values, scatter.sigma) for values in by_group.values()]
    within = {EXCESS: student(scatter.freedoms)} if scatter.freedoms else ALL_NORMAL
    values, fresh = [nominal_value(mean) for mean in means], _fresh(means)
    combined = paule_mandel(values, fresh)
    weighable = len(means) > 1 and min(fresh) > 0
    mean = _across(means, combined) if len(means) > 1 else means[0]
    spreads = {GROUPS: student(len(means) - 1)} if len(means) > 1 else within
    return Pooled(
        mean=mean,
        result=_result(mean, spreads),
        groups=tuple(
            GroupMean(group, len(by_group[group]), each, _result(each, within), u, float(weight))
            for group, each, u, weight in zip(by_group, means, fresh, combined.weights, strict=True)
        ),
        between=combined.between,
        precision=precision([[nominal_value(v) for v in group] for group in by_group.values()]),
        agreement=agreement(values, fresh) if weighable else None,
        alike=_result(_across(means, fixed_effect(values, fresh))) if weighable else None,
    )


def grouped(repeats: Sequence[Repeat]) -> dict[str, list[Quantity]]:
    """The values by group, both in the order in which they came."""
    groups: dict[str, list[Quantity]] = {}
    for repeat in repeats:
        groups.setdefault(repeat.group, []).append(repeat.value)
    return groups


def _mean(values: Sequence[Quantity], sigma: float) -> Quantity:
    return sum(values) / len(values) + measured(0.0, sigma / sqrt(len(values)), EXCESS)


def _fresh(means: Sequence[Quantity]) -> list[float]:
    """Standard uncertainty of each mean from what no other mean shares."""
    shared = _shared(means)
    return [float(std_dev(mean - only(mean, shared))) for mean in means]


def _shared(means: Sequence[Quantity]) -> set[UFloat]:
    """Sources found in more than one of the means."""
    pairs = combinations([sources(mean) for mean in means], 2)
    return set().union(*(first & second for first, second in pairs))


def _across(means: Sequence[Quantity], combined: Combined) -> Quantity:
    """The groups' weighted mean: what they share as it is, what is fresh in one lump."""
    weighted = sum(float(w) * mean for w, mean in zip(combined.weights, means, strict=True))
    return combined.mean + only(weighted, _shared(means)) + measured(0.0, combined.u, GROUPS)


def _result(mean: Quantity, spreads: Spreads = ALL_NORMAL) -> Linear:
    return linear(mean, {"mean": mean}, spreads)


@dataclass(frozen=True)
class Beside:
    """Two ways to the same quantity, such as toppling and balancing."""

    first: str
    second: str
    agreement: Agreement


@dataclass(frozen=True)
class Way:
    """One way to a quantity, by name."""

    name: str
    value: Quantity
    coverage_factor: float = NORMAL_COVERAGE
    """Standard uncertainties in its 95 % interval."""


def side_by_side(ways: Sequence[Way]) -> tuple[Beside, ...]:
    """Every two ways compared (`solver.repeats.compare`); what two share cancels.

    A way known from few repeats has a coverage factor above 1.96; its uncertainty
    is widened in that proportion, so that two agree as their intervals do.
    """
    return tuple(
        Beside(one.name, other.name, compare(_widened(one), _widened(other)))
        for one, other in combinations(ways, 2)
    )


def _widened(way: Way) -> Quantity:
    value = nominal_value(way.value)
    return value + (way.value - value) * (way.coverage_factor / NORMAL_COVERAGE)
