"""What a class should look at again, in plain sentences. Nothing is taken away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from statistics import fmean

from uncertainties import nominal_value

from solver.outlying import STRAGGLER, Grubbs, cochran, far_from_others, grubbs
from solver.pooling import Pooled, Repeat, grouped, pool
from solver.quantities import Unit, decimal
from solver.scatter import excess_scatter

FEWEST_TO_TRIM = 4
LOOK = "Look at the clip again before you trust it or set it aside; it is still in the mean."


@dataclass(frozen=True)
class Suspicion:
    """What stands out, and why. It is still in the mean."""

    rows: tuple[int, ...]
    """Of the readings it is about."""
    reason: str
    """A plain sentence."""
    without: Pooled | None
    """The class's result with those set aside; None where fewer than four readings
    are given or none is left: three repeats are never trimmed."""


def standing_out(repeats: Sequence[Repeat], unit: Unit) -> tuple[Suspicion, ...]:
    """Readings and groups that stand out, each with the reason.

    A reading: beyond Grubbs' line among all, or farther from its group's others (from
    all others, in a group of two or fewer) than its own interval reaches. A group: its
    mean beyond Grubbs' line, or its scatter beyond Cochran's. ``unit`` is what the
    sentences speak.
    """
    groups = grouped(repeats)
    found = [*_among_all(repeats, unit), *_beyond_own_interval(repeats, unit)]
    if len(groups) < len(repeats):
        numbers = {name: [nominal_value(v) for v in group] for name, group in groups.items()}
        for name, reason in (*_mean_apart(numbers, unit), *_scattered(numbers)):
            found.append((_rows(repeats, name), reason))
    reasons: dict[tuple[int, ...], list[str]] = {}
    for rows, reason in found:
        reasons.setdefault(rows, []).append(reason)
    return tuple(
        Suspicion(rows, " ".join([*words, LOOK]), _without(repeats, rows))
        for rows, words in reasons.items()
    )


def _among_all(repeats: Sequence[Repeat], unit: Unit) -> Iterator[tuple[tuple[int, ...], str]]:
    values = [nominal_value(repeat.value) for repeat in repeats]
    if (test := grubbs(values)) and test.stands_out:
        called = f"{_called(repeats[test.row])} ({unit.show(values[test.row])})"
        yield (test.row,), f"{called} lies {_line(test, f'all {len(values)} readings')}"


def _beyond_own_interval(
    repeats: Sequence[Repeat], unit: Unit
) -> Iterator[tuple[tuple[int, ...], str]]:
    for row, repeat in enumerate(repeats):
        own = _rows(repeats, repeat.group)
        among = own if len(own) > 2 else tuple(range(len(repeats)))
        others = [repeats[i].value for i in among if i != row]
        if len(others) < 2:
            continue
        rest = [each for i, each in enumerate(repeats) if i != row]
        scatter = excess_scatter(list(grouped(rest).values()) if among == own else [others])
        far = far_from_others(repeat.value, others, scatter, STRAGGLER / len(repeats))
        if far.stands_out:
            gap = unit.show(abs(nominal_value(far.difference)), 2)
            whose = f"others of {repeat.group}" if among == own else "other readings"
            yield (
                (row,),
                f"{_called(repeat)} lies {gap} from the mean of the {whose}, "
                f"{decimal(abs(far.ratio), 2)} times as far as its own interval allows.",
            )


def _mean_apart(groups: dict[str, list[float]], unit: Unit) -> Iterator[tuple[str, str]]:
    names, means = list(groups), [fmean(group) for group in groups.values()]
    if (test := grubbs(means)) and test.stands_out:
        called = f"The mean of {names[test.row]} ({unit.show(means[test.row])})"
        yield names[test.row], f"{called} lies {_line(test, f'the {len(means)} groups')}"


def _scattered(groups: dict[str, list[float]]) -> Iterator[tuple[str, str]]:
    names = list(groups)
    if (test := cochran(list(groups.values()))) and test.stands_out:
        share, line = _told_apart(100 * test.statistic, 100 * test.straggler_at, 0)
        yield (
            names[test.row],
            f"The repeats of {names[test.row]} hold {share} % of the variance of all groups' "
            f"repeats, where Cochran's test draws the line at {line} %.",
        )


def _line(test: Grubbs, of: str) -> str:
    word = "an outlier" if test.statistic > test.outlier_at else "a straggler"
    distance, line = _told_apart(test.statistic, test.straggler_at, 2)
    return (
        f"{distance} standard deviations from the mean of {of}, where Grubbs' test "
        f"draws the line at {line}: {word}."
    )


def _told_apart(one: float, other: float, decimals: int) -> tuple[str, str]:
    """Two different numbers, to so many decimals or to as many more as show the difference."""
    pairs = ((f"{one:.{places}f}", f"{other:.{places}f}") for places in count(decimals))
    return next((first, second) for first, second in pairs if first != second)


def _called(repeat: Repeat) -> str:
    return f"{repeat.name} of {repeat.group}" if repeat.name else f"A reading of {repeat.group}"


def _rows(repeats: Sequence[Repeat], group: str) -> tuple[int, ...]:
    return tuple(i for i, repeat in enumerate(repeats) if repeat.group == group)


def _without(repeats: Sequence[Repeat], rows: tuple[int, ...]) -> Pooled | None:
    left = [repeat for i, repeat in enumerate(repeats) if i not in rows]
    return pool(left) if left and len(repeats) >= FEWEST_TO_TRIM else None
