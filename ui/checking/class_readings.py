"""A class's protractor readings against its clips: bias, spread, and what to discuss."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from statistics import stdev

from uncertainties import nominal_value

from solver.pooling import Pooled, Repeat, pool
from solver.propagation import Linear
from solver.quantities import DEGREE
from solver.readings import Check, Moved, ProtractorReading, WorkedHeight
from solver.rounding import rounded
from solver.slips import Slip
from ui.checking.checkable import checkable
from ui.checking.typed import last_figure_m
from ui.record.rows import LessonView, Reading, StudentReading

NO_GROUP = "no group"
GROSS_DEG = 10.0
"""A reading farther off says nothing of how well the class reads: something else was read."""
OF_THE_SCALE = frozenset({Slip.OTHER_END, Slip.FROM_UPRIGHT})
"""Slips that put a reading tens of degrees off: they say nothing of how well it was read."""


@dataclass(frozen=True)
class CheckedReading:
    """A student's reading and what is said of it now."""

    group: str
    reading: StudentReading
    check: Check
    first: bool
    """Whether it is the first of its label on its clip: later ones have seen the hint."""

    @property
    def off_deg(self) -> float:
        """The reading less the clip's angle."""
        return float(nominal_value(self.check.angle.agreement.difference)) / DEGREE.in_si

    @property
    def gross(self) -> bool:
        """Whether the scale itself was misread, or some other thing was read."""
        likeliest = self.check.angle.explanations[:1]
        misread = any(OF_THE_SCALE.intersection(each.slips) for each in likeliest)
        return misread or abs(self.off_deg) > GROSS_DEG

    @property
    def counts(self) -> bool:
        """Whether it tells how well the class reads a protractor."""
        return self.first and not self.gross


@dataclass(frozen=True)
class ClassReadings:
    """All readings of a lesson, in the order in which they were given."""

    all: tuple[CheckedReading, ...]
    bias: Pooled | None
    """Reading less clip, rad, of those that count; None where none does."""
    spread_rad: float | None
    """Standard deviation of those; None below two."""

    @property
    def counted(self) -> tuple[CheckedReading, ...]:
        return tuple(each for each in self.all if each.counts)

    @property
    def apart(self) -> tuple[CheckedReading, ...]:
        """First readings that are grossly off."""
        return tuple(each for each in self.all if each.first and each.gross)

    @property
    def repeated(self) -> int:
        """Readings that had been tried before."""
        return sum(not each.first for each in self.all)


def class_readings(view: LessonView, moved_of: Callable[[Reading], Moved | None]) -> ClassReadings:
    """The lesson's readings, each checked against what its clip says now.

    ``moved_of`` gives the tilts at which a clip's body was moving.
    """
    asked = {each.clip_id for each in view.student_readings}
    clips = {each.clip.id: each for each in checkable(view) if each.clip.id in asked}
    moved = {clip_id: moved_of(each.reading) for clip_id, each in clips.items()}
    seen: set[tuple[int, str]] = set()
    found = []
    for reading in view.student_readings:
        if (clip := clips.get(reading.clip_id)) is None:
            continue
        typed = ProtractorReading(reading.protractor_rad, reading.reads_to_rad)
        x = reading.height_m
        height = None if x is None else WorkedHeight(x, last_figure_m(x))
        key = (reading.clip_id, reading.by.strip().casefold())
        first = not key[1] or key not in seen
        seen.add(key)
        group = clip.group.label if clip.group else NO_GROUP
        check = clip.check(typed, height, moved[clip.clip.id])
        found.append(CheckedReading(group, reading, check, first))
    return _summed_up(tuple(found))


def _summed_up(found: tuple[CheckedReading, ...]) -> ClassReadings:
    counted = [each for each in found if each.counts]
    offs = [
        Repeat(each.group, each.check.angle.agreement.difference, each.reading.by)
        for each in counted
    ]
    spread = stdev(nominal_value(off.value) for off in offs) if len(offs) > 1 else None
    return ClassReadings(found, pool(offs) if offs else None, spread)


def to_discuss(readings: ClassReadings) -> list[str]:
    """Whose method to talk about, group by group, and the class's as a whole."""
    words = []
    if readings.bias is not None and len(readings.bias.groups) > 1:
        words += _biased("The class", readings.bias.result)
    for group in readings.bias.groups if readings.bias else ():
        words += _biased(group.group, group.result)
    groups = dict.fromkeys(each.group for each in readings.all)
    for name in groups:
        words += _slips(name, [each for each in readings.all if each.group == name])
    return words


def _biased(name: str, result: Linear) -> list[str]:
    if abs(result.value) <= result.half_width or result.half_width == 0:
        return []
    texts = rounded(abs(result.value) / DEGREE.in_si, result.half_width / DEGREE.in_si)
    high = result.value > 0
    side = "above" if high else "below"
    why = (
        "Was the scale read while the board still rose, or with the eye above it?"
        if high
        else "Was it read before the body went, or with the centre off the hinge?"
    )
    return [f"{name} reads {texts.value}° ± {texts.uncertainty}° {side} the clips. {why}"]


def _slips(name: str, readings: Sequence[CheckedReading]) -> list[str]:
    """One line for a group's slips, the most frequent first."""
    counts = Counter(slip for each in readings if each.first for slip in set(each.check.slips))
    told = [f"{slip} ({count})" for slip, count in counts.most_common()]
    of = sum(each.first for each in readings)
    return [f"{name}, slips in {of} readings: {'; '.join(told)}."] if told else []


def groups_of(readings: Iterable[CheckedReading]) -> list[str]:
    """The groups, in the order of their labels."""
    return sorted({each.group for each in readings})
