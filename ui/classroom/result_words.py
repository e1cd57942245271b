"""What the class's results say, in plain sentences."""

from __future__ import annotations

from solver.pooling import Beside
from solver.quantities import Unit, decimal
from solver.rounding import rounded
from ui.bench.words import compared
from ui.classroom.results import ClassMean
from ui.words import interval


def pooled_words(mean: ClassMean, unit: Unit) -> str:
    """The class's value with its 95 % interval."""
    result = mean.pooled.result
    return interval(result, unit) if result.u else unit.show(result.value)


def precision_words(mean: ClassMean, unit: Unit) -> tuple[tuple[str, str, str], ...]:
    """The standard deviations of ISO 5725: symbol, value, and what it means.

    What the design cannot show is a dash.
    """
    found = mean.pooled.precision
    return (
        ("s_r", _spread(found.repeatability, unit), "repeats of one group scatter by this"),
        ("s_L", _spread(found.between, unit), "groups differ by this beyond their repeats"),
        ("s_R", _spread(found.reproducibility, unit), "single readings of different groups do"),
    )


def _spread(value: float | None, unit: Unit) -> str:
    return "–" if value is None else unit.show(value, 2)


def count_words(mean: ClassMean) -> str:
    """From how many readings of how many groups."""
    found = mean.pooled.precision
    readings = "1 reading" if found.readings == 1 else f"{found.readings} readings"
    groups = "1 group" if found.groups == 1 else f"{found.groups} groups"
    return f"From {readings} of {groups}. ± gives the 95 % interval."


def agreement_words(mean: ClassMean) -> str:
    """Whether the groups agree; empty where that cannot be said."""
    found = mean.pooled.agreement
    if found is None:
        return ""
    chance = f"a spread at least as wide comes by chance in {_percent(found.chance)} of classes"
    if found.agree:
        return f"The groups agree within their uncertainties: {chance}."
    return (
        f"The groups differ by more than their uncertainties explain: {chance}. The interval of "
        "all groups is widened for it."
    )


def caution_words(mean: ClassMean, unit: Unit) -> str:
    """Where so few groups or readings say little; empty where they do not.

    Two groups that agree: also what they say if both are taken to measure the same.
    """
    pooled = mean.pooled
    if pooled.alike is None or pooled.agreement is None or not pooled.agreement.agree:
        return pooled.caution
    if not pooled.caution:
        return ""
    alike = interval(pooled.alike, unit)
    return f"{pooled.caution} If both are taken to measure the same, the class has {alike}."


def _percent(chance: float) -> str:
    return "less than 1 %" if chance < 0.01 else f"{100 * chance:.0f} %"


def beside_words(beside: Beside) -> str:
    """How two ways to a centre height compare."""
    return compared(beside.first, beside.second, beside.agreement)


def without_words(mean: ClassMean, unit: Unit) -> tuple[tuple[str, str], ...]:
    """Each suspicion: its reason, and what the class's value would be without."""
    found = []
    for suspicion in mean.suspicions:
        words = ""
        if suspicion.without is not None:
            result = suspicion.without.result
            value = interval(result, unit) if result.u else unit.show(result.value)
            words = f"Without it the class would have {value}."
        found.append((suspicion.reason, words))
    return tuple(found)


def group_rows(mean: ClassMean, unit: Unit) -> list[dict[str, str]]:
    """A table of groups: readings, mean with interval, weight in the class's mean."""
    heading = f"mean / {unit.symbol}" if unit.symbol else "mean"
    return [
        {
            "group": group.group,
            "readings": str(group.count),
            heading: _number(group.result.value, group.result.half_width, unit),
            "weight": f"{100 * group.weight:.0f} %",
        }
        for group in mean.pooled.groups
    ]


def _number(value: float, half_width: float, unit: Unit) -> str:
    if not half_width:
        return decimal(value / unit.in_si)
    return str(rounded(value / unit.in_si, half_width / unit.in_si))
