"""What the bench's charts share, and the chart of methods side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import altair as alt
from uncertainties import nominal_value, std_dev

from solver.quantities import MILLIMETRE, Quantity
from solver.working import NORMAL_COVERAGE
from ui.theme import AMBER, INK, TEAL

HEIGHT_PX = 320
Layers: TypeAlias = alt.LayerChart | alt.FacetChart
Row: TypeAlias = dict[str, float | str]


def data_of(rows: Sequence[Mapping[str, object]]) -> alt.Data:
    """Rows for a chart."""
    return alt.Data(values=rows)  # type: ignore[no-untyped-call]


def layered(layers: Sequence[alt.Chart | Layers], height: float) -> Layers:
    """Layers on one pair of axes, so many px high."""
    chart: Layers = alt.layer(*layers).properties(height=height)
    return chart


def half_width(value: Quantity, in_si: float) -> float:
    """Of the 95 % interval, in a unit that is so much in SI."""
    return float(NORMAL_COVERAGE * std_dev(value) / in_si)


@dataclass(frozen=True)
class Method:
    """One way to a body's centre height."""

    name: str
    height_m: Quantity
    u95_m: float


def methods_chart(methods: Sequence[Method], readings_m: Sequence[float] = ()) -> Layers:
    """Centre heights with their 95 % intervals side by side; single readings as ticks."""
    rows = [_method_row(method) for method in methods]
    y = alt.Y("name:N", sort=None, title=None, axis=alt.Axis(labelLimit=180))
    x = alt.X("value:Q", title="centre height above the base / mm").scale(zero=False)
    base = alt.Chart(data_of(rows))
    layers = [
        base.mark_rule(color=TEAL, strokeWidth=3).encode(
            y, alt.X("low:Q", scale=alt.Scale(zero=False)), alt.X2("high:Q")
        ),
        base.mark_point(color=TEAL, filled=True, size=140, opacity=1).encode(y, x),
        base.mark_text(dy=-16, fontSize=13, color=INK).encode(y, x, text="words:N"),
    ]
    if readings_m:
        ticks = [{"name": methods[0].name, "value": m / MILLIMETRE.in_si} for m in readings_m]
        layers.append(
            alt.Chart(data_of(ticks))
            .mark_tick(color=AMBER, thickness=2.5, size=22, opacity=0.8, yOffset=14)
            .encode(y, x, tooltip=alt.Tooltip("value:Q", title="one reading / mm", format=".1f"))
        )
    return layered(layers, 80 * len(rows) + 30)


def _method_row(method: Method) -> Row:
    value = float(nominal_value(method.height_m)) / MILLIMETRE.in_si
    half = method.u95_m / MILLIMETRE.in_si
    words = f"{value:.1f} ± {half:.1f} mm" if half else f"{value:.1f} mm"
    return {
        "name": method.name, "value": value, "low": value - half, "high": value + half,
        "words": words,
    }  # fmt: skip
