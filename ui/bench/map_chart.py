"""The chart of slide or topple: height against friction."""

from __future__ import annotations

import altair as alt
from uncertainties import nominal_value

from ui.bench.charts import HEIGHT_PX, Layers, Row, data_of, half_width, layered
from ui.bench.drawing import spread
from ui.bench.push_map import Map
from ui.theme import INK, PLUM, QUIET

LABEL_APART = 0.075
"""Between two names, of the height of the axis."""
SLIDE, TOPPLE = "#DCEDEB", "#F7E6C8"


def map_chart(drawn: Map, title: str) -> Layers:
    """Height against friction: where it slides, where it topples, where nobody can tell."""
    rows: list[Row] = [
        {"mu": mu, "edge": edge, "low": low, "high": high, "top": drawn.top, "floor": 0.0}
        for mu, edge, low, high in drawn.rows()
    ]
    data = data_of(rows)
    x = alt.X("mu:Q", title="coefficient of friction μ", axis=alt.Axis(tickCount=8)).scale(
        domain=[drawn.frictions[0], drawn.frictions[-1]], nice=False
    )
    y_scale = alt.Scale(domain=[0, drawn.top], nice=False)
    layers = [
        alt.Chart(data).mark_area(color=SLIDE).encode(
            x, alt.Y("floor:Q", title=title, scale=y_scale), alt.Y2("low:Q")
        ),
        alt.Chart(data).mark_area(color=TOPPLE).encode(
            x, alt.Y("high:Q", scale=y_scale), alt.Y2("top:Q")
        ),
        alt.Chart(data).mark_area(color=QUIET, opacity=0.28).encode(
            x, alt.Y("low:Q", scale=y_scale), alt.Y2("high:Q")
        ),
        alt.Chart(data).mark_line(color=INK, strokeWidth=2, clip=True).encode(
            x, alt.Y("edge:Q", scale=y_scale)
        ),
        _region_names(drawn),
    ]  # fmt: skip
    if drawn.marks:
        layers += _marks(drawn)
    return layered(layers, HEIGHT_PX + 40)


def _region_names(drawn: Map) -> alt.Chart:
    first, last = drawn.frictions[0], drawn.frictions[-1]
    names = [
        {"mu": first + 0.2 * (last - first), "height": 0.1 * drawn.top, "words": "slides first"},
        {"mu": first + 0.8 * (last - first), "height": 0.93 * drawn.top, "words": "topples first"},
    ]
    return (
        alt.Chart(data_of(names))
        .mark_text(fontSize=15, fontWeight="bold", color=INK)
        .encode(alt.X("mu:Q"), alt.Y("height:Q"), text="words:N")
    )


def _marks(drawn: Map) -> list[alt.Chart]:
    base = alt.Chart(data_of(_mark_rows(drawn)))
    rule = base.mark_rule(color=PLUM, strokeWidth=1.6, clip=True)
    x, y = alt.X("mu:Q"), alt.Y("height:Q")
    shape = (
        alt.Shape("verdict:N")
        .scale(
            domain=["slides", "topples", "too close to call"],
            range=["square", "triangle-up", "diamond"],
        )
        .legend(orient="bottom", title=None, symbolFillColor=PLUM, symbolStrokeWidth=0)
    )
    return [
        rule.encode(alt.X("left:Q"), alt.X2("right:Q"), y),
        rule.encode(x, alt.Y("low:Q"), alt.Y2("high:Q")),
        base.mark_point(color=PLUM, filled=True, opacity=1).encode(
            x, y, shape=shape, size=alt.Size("size:Q", scale=None),
            tooltip=[alt.Tooltip("name:N", title="body"), alt.Tooltip("verdict:N", title="first")],
        ),
        base.mark_text(color=PLUM, align="left", dx=7, fontSize=13, fontWeight="bold")
        .encode(alt.X("right:Q"), alt.Y("label:Q"), text="name:N"),
    ]  # fmt: skip


def _mark_rows(drawn: Map) -> list[Row]:
    """The marks with their intervals, and their names where they do not cover each other."""
    heights = [float(nominal_value(mark.height)) for mark in drawn.marks]
    labels = spread(heights, LABEL_APART * drawn.top)
    rows: list[Row] = []
    for mark, height, label in zip(drawn.marks, heights, labels, strict=True):
        mu, across = float(nominal_value(mark.friction)), half_width(mark.friction, 1.0)
        up = half_width(mark.height, 1.0)
        rows.append(
            {
                "name": mark.name, "mu": mu, "height": height, "verdict": mark.verdict,
                "left": mu - across, "right": min(mu + across, drawn.frictions[-1]),
                "low": height - up, "high": height + up, "label": label,
                "size": 190 if mark.own else 90,
            }
        )  # fmt: skip
    return rows
