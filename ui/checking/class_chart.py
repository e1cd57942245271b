"""How far each reading lies from its clip, group by group, for the back of the room."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from solver.pooling import Pooled
from solver.quantities import DEGREE
from ui.bench.charts import Layers, data_of, layered
from ui.checking.class_readings import CheckedReading, groups_of
from ui.theme import AMBER, INK, PLUM, QUIET, RULE, TEAL

ROW_PX, TYPE_PX, SMALL_PX = 96, 20, 16
LANES, ABREAST_DEG = 3, 0.4
"""Marks closer than that stand in lanes, one below the other."""
MEAN_LANE = LANES
LEAST_REACH_DEG = 3.0
AGREES, DIFFERS, FAR, LATER = KINDS = (
    "agrees with the clip", "differs", "off the chart: as numbered", "tried again",
)  # fmt: skip
COLOURS, SHAPES = (TEAL, AMBER, PLUM, QUIET), ("circle", "triangle-up", "square", "cross")
TITLE = "reading − clip / °"
ROOM = 1.25
SIGNED = "datum.value == 0 ? '0' : format(datum.value, '+.1~f')"


def readings_chart(readings: Sequence[CheckedReading], bias: Pooled | None) -> Layers:
    """A mark for each reading; the bar under them is the group's mean with its interval.

    Readings tens of degrees off stand at the edge, with the number that was read.
    """
    near = [abs(each.off_deg) for each in readings if not each.gross]
    reach = max([LEAST_REACH_DEG, *near]) * ROOM
    y = alt.Y("group:N", title=None, sort=groups_of(readings), axis=_plain_axis())
    zero = alt.Chart(data_of([{"off": 0.0}])).mark_rule(color=INK, strokeWidth=2.5)
    layers = [
        zero.encode(_x("off", reach)),
        *_means(bias, y, reach),
        *_marks(readings, y, reach),
    ]
    return layered(layers, ROW_PX * len(groups_of(readings)) + 90)


def _marks(readings: Sequence[CheckedReading], y: alt.Y, reach: float) -> list[alt.Chart]:
    lanes = _lanes([(each.group, _shown(each, reach)) for each in readings])
    rows = [_row(each, lane, reach) for each, lane in zip(readings, lanes, strict=True)]
    base = alt.Chart(data_of(rows))
    points = base.mark_point(filled=True, size=260, opacity=0.9).encode(
        _x("off", reach), y, _lane(),
        alt.Color("kind:N", scale=alt.Scale(domain=KINDS, range=COLOURS), legend=_legend()),
        alt.Shape("kind:N", scale=alt.Scale(domain=KINDS, range=SHAPES), legend=_legend()),
        tooltip=[
            alt.Tooltip("by:N", title="label"), alt.Tooltip("read:N", title="read"),
            alt.Tooltip("gap:Q", title=TITLE, format="+.1f"), alt.Tooltip("slip:N", title="slip"),
        ],
    )  # fmt: skip
    words = base.transform_filter(f"datum.kind == '{FAR}'").mark_text(
        fontSize=SMALL_PX, fontWeight="bold", color=INK, align="right", dx=-14
    )
    return [points, words.encode(_x("off", reach), y, _lane(), text="read:N")]


def _shown(each: CheckedReading, reach: float) -> float:
    """Where its mark stands: at the edge, where it lies beyond."""
    return max(-reach, min(reach, each.off_deg))


def _lanes(marks: Sequence[tuple[str, float]]) -> list[int]:
    """The lane of each mark, given by group and place: the first with none close by."""
    taken: dict[tuple[str, int], list[float]] = {}
    lanes = []
    for group, place in marks:
        near = [taken.get((group, lane), []) for lane in range(LANES)]
        close = [any(abs(other - place) <= ABREAST_DEG for other in others) for others in near]
        lanes.append(close.index(False) if False in close else LANES - 1)
        taken.setdefault((group, lanes[-1]), []).append(place)
    return lanes


def _lane() -> alt.YOffset:
    return alt.YOffset("lane:O", scale=alt.Scale(domain=[*range(LANES), MEAN_LANE]))


def _row(each: CheckedReading, lane: int, reach: float) -> dict[str, object]:
    kind = AGREES if each.check.angle.agreement.agrees else DIFFERS
    if not each.first:
        kind = LATER
    if each.gross:
        kind = FAR
    return {
        "group": each.group,
        "lane": lane,
        "by": each.reading.by or "no label",
        "kind": kind,
        "off": _shown(each, reach),
        "gap": each.off_deg,
        "read": f"{each.reading.protractor_rad / DEGREE.in_si:.4g}°",
        "slip": ", ".join(each.check.slips) or "none",
    }


def _means(bias: Pooled | None, y: alt.Y, reach: float) -> list[alt.Chart]:
    rows = [
        {
            "group": group.group,
            "lane": MEAN_LANE,
            "mean": group.result.value / DEGREE.in_si,
            "low": max(-reach, group.result.interval[0] / DEGREE.in_si),
            "high": min(reach, group.result.interval[1] / DEGREE.in_si),
        }
        for group in (bias.groups if bias else ())
    ]
    base = alt.Chart(data_of(rows))
    return [
        base.mark_rule(color=INK, strokeWidth=4).encode(
            _x("low", reach), alt.X2("high:Q"), y, _lane()
        ),
        base.mark_tick(color=INK, thickness=5, size=22).encode(_x("mean", reach), y, _lane()),
    ]


def _x(field: str, reach: float) -> alt.X:
    axis = alt.Axis(
        labelFontSize=SMALL_PX, titleFontSize=TYPE_PX, titlePadding=12, tickCount=7,
        labelColor=INK, titleColor=INK, gridColor=RULE, labelExpr=SIGNED,
    )  # fmt: skip
    return alt.X(f"{field}:Q", title=TITLE, scale=alt.Scale(domain=[-reach, reach]), axis=axis)


def _plain_axis() -> alt.Axis:
    return alt.Axis(
        labelFontSize=TYPE_PX, labelColor=INK, labelLimit=240, labelPadding=10, ticks=False,
        domain=False,
    )  # fmt: skip


def _legend() -> alt.Legend:
    return alt.Legend(
        orient="bottom", title=None, labelFontSize=SMALL_PX, labelColor=INK, symbolSize=200,
        columns=1, labelLimit=320,
    )  # fmt: skip
