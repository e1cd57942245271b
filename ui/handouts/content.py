"""What hand-outs are made of: a lesson's rows, its pictures, and what they say together. SI.

It needs rows alone, not the database they may come from: `ui.handouts.from_record`
takes them from a class record, `ui.handouts.demo` invents them. Names are text as
people typed it; `ui.handouts.text` makes them fit to print.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from uncertainties import umath

from solver.pooling import Beside, GroupMean, Repeat, Way, pool, side_by_side
from solver.quantities import Quantity
from solver.readings import Moved
from ui.checking.class_readings import ClassReadings, class_readings
from ui.classroom.results import (
    BodyResult,
    ClassMean,
    FrictionResult,
    Measured,
    body_results,
    friction_results,
    measured_clips,
)
from ui.record.rows import LessonView, Reading
from vision.reading import EvidencePicture


class Paper(StrEnum):
    """A size of paper, by Typst's name for it."""

    A4 = "a4"
    LETTER = "us-letter"


class Kind(StrEnum):
    """A kind of hand-out; its value begins the file's name."""

    LESSON = "lesson-sheet"
    WORKSHEET = "worksheet"
    PROTRACTOR = "protractor"
    CARDS = "challenge-cards"
    ANSWERS = "worked-answers"
    GROUP = "group-report"
    CLASS = "class-report"


NEEDS_READINGS = (Kind.ANSWERS, Kind.GROUP, Kind.CLASS)


@dataclass(frozen=True)
class Lesson:
    """All that hand-outs may tell of a lesson."""

    view: LessonView
    pictures_of: Callable[[int], tuple[EvidencePicture, ...]]
    """Of a clip by its id, asked for when they are printed; none where it was deleted."""
    moved_of: Callable[[Reading], Moved | None]
    """The tilts at which a clip's body was seen to move, where that is known."""
    invented: bool = False
    """Whether its numbers are made up, which every sheet then says."""

    @cached_property
    def clips(self) -> tuple[Measured, ...]:
        """The clips that were measured."""
        return measured_clips(self.view)

    @cached_property
    def bodies(self) -> tuple[BodyResult, ...]:
        """What the class found of each body."""
        return body_results(self.view)

    @cached_property
    def frictions(self) -> tuple[FrictionResult, ...]:
        """What it found of each pair of surface and body."""
        return friction_results(self.view)

    @cached_property
    def students(self) -> ClassReadings:
        """The protractor readings, each beside its clip."""
        return class_readings(self.view, self.moved_of)

    def of_body(self, found: BodyResult) -> list[Measured]:
        """The clips that gave a body's centre height."""
        own = (each for each in self.clips if each.clip.body_id == found.body.id)
        return [each for each in own if each.answer and each.answer.height]

    def of_slide(self, found: FrictionResult) -> list[Measured]:
        """The clips that gave a coefficient of friction."""
        names = {(each.group, each.name) for each in found.friction.repeats}
        slid = (each for each in self.clips if each.answer and each.answer.friction)
        return [each for each in slid if (each.group, each.clip.name) in names]

    @property
    def groups(self) -> tuple[str, ...]:
        """Those with a clip that was measured, in the lesson's order."""
        met = dict.fromkeys(each.group for each in self.clips)
        ordered = [group.label for group in self.view.groups if group.label in met]
        return (*ordered, *(label for label in met if label not in ordered))


def value_of(clip: Measured) -> Quantity | None:
    """Centre height (m) where it toppled, coefficient of friction where it slid."""
    if clip.answer is None:
        return None
    if clip.answer.height is not None:
        return clip.answer.height.height_m
    angle, friction = clip.reading.angle, clip.answer.friction
    if angle is None or friction is None:
        return None
    return umath.tan(angle)


def mean_of(found: ClassMean | None, group: str) -> GroupMean | None:
    """A group's own mean among the class's."""
    means = found.pooled.groups if found else ()
    return next((mean for mean in means if mean.group == group), None)


def beside_others(found: ClassMean, group: str) -> Beside | None:
    """A group's mean beside the mean of all other groups; None where there is none."""
    own = mean_of(found, group)
    others: list[Repeat] = [each for each in found.repeats if each.group != group]
    if own is None or not others:
        return None
    rest = pool(others)
    ways = (
        Way("by your clips", own.mean, own.result.coverage_factor),
        Way("by the other groups", rest.mean, rest.result.coverage_factor),
    )
    return side_by_side(ways)[0]
