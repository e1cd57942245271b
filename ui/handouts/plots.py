"""Dot plots with intervals, as the template `dot_plot.typ` draws them."""

from __future__ import annotations

from itertools import chain
from typing import Any

from uncertainties import nominal_value, std_dev

from solver.pooling import Way
from solver.propagation import Span
from solver.quantities import MILLIMETRE, Unit
from ui.classroom.results import BY_BALANCE, BY_TOPPLING, BodyResult, ClassMean
from ui.handouts.axis import Axis
from ui.handouts.text import tag

SHAPES = {BY_TOPPLING: "circle", BY_BALANCE: "square"}
"""What each way is marked by; a prediction by a diamond. Never by colour alone."""


def of_groups(found: ClassMean, unit: Unit, title: str, own: str = "") -> dict[str, Any]:
    """Each group's readings and mean, the class's interval as a band."""
    pooled, singles = found.pooled, _singles(found, unit)
    spans = [_span(mean.result.interval, unit) for mean in pooled.groups]
    band = _span(pooled.result.interval, unit)
    axis = Axis.round([*chain(*spans, band), *chain(*singles.values())])
    rows = [
        {
            "label": tag(mean.group),
            "own": mean.group == own,
            "singles": [axis.place(value) for value in singles[mean.group]],
            "mean": axis.place(mean.result.value / unit.in_si),
            "span": axis.span(span),
            "shape": "circle",
        }
        for mean, span in zip(pooled.groups, spans, strict=True)
    ]
    return {"title": title, "ticks": axis.ticks(), "rows": rows, "band": axis.span(band)}


def of_ways(found: BodyResult) -> dict[str, Any] | None:
    """Toppling, balancing and prediction below each other; None with fewer than two."""
    if len(found.ways) < 2:
        return None
    spans = [_way_span(way) for way in found.ways]
    axis = Axis.round([end for span in spans for end in span])
    rows = [
        {
            "label": tag(way.name, 22),
            "own": False,
            "singles": [],
            "mean": axis.place(float(nominal_value(way.value)) / MILLIMETRE.in_si),
            "span": axis.span(span),
            "shape": SHAPES.get(way.name, "diamond"),
        }
        for way, span in zip(found.ways, spans, strict=True)
    ]
    return {"title": "centre height x / mm", "ticks": axis.ticks(), "rows": rows, "band": None}


def _singles(found: ClassMean, unit: Unit) -> dict[str, list[float]]:
    values: dict[str, list[float]] = {}
    for repeat in found.repeats:
        number = float(nominal_value(repeat.value)) / unit.in_si
        values.setdefault(repeat.group, []).append(number)
    return values


def _span(interval: Span, unit: Unit) -> Span:
    low, high = interval
    return low / unit.in_si, high / unit.in_si


def _way_span(way: Way) -> Span:
    value = float(nominal_value(way.value))
    half = way.coverage_factor * float(std_dev(way.value))
    return _span((value - half, value + half), MILLIMETRE)
