"""Dots with intervals, group by group, to be read from the back of the room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt
from uncertainties import nominal_value

from solver.propagation import Linear
from solver.quantities import Unit
from solver.rounding import rounded
from solver.working import NORMAL_COVERAGE
from ui.bench.charts import Layers, data_of, layered
from ui.classroom.names import numbered
from ui.classroom.results import ClassMean
from ui.theme import AMBER, INK, PAPER, PLUM, QUIET, RULE, TEAL

ROW_PX, AXIS_PX, TYPE_PX, SMALL_PX = 78, 90, 22, 18
FONT = "Source Sans, sans-serif"
ALL = "all groups"
GROUP, POOLED, OTHER = KINDS = "a group's mean", "all groups", "another way"
COLOURS, SHAPES = (TEAL, PLUM, AMBER), ("circle", "diamond", "square")
SINGLE, ODD = "one reading", "stands out"
TICK, CROSS = "M0,-1L0,1", "M-.8,-.8L.8,.8M-.8,.8L.8,-.8"
MOST_LETTERS = 18
"""Of a line of a row's name: a long one would leave no room for the dots."""


@dataclass(frozen=True)
class Dot:
    """One row: a value with its 95 % interval, in the unit shown."""

    name: str
    kind: str
    value: float
    half_width: float
    singles: tuple[tuple[float, str, bool], ...] = ()
    """Single readings: value, name, and whether it stands out."""

    @property
    def words(self) -> str:
        if not self.half_width:
            return f"{self.value:.4g}".replace("-", "−")
        return str(rounded(self.value, self.half_width))


def dots_of(mean: ClassMean, unit: Unit) -> list[Dot]:
    """A row for each group, and one for all where there is more than one."""
    odd = {each.rows[0] for each in mean.suspicions if len(each.rows) == 1}
    singles: dict[str, list[tuple[float, str, bool]]] = {}
    for row, repeat in enumerate(mean.repeats):
        value = float(nominal_value(repeat.value)) / unit.in_si
        singles.setdefault(repeat.group, []).append((value, repeat.name, row in odd))
    dots = [
        _dot(group.group, GROUP, group.result, unit, tuple(singles[group.group]))
        for group in mean.pooled.groups
    ]
    return dots + ([_dot(ALL, POOLED, mean.pooled.result, unit)] if len(dots) > 1 else [])


def other_way(name: str, value: float, u: float, unit: Unit) -> Dot:
    """A row for another way to the same quantity, given in SI."""
    return Dot(name, OTHER, value / unit.in_si, NORMAL_COVERAGE * u / unit.in_si)


def balance_dot(name: str, mean: ClassMean, unit: Unit) -> Dot:
    """A row for another way that the class pooled, such as balancing."""
    return _dot(name, OTHER, mean.pooled.result, unit)


def _dot(
    name: str,
    kind: str,
    result: Linear,
    unit: Unit,
    singles: tuple[tuple[float, str, bool], ...] = (),
) -> Dot:
    value, half_width = float(result.value) / unit.in_si, float(result.half_width) / unit.in_si
    return Dot(name, kind, value, half_width, singles)


def dot_plot(dots: Sequence[Dot], title: str) -> Layers:
    """The rows from top to bottom; single readings below each dot, odd ones crossed."""
    names = numbered([_short(dot.name) for dot in dots])
    layers = [
        *_pooled_line(dots, title),
        *_intervals(dots, names, title),
        *_singles(dots, names, title),
    ]
    chart = layered(layers, ROW_PX * len(dots) + AXIS_PX).properties(
        padding={"top": 12, "right": 8}
    )
    own: Layers = chart.resolve_scale(color="independent", shape="independent")
    styled: Layers = own.configure(font=FONT, background=PAPER).configure_view(stroke=None)
    return styled


