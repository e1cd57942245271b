"""The chart of brink angle against the lump's place, with what can be reached."""

from __future__ import annotations

from dataclasses import dataclass

import altair as alt
import numpy as np
from uncertainties import nominal_value

from solver.quantities import DEGREE, MILLIMETRE, Quantity
from solver.rig import Lump, Reach, Rig, Span
from ui.bench.charts import HEIGHT_PX, Layers, Row, data_of, half_width, layered
from ui.theme import INK, PLUM, QUIET, SHADE, TEAL

PLACES = 41


def reach_chart(
    rig: Rig, lump: Lump, place_m: Quantity | None, target_rad: float | None = None
) -> Layers:
    """Brink angle against the lump's place; what is out of reach is shaded.

    The band is the 95 % interval. A place is marked where it is on the rod.
    """
    reach = rig.reach(lump)
    low, high = reach.positions_m
    rows = [_row(rig, lump, place) for place in np.linspace(low, high, PLACES).tolist()]
    axes = _axes(reach, rows)
    curve = alt.Chart(data_of(rows))
    layers = [
        *_out_of_reach(reach, axes),
        curve.mark_area(opacity=0.25, color=TEAL).encode(
            axes.x("place"), axes.y("low"), alt.Y2("high:Q")
        ),
        curve.mark_line(color=TEAL, strokeWidth=2.5).encode(
            axes.x("place"),
            axes.y("angle"),
            tooltip=[
                alt.Tooltip("place:Q", title="place / mm", format=".1f"),
                alt.Tooltip("angle:Q", title="brink / °", format=".2f"),
            ],
        ),
    ]
    if target_rad is not None:
        layers += _target(target_rad / DEGREE.in_si, axes)
    if place_m is not None and low <= nominal_value(place_m) <= high:
        layers += _here(_row(rig, lump, place_m), axes)
    return layered(layers, HEIGHT_PX)


def _row(rig: Rig, lump: Lump, place_m: Quantity) -> Row:
    brink = rig.laden(lump, place_m).brink_rad(rig.side)
    angle, half = float(nominal_value(brink)) / DEGREE.in_si, half_width(brink, DEGREE.in_si)
    place = float(nominal_value(place_m)) / MILLIMETRE.in_si
    return {"place": place, "angle": angle, "low": angle - half, "high": angle + half}


@dataclass(frozen=True)
class Axes:
    """The two axes, the same for every layer."""

    places: Span
    angles: Span

    def x(self, field: str) -> alt.X:
        """A place of the lump."""
        scale = alt.Scale(domain=list(self.places), nice=False)
        return alt.X(f"{field}:Q", title="place of the lump above the base / mm", scale=scale)

    def y(self, field: str) -> alt.Y:
        """A brink angle."""
        scale = alt.Scale(domain=list(self.angles), nice=False)
        return alt.Y(f"{field}:Q", title="brink angle / °", scale=scale)


def _axes(reach: Reach, rows: list[Row]) -> Axes:
    low, high = _wider(reach.positions_m, MILLIMETRE.in_si, 0.12)
    ends = [float(row[end]) * DEGREE.in_si for row in rows for end in ("low", "high")]
    floor, ceiling = _wider((min(ends), max(ends)), DEGREE.in_si, 0.18)
    return Axes((max(0.0, low), high), (max(0.0, floor), ceiling))


def _wider(span: Span, in_si: float, by: float) -> Span:
    low, high = (end / in_si for end in span)
    margin = by * (high - low) + 0.2
    return low - margin, high + margin


def _out_of_reach(reach: Reach, axes: Axes) -> list[alt.Chart]:
    low, high = (end / MILLIMETRE.in_si for end in reach.positions_m)
    slight, steep = (end / DEGREE.in_si for end in reach.angles_rad)
    box = [{"from": low, "to": high, "slight": slight, "steep": steep}]
    base = alt.Chart(data_of(box))
    end = base.mark_rule(color=QUIET, strokeDash=[3, 3])
    above = base.mark_text(color=QUIET, align="right", dx=-6, dy=-9, fontSize=13)
    below = base.mark_text(color=QUIET, align="left", dx=6, dy=11, fontSize=13)
    return [
        base.mark_rect(color=SHADE).encode(),
        base.mark_rect(color="white").encode(
            axes.x("from"), alt.X2("to:Q"), axes.y("slight"), alt.Y2("steep:Q")
        ),
        *(end.encode(axes.y(edge)) for edge in ("slight", "steep")),
        *(end.encode(axes.x(edge)) for edge in ("from", "to")),
        above.encode(axes.x("to"), axes.y("steep"), text=alt.value("the steepest it can be")),
        below.encode(axes.x("from"), axes.y("slight"), text=alt.value("the slightest it can be")),
    ]


def _here(row: Row, axes: Axes) -> list[alt.Chart]:
    words = f"here: {row['angle']:.1f}°"
    base = alt.Chart(data_of([{**row, "words": words}]))
    return [
        base.mark_rule(color=PLUM, strokeWidth=3).encode(
            axes.x("place"), axes.y("low"), alt.Y2("high:Q")
        ),
        base.mark_point(color=PLUM, filled=True, size=120, opacity=1).encode(
            axes.x("place"), axes.y("angle")
        ),
        base.mark_text(
            color=PLUM, dx=10, dy=-12, align="left", fontSize=14, fontWeight="bold"
        ).encode(axes.x("place"), axes.y("angle"), text="words:N"),
    ]


def _target(angle: float, axes: Axes) -> list[alt.Chart]:
    base = alt.Chart(data_of([{"angle": angle, "words": f"asked for: {angle:.1f}°"}]))
    return [
        base.mark_rule(color=INK, strokeDash=[8, 4], strokeWidth=1.5).encode(axes.y("angle")),
        base.mark_text(color=INK, align="left", dx=6, dy=-8, fontSize=13).encode(
            x=alt.value(0), y=axes.y("angle"), text="words:N"
        ),
    ]
