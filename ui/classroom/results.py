"""What a lesson's clips say together: centre heights by body, friction by surface."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from solver.class_results import frictions, heights
from solver.edge_balance import Balance, End, Overhang, balanced_centre
from solver.errors import InputError
from solver.pooling import Beside, GroupMean, Pooled, Repeat, Way, pool, side_by_side
from solver.quantities import MILLIMETRE, RATIO, Quantity, Unit, measured
from solver.repeats import EXCESS
from solver.suspicion import Suspicion, standing_out
from ui.answer import BY_HAND, Answer, answer, reckoned
from ui.record.rows import BalanceReading, Body, Clip, LessonView, Prediction, Reading, Surface
from vision.reading import Outcome

NO_GROUP = "no group"
REMEMBERED = 512
"""Answers kept at hand."""
BY_TOPPLING, BY_BALANCE = "by toppling", "by balancing"


@dataclass(frozen=True)
class Measured:
    """A clip with its reading."""

    clip: Clip
    reading: Reading
    group: str
    answer: Answer | None
    """None where no body, and so no radius, is given."""


@dataclass(frozen=True)
class ClassMean:
    """One quantity as a class measured it, in SI."""

    repeats: tuple[Repeat, ...]
    pooled: Pooled
    suspicions: tuple[Suspicion, ...]


@dataclass(frozen=True)
class BodyResult:
    """Everything a lesson says of one body's centre height, metres."""

    body: Body
    toppling: ClassMean | None
    balance: ClassMean | None
    predictions: tuple[Prediction, ...]
    beside: tuple[Beside, ...]
    left_out: tuple[str, ...]
    """Plain sentences: clips and balance readings that give no height, and why."""

    @property
    def ways(self) -> tuple[Way, ...]:
        """Each way to the height that was gone, measured ones first."""
        return _ways(self.toppling, self.balance, self.predictions)


@dataclass(frozen=True)
class FrictionResult:
    """Coefficient of friction of one body on one surface."""

    surface: str
    body: str
    friction: ClassMean


def measured_clips(view: LessonView) -> tuple[Measured, ...]:
    """The clips that were measured, in the lesson's order."""
    return tuple(
        _measured(view, clip, reading)
        for clip in view.clips
        if (reading := view.reading_of(clip.id)) is not None
    )


def _measured(view: LessonView, clip: Clip, reading: Reading) -> Measured:
    body, group = view.body(clip.body_id), view.group(clip.group_id)
    found = _answer(reading, body) if body else None
    return Measured(clip, reading, group.label if group else NO_GROUP, found)


@lru_cache(maxsize=REMEMBERED)
def _answer(reading: Reading, body: Body) -> Answer:
    """Remembered: a page that shows thirty clips, again and again while they are measured,
    would else spend its time on their Monte Carlo intervals.
    """
    return answer(reading.as_measured(), body.radius)


def body_results(view: LessonView) -> tuple[BodyResult, ...]:
    """By body, in the record's order; bodies of which nothing is known yet are left out."""
    measured = measured_clips(view)
    results = (_body_result(view, body, measured) for body in view.bodies)
    return tuple(each for each in results if each.ways or each.left_out)


def _body_result(view: LessonView, body: Body, measured: Sequence[Measured]) -> BodyResult:
    own = [each for each in measured if each.clip.body_id == body.id]
    left_out = [words for each in own if (words := _why_no_height(each))]
    toppled = [each for each in own if each.answer and each.answer.height]
    toppling = class_mean(heights(body.radius, _angles(toppled)), MILLIMETRE) if toppled else None
    readings = [each for each in view.balance_readings if each.body_id == body.id]
    try:
        balance = _balance_mean(view, body, readings) if readings else None
    except InputError as error:
        balance = None
        left_out.append(f"The balance readings are not used. {error}")
    predictions = tuple(each for each in view.predictions if each.body_id == body.id)
    beside = side_by_side(_ways(toppling, balance, predictions))
    return BodyResult(body, toppling, balance, predictions, beside, tuple(left_out))