def _intervals(dots: Sequence[Dot], names: Sequence[str], title: str) -> list[alt.Chart]:
    rows = [
        {
            "row": name, "kind": dot.kind, "value": dot.value, "words": dot.words,
            "low": dot.value - dot.half_width, "high": dot.value + dot.half_width,
        }
        for name, dot in zip(names, dots, strict=True)
    ]  # fmt: skip
    base, y = alt.Chart(data_of(rows)), _y()
    colour = alt.Color("kind:N", scale=alt.Scale(domain=KINDS, range=COLOURS), legend=None)
    shape = alt.Shape("kind:N", scale=alt.Scale(domain=KINDS, range=SHAPES), legend=None)
    tooltip = [alt.Tooltip("row:N", title="row"), alt.Tooltip("words:N", title=title)]
    x = _x("value", title)
    words = base.encode(x, y, text="words:N")
    return [
        base.mark_rule(strokeWidth=5).encode(_x("low", title), alt.X2("high:Q"), y, colour),
        base.mark_point(filled=True, size=330, opacity=1).encode(
            x, y, colour, shape, tooltip=tooltip
        ),
        words.mark_text(**_TYPE, stroke=PAPER, strokeWidth=5),
        words.mark_text(**_TYPE, color=INK),
    ]


_TYPE: dict[str, Any] = {"dy": -24, "fontSize": TYPE_PX, "fontWeight": "bold"}


def _y() -> alt.Y:
    axis = alt.Axis(
        labelFontSize=TYPE_PX, labelColor=INK, labelLimit=190, labelPadding=10,
        labelExpr="split(datum.label, '\\n')", ticks=False, domain=False,
    )  # fmt: skip
    return alt.Y("row:N", title=None, axis=axis, sort=None)


def _x(field: str, title: str) -> alt.X:
    axis = alt.Axis(
        labelFontSize=SMALL_PX, titleFontSize=TYPE_PX, titlePadding=12, tickCount=5,
        labelColor=INK, titleColor=INK, gridColor=RULE, labelOverlap="greedy", labelSeparation=8,
    )  # fmt: skip
    return alt.X(f"{field}:Q", title=title, scale=alt.Scale(zero=False, nice=True), axis=axis)


def _short(name: str) -> str:
    """What is in brackets on a line of its own, and no line too long."""
    lines = name.replace(" (", "\n(", 1).splitlines()
    return "\n".join(
        line if len(line) <= MOST_LETTERS else line[: MOST_LETTERS - 1] + "…" for line in lines
    )


def _pooled_line(dots: Sequence[Dot], title: str) -> list[alt.Chart]:
    """A line through the pooled value, to see at a glance which groups agree."""
    pooled = [{"value": dot.value} for dot in dots if dot.kind == POOLED]
    rule = alt.Chart(data_of(pooled)).mark_rule(color=PLUM, strokeDash=[3, 4], strokeWidth=2)
    return [rule.encode(_x("value", title))] if pooled else []


def _singles(dots: Sequence[Dot], names: Sequence[str], title: str) -> list[alt.Chart]:
    rows = [
        {"row": row, "value": value, "name": name, "what": ODD if odd else SINGLE}
        for row, dot in zip(names, dots, strict=True)
        for value, name, odd in dot.singles
    ]
    points = alt.Chart(data_of(rows)).mark_point(
        yOffset=22, size=170, strokeWidth=2.5, opacity=1, filled=False
    )
    domain = [SINGLE, ODD]
    shape = alt.Scale(domain=domain, range=[TICK, CROSS])
    colour = alt.Scale(domain=domain, range=[QUIET, INK])
    tooltip = [
        alt.Tooltip("name:N", title="clip"), alt.Tooltip("value:Q", title=title, format=".4g"),
        alt.Tooltip("what:N", title="it"),
    ]  # fmt: skip
    encoded = points.encode(
        _x("value", title), _y(), tooltip=tooltip,
        shape=alt.Shape("what:N", scale=shape, legend=None),
        color=alt.Color("what:N", scale=colour, legend=None),
    )  # fmt: skip
    return [encoded] if rows else []
