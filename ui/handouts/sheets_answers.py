"""Worked answers from the class's own bodies and numbers, for the teacher's desk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import radians
from typing import Any

from uncertainties import nominal_value

from solver.edge_balance import Balance, End, Overhang
from solver.errors import InputError
from solver.quantities import DEGREE, MILLIMETRE, RATIO, Quantity, measured
from solver.toppling import centre_height
from solver.worked_bodies import balance_of, height_from_tilt, tilt_from_height
from solver.worked_friction import friction_from_tilt
from solver.working import Working
from ui.answer import as_reckoned
from ui.bench.words import said
from ui.classroom.results import BodyResult, FrictionResult, Measured
from ui.handouts.content import Lesson, mean_of, value_of
from ui.handouts.mathematics import worked
from ui.handouts.said import NONE, head, millimetres, result
from ui.handouts.text import line
from ui.handouts.typesetting import Sheet

DOUBT_RAD = radians(1.0)
"""By which the worksheet asks to move the angle."""


def worked_answers(lesson: Lesson) -> Sheet:
    """For each body a clip worked out in full, and what every group should have found."""
    return Sheet(
        "worked_answers",
        {
            **head(lesson),
            "bodies": [_body(lesson, each) for each in lesson.bodies if each.ways],
            "surfaces": [_surface(lesson, each) for each in lesson.frictions],
        },
    )


def _body(lesson: Lesson, found: BodyResult) -> dict[str, Any]:
    clips = lesson.of_body(found)
    clip = _nearest_mean(clips, found)
    workings = [*_from_clip(clip, found), *_from_prediction(found), *_from_balance(lesson, found)]
    return {
        "name": line(found.body.name, 40),
        "radius": millimetres(found.body.radius),
        "groups": [_group(found, group, clips) for group in _groups(found)],
        "class": result(found.toppling.pooled.result) if found.toppling else None,
        "doubt": _doubt(clip, found) if clip else None,
        "workings": [{"told": line(told, 120), **worked(working)} for told, working in workings],
    }


def _groups(found: BodyResult) -> list[str]:
    return [mean.group for mean in found.toppling.pooled.groups] if found.toppling else []


def _group(found: BodyResult, group: str, clips: Sequence[Measured]) -> dict[str, str]:
    own = [each for each in clips if each.group == group]
    mean = mean_of(found.toppling, group)
    return {
        "group": line(group, 40),
        "angles": ", ".join(_angle(each) for each in own),
        "heights": ", ".join(_height(each) for each in own),
        "mean": result(mean.result) if mean else NONE,
    }


def _angle(clip: Measured) -> str:
    return (
        NONE
        if clip.reading.angle is None
        else f"{nominal_value(clip.reading.angle) / DEGREE.in_si:.1f}°"
    )


def _height(clip: Measured) -> str:
    value = value_of(clip)
    return NONE if value is None else f"{nominal_value(value) / MILLIMETRE.in_si:.1f}"


def _nearest_mean(clips: Sequence[Measured], found: BodyResult) -> Measured | None:
    """The clip that speaks best for the class."""
    if not clips or found.toppling is None:
        return None
    mean = nominal_value(found.toppling.pooled.mean)
    return min(clips, key=lambda clip: abs(nominal_value(value_of(clip)) - mean))


def _from_clip(clip: Measured | None, found: BodyResult) -> Iterator[tuple[str, Working]]:
    if clip is not None and clip.reading.angle is not None:
        told = f"From the clip nearest the class's mean, {clip.clip.name} of {clip.group}."
        yield told, as_reckoned(height_from_tilt(found.body.radius, clip.reading.angle))


def _from_prediction(found: BodyResult) -> Iterator[tuple[str, Working]]:
    for each in found.predictions:
        source = f" from {each.source}" if each.source else ""
        height = measured(each.height_m, each.height_u_m, "prediction")
        told = f"From the centre height predicted{source}: when it should topple."
        yield told, tilt_from_height(found.body.radius, height)


def _from_balance(lesson: Lesson, found: BodyResult) -> Iterator[tuple[str, Working]]:
    """Those who balanced on one edge, together; nothing where a reading makes no sense."""
    edges: dict[tuple[float, float], list[Overhang]] = {}
    for each in lesson.view.balance_readings:
        if each.body_id == found.body.id:
            key = (each.edge_radius_m, each.scale_u_m)
            edges.setdefault(key, []).append(Overhang(each.overhang_m, End(each.end)))
    for (edge_m, scale_u_m), overhangs in edges.items() if found.balance else ():
        length_m: Quantity = found.body.length_m or 0.0
        yield (
            "From the overhangs on the table's edge, taken as one set of readings.",
            balance_of(Balance(length_m, edge_m, scale_u_m), overhangs),
        )


def _doubt(clip: Measured, found: BodyResult) -> dict[str, str] | None:
    """What 1° more or less does to x."""
    angle = nominal_value(clip.reading.angle)
    radius = found.body.radius_m
    try:
        ends = [centre_height(radius, angle + by) for by in (DOUBT_RAD, -DOUBT_RAD)]
    except InputError:  # within 1° of level or upright there is no such angle to ask about
        return None
    now = centre_height(radius, angle)
    texts = (said(value, MILLIMETRE) for value in (now, *ends))
    return dict(zip(("now", "more", "less"), texts, strict=True))


def _surface(lesson: Lesson, found: FrictionResult) -> dict[str, Any]:
    """The first slide on a surface, worked out, and the class's coefficient."""
    first = lesson.of_slide(found)[0]
    angle = first.reading.angle
    assert angle is not None  # a clip without an angle gives no coefficient
    return {
        "name": line(f"{found.body} on {found.surface}", 80),
        "told": line(f"From {first.clip.name} of {first.group}.", 120),
        "class": result(found.friction.pooled.result, RATIO),
        "count": len(found.friction.repeats),
        "working": worked(as_reckoned(friction_from_tilt(angle))),
    }