def _why_no_height(each: Measured) -> str:
    if each.answer is None or each.answer.height is not None:
        return ""
    outcome = each.reading.outcome
    reason = next((words for words in each.answer.reasons[::-1] if words != BY_HAND), "")
    named = f"{each.clip.name} of {each.group}"
    if outcome is Outcome.UNREADABLE:
        return f"{named} could not be read. {reason}"
    return f"{named} {outcome}. {reason}"


def _angles(measured: Iterable[Measured]) -> list[Repeat]:
    """Angles group by group, in the order in which people count tables."""
    return [
        Repeat(each.group, each.answer.reading.angle_rad, each.clip.name)
        for each in sorted(measured, key=lambda each: _counted(each.group))
        if each.answer and each.answer.reading.angle_rad is not None
    ]


def _counted(label: str) -> tuple[bool, list[str | int]]:
    """To sort labels by: Table 2 comes before Table 10, and who has no group comes last."""
    parts = re.split(r"(\d+)", label.casefold())
    return label == NO_GROUP, [int(part) if i % 2 else part for i, part in enumerate(parts)]


def class_mean(repeats: Sequence[Repeat], unit: Unit) -> ClassMean:
    """Repeats pooled, with what stands out. Raises `InputError` where there are none."""
    pooled = pool(repeats)
    groups = tuple(_as_its_clip(group) for group in pooled.groups)
    result = pooled.result if len(groups) > 1 else groups[0].result
    pooled = replace(pooled, groups=groups, result=result)
    return ClassMean(tuple(repeats), pooled, standing_out(repeats, unit))


def _as_its_clip(group: GroupMean) -> GroupMean:
    """A group's only reading has the interval its clip is shown with."""
    if group.count > 1 or EXCESS in (part.name for part in group.result.budget):
        return group
    return replace(group, result=reckoned(group.mean, "mean"))


def _balance_mean(view: LessonView, body: Body, readings: Sequence[BalanceReading]) -> ClassMean:
    """Each group's readings on one edge give one height. Raises `InputError`."""
    if body.length_m is None:
        raise InputError(f"Give the length of the {body.name}, base to top.")
    at_edges: dict[tuple[str, float, float], list[Overhang]] = {}
    for each in readings:
        group = view.group(each.group_id)
        key = (group.label if group else NO_GROUP, each.edge_radius_m, each.scale_u_m)
        at_edges.setdefault(key, []).append(Overhang(each.overhang_m, End(each.end)))
    repeats = [
        Repeat(group, balanced_centre(Balance(body.length_m, edge_m, scale_u_m), overhangs).mean)
        for (group, edge_m, scale_u_m), overhangs in at_edges.items()
    ]
    return class_mean(repeats, MILLIMETRE)


def _ways(
    toppling: ClassMean | None, balance: ClassMean | None, predictions: Sequence[Prediction]
) -> tuple[Way, ...]:
    means = ((BY_TOPPLING, toppling), (BY_BALANCE, balance))
    ways = [
        Way(name, mean.pooled.mean, mean.pooled.result.coverage_factor)
        for name, mean in means
        if mean is not None
    ]
    return (*ways, *(Way(predicted(each), _height(each)) for each in predictions))


def predicted(prediction: Prediction) -> str:
    """What a prediction is called beside other ways."""
    return f"predicted ({prediction.source})" if prediction.source else "predicted"


def _height(prediction: Prediction) -> Quantity:
    return measured(prediction.height_m, prediction.height_u_m, "prediction")


def friction_results(view: LessonView) -> tuple[FrictionResult, ...]:
    """By surface, and on it by body: the coefficient belongs to the pair."""
    pairs: dict[tuple[str, str], list[Measured]] = {}
    for each in measured_clips(view):
        if each.answer is None or each.answer.friction is None or each.answer.friction.value <= 0:
            continue
        surface, body = view.surface(each.clip.surface_id), view.body(each.clip.body_id)
        assert body is not None  # there is no answer without one
        pairs.setdefault((_named(surface), body.name), []).append(each)
    return tuple(
        FrictionResult(surface, body, class_mean(frictions(_angles(slid)), RATIO))
        for (surface, body), slid in sorted(pairs.items(), key=lambda pair: pair[0])
    )


def _named(surface: Surface | None) -> str:
    return surface.name if surface else "no surface named"
