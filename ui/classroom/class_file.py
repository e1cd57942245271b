"""A lesson's answers as JSON: clips in their order, and what the class found together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from solver.quantities import MILLIMETRE, RATIO, Unit
from ui.answer import Answer, unreadable
from ui.classroom.results import (
    BodyResult,
    ClassMean,
    FrictionResult,
    Measured,
    body_results,
    friction_results,
    measured_clips,
)
from ui.record.rows import LessonView
from vision.reading import Outcome

SUFFIXES = {MILLIMETRE: "_mm", RATIO: ""}
Refused = tuple[str, str]
"""A clip that could not be taken in, and the reason."""


def lesson_as_json(view: LessonView, refused: Sequence[Refused] = ()) -> dict[str, Any]:
    """The lesson; each clip as `brinkangle measure` writes it, and what it was given."""
    return {
        "lesson": view.lesson.title,
        "day": view.lesson.day.isoformat(),
        "clips": [
            *(_clip(view, each) for each in measured_clips(view)),
            *(_refused(name, reason) for name, reason in refused),
        ],
        "bodies": [_body(each) for each in body_results(view)],
        "friction": [_friction(each) for each in friction_results(view)],
    }


def all_read(view: LessonView, refused: Sequence[Refused]) -> bool:
    """Whether every clip of the lesson was read."""
    read = {
        each.clip.id
        for each in measured_clips(view)
        if each.reading.outcome is not Outcome.UNREADABLE
    }
    return not refused and all(clip.id in read for clip in view.clips)


def _clip(view: LessonView, measured: Measured) -> dict[str, Any]:
    clip = measured.clip
    body, surface = view.body(clip.body_id), view.surface(clip.surface_id)
    found = measured.answer
    return {
        **(found.record(clip.name) if found else {"clip": clip.name}),
        "group": None if clip.group_id is None else measured.group,
        "body": body.name if body else None,
        "surface": surface.name if surface else None,
        "repeat": clip.repeat,
    }


def _refused(name: str, reason: str) -> dict[str, Any]:
    blank = Answer(unreadable(reason), 0.0, None, None, None, (reason,))
    return {**blank.record(name), "group": None, "body": None, "surface": None, "repeat": None}


def _body(result: BodyResult) -> dict[str, Any]:
    return {
        "body": result.body.name,
        "radius_mm": result.body.radius_m / MILLIMETRE.in_si,
        "toppling": _mean(result.toppling, MILLIMETRE),
        "balance": _mean(result.balance, MILLIMETRE),
        "predictions": [
            {
                "source": each.source,
                "height_mm": each.height_m / MILLIMETRE.in_si,
                "height_u_mm": each.height_u_m / MILLIMETRE.in_si,
            }
            for each in result.predictions
        ],
        "side_by_side": [
            {"first": each.first, "second": each.second, "agrees": each.agreement.agrees}
            for each in result.beside
        ],
        "left_out": list(result.left_out),
    }


def _friction(result: FrictionResult) -> dict[str, Any]:
    mean = _mean(result.friction, RATIO)
    return {"surface": result.surface, "body": result.body, "coefficient": mean}


def _mean(mean: ClassMean | None, unit: Unit) -> dict[str, Any] | None:
    if mean is None:
        return None
    found, end = mean.pooled.precision, SUFFIXES[unit]

    def shown(value: float | None) -> float | None:
        return None if value is None else float(value) / unit.in_si

    return {
        f"mean{end}": shown(mean.pooled.result.value),
        f"u95{end}": shown(mean.pooled.result.half_width),
        f"s_r{end}": shown(found.repeatability),
        f"s_L{end}": shown(found.between),
        f"s_R{end}": shown(found.reproducibility),
        "groups": [
            {
                "group": group.group,
                "readings": group.count,
                f"mean{end}": shown(group.result.value),
                f"u95{end}": shown(group.result.half_width),
            }
            for group in mean.pooled.groups
        ],
        "stand_out": [suspicion.reason for suspicion in mean.suspicions],
    }
