"""The class's report: what it found together, where it differs, and what to talk about."""

from __future__ import annotations

from typing import Any

from solver.pooling import Pooled
from solver.quantities import DEGREE, MILLIMETRE, RATIO, Unit
from solver.rounding import rounded
from ui.checking.class_readings import CheckedReading, ClassReadings
from ui.classroom.result_words import caution_words
from ui.classroom.results import BodyResult, ClassMean, FrictionResult
from ui.handouts.content import Lesson
from ui.handouts.discuss import points
from ui.handouts.plots import of_groups, of_ways
from ui.handouts.said import LONGEST, NONE, head, in_words, millimetres, result
from ui.handouts.text import line, tag
from ui.handouts.typesetting import Sheet


def class_report(lesson: Lesson) -> Sheet:
    """Tables, plots, the pooled result, what stands out, what to discuss."""
    return Sheet(
        "class_report",
        {
            **head(lesson),
            "clips": len(lesson.clips),
            "groups": len(lesson.groups),
            "bodies": [_body(each) for each in lesson.bodies],
            "surfaces": [_surface(each) for each in lesson.frictions],
            "students": _students(lesson.students),
            "discuss": points(lesson),
        },
    )


def _body(found: BodyResult) -> dict[str, Any]:
    toppling = found.toppling
    title = f"height of the centre of the {tag(found.body.name, 30)}, x / mm"
    return {
        "name": line(found.body.name, 40),
        "radius": millimetres(found.body.radius),
        "pooled": _pooled(toppling, MILLIMETRE) if toppling else None,
        "plot": of_groups(toppling, MILLIMETRE, title) if toppling else None,
        "ways": of_ways(found),
        "beside": [in_words(each) for each in found.beside],
        "left_out": [line(words, LONGEST) for words in found.left_out],
    }


def _surface(found: FrictionResult) -> dict[str, Any]:
    return {
        "name": line(f"{found.body} on {found.surface}", 80),
        "pooled": _pooled(found.friction, RATIO),
        "plot": of_groups(found.friction, RATIO, "coefficient of static friction μ"),
    }


def _pooled(found: ClassMean, unit: Unit) -> dict[str, Any]:
    """The class's value, its precision, its groups, and what stands out."""
    pooled, precision = found.pooled, found.pooled.precision
    deviations = (precision.repeatability, precision.between, precision.reproducibility)
    names = ("s_r", "s_L", "s_R")
    return {
        "result": result(pooled.result, unit),
        "readings": precision.readings,
        "count": precision.groups,
        "precision": {
            name: NONE if value is None else _to_two_figures(value, unit)
            for name, value in zip(names, deviations, strict=True)
        },
        "agreement": _agreement(pooled),
        "caution": line(caution_words(found, unit)),
        "rows": _rows(pooled, unit),
        "suspicions": [line(each.reason, 2 * LONGEST) for each in found.suspicions],
    }


def _to_two_figures(deviation: float, unit: Unit) -> str:
    number = deviation / unit.in_si
    if number == 0:
        return f"0 {unit.symbol}".strip()
    return f"{rounded(number, number).uncertainty} {unit.symbol}".strip()


def _agreement(pooled: Pooled) -> str:
    """Whether the groups differ by more than they should."""
    if pooled.agreement is None:
        return ""
    if pooled.agreement.agree:
        return "The groups agree within their own intervals."
    return (
        f"The groups do not agree within their own intervals: they lie "
        f"{pooled.agreement.birge:.1f} times as far apart as those explain. The class's interval "
        "allows for it."
    )


def _rows(pooled: Pooled, unit: Unit) -> list[dict[str, str]]:
    return [
        {
            "group": line(mean.group, 40),
            "count": f"{mean.count}",
            "mean": result(mean.result, unit),
            "weight": f"{100 * mean.weight:.0f} %",
        }
        for mean in pooled.groups
    ]


def _students(found: ClassReadings) -> dict[str, Any]:
    """Each first reading, and how well the class reads."""
    bias, spread = found.bias, found.spread_rad
    return {
        "rows": [_student(each) for each in found.all if each.first],
        "bias": None if bias is None else result(bias.result, DEGREE),
        "spread": None if spread is None else f"{spread / DEGREE.in_si:.1f}°",
        "counted": len(found.counted),
        "apart": len(found.apart),
    }


def _student(checked: CheckedReading) -> dict[str, str]:
    read = checked.reading
    return {
        "who": line(", ".join(filter(None, (checked.group, read.by))), 60),
        "read": f"{read.protractor_rad / DEGREE.in_si:.1f}°",
        "clip": f"{read.protractor_rad / DEGREE.in_si - checked.off_deg:.1f}°",
        "off": f"{checked.off_deg:+.1f}°".replace("-", "−"),
        "agrees": "yes" if checked.check.angle.agreement.agrees else "no",
        "slip": line("; ".join(checked.check.slips), 120),
    }
