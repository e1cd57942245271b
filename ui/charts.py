"""Charts of a reading; never by colour alone."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees, isfinite
from typing import Any

import altair as alt
import numpy as np

from solver.propagation import Contribution
from solver.quantities import Unit, decimal
from ui.theme import AMBER, INK, PLUM, TEAL
from vision.reading import MotionSeries

MOST_POINTS = 700
"""Of each line: more cannot be told apart on a screen."""
COVERAGE = 1.96
HEIGHT_PX = 340
BAR_PX, ROW_PX = 34, 18
LEAST_SHARE = 0.01

TILT, LEAN = KINDS = "tilt of the board", "lean of the body"
Row = dict[str, Any]


def motion_chart(
    series: MotionSeries, onset_s: float | None, onset_name: str, moved_s: float | None = None
) -> alt.LayerChart:
    """Tilt and lean against time, with their 95 % bands and the brink marked."""
    layers = _motion_layers(_data(_points(series)))
    if onset_s is not None:
        layers += _moment(series, onset_s, onset_name, PLUM, [2, 3])
    if moved_s is not None and moved_s != onset_s:
        layers += _moment(series, moved_s, "moved to", INK, [8, 3], row=1)
    return alt.LayerChart(layer=layers).properties(height=HEIGHT_PX, padding={"top": 2 * ROW_PX})


def _motion_layers(points: alt.InlineData) -> list[alt.Chart]:
    time, colours = alt.X("time:Q", title="time / s"), alt.Scale(domain=KINDS, range=[TEAL, AMBER])
    band = alt.Chart(points).mark_area(opacity=0.18)
    line = alt.Chart(points).mark_line(strokeWidth=2.5)
    dashes = alt.Scale(domain=KINDS, range=[[1, 0], [7, 4]])
    return [
        band.encode(
            time,
            alt.Y("low:Q", title="angle / °"),
            alt.Y2("high:Q"),
            alt.Color("what:N", scale=colours, legend=None),
        ),
        line.encode(
            time,
            alt.Y("angle:Q"),
            alt.Color("what:N", scale=colours, legend=None),
            alt.StrokeDash("what:N", scale=dashes, legend=None),
            tooltip=[
                alt.Tooltip("what:N", title="line"),
                alt.Tooltip("time:Q", title="time / s", format=".3f"),
                alt.Tooltip("angle:Q", title="angle / °", format=".2f"),
            ],
        ),
    ]


def budget_chart(budget: Sequence[Contribution], unit: Unit) -> alt.LayerChart:
    """What the uncertainty is made of, as bars, the largest first."""
    shown = [(part, part.u / unit.in_si) for part in budget]
    rows = [
        {"source": part.name, "u": u, "text": f"{decimal(u, 2)} · {_percent(part.share)}"}
        for part, u in shown
    ]
    room_for_text = alt.Scale(domain=[0, 1.5 * max(u for _, u in shown)])
    base = alt.Chart(_data(rows)).encode(
        alt.Y("source:N", sort=None, title=None, axis=alt.Axis(labelLimit=200)),
        alt.X("u:Q", title=unit.symbol or None, scale=room_for_text, axis=alt.Axis(tickCount=4)),
    )
    bars = base.mark_bar(color=TEAL, height=16)
    texts = base.mark_text(align="left", dx=6, color=INK, fontSize=13).encode(text="text:N")
    return alt.LayerChart(layer=[bars, texts]).properties(height=BAR_PX * len(rows) + 40)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= LEAST_SHARE else "< 1 %"


def _data(rows: list[Row]) -> alt.InlineData:
    return alt.InlineData(values=rows)


def _moment(
    series: MotionSeries, time_s: float, name: str, colour: str, dash: list[int], row: int = 0
) -> list[alt.Chart]:
    data = _data([{"time": time_s, "name": f"{name} {time_s:.2f} s"}])
    late = time_s > (series.time_s[0] + series.time_s[-1]) / 2
    rule = alt.Chart(data).mark_rule(color=colour, strokeDash=dash, strokeWidth=2.5)
    text = alt.Chart(data).mark_text(
        color=colour, align="right" if late else "left", fontSize=13, fontWeight="bold"
    )
    return [
        rule.encode(alt.X("time:Q")),
        text.encode(alt.X("time:Q"), y=alt.value(-10 - ROW_PX * row), text="name:N"),
    ]


def _points(series: MotionSeries) -> list[Row]:
    rows = np.unique(np.linspace(0, len(series.time_s) - 1, MOST_POINTS).astype(int))
    points: list[Row] = []
    for what, angle, u in (
        (TILT, series.tilt_rad, series.tilt_u_rad),
        (LEAN, series.lean_rad, series.lean_u_rad),
    ):
        for row in rows:
            value, half = degrees(angle[row]), COVERAGE * degrees(u[row])
            if isfinite(value) and isfinite(half):
                points.append(
                    {
                        "what": what,
                        "time": float(series.time_s[row]),
                        "angle": value,
                        "low": value - half,
                        "high": value + half,
                    }
                )
    return points
