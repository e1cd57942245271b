"""Charts: what they plot, and that colour is never alone."""

from dataclasses import replace
from math import degrees
from typing import Any

import altair as alt
import numpy as np
import pytest
from uncertainties import ufloat

from solver.quantities import MILLIMETRE
from tests.ui.stand_in import ONSET_S, series, toppling
from ui.answer import answer
from ui.charts import LEAN, MOST_POINTS, TILT, budget_chart, motion_chart


def rows(chart: alt.LayerChart) -> list[dict[str, Any]]:
    """All that is plotted."""
    return [row for data in chart.to_dict()["datasets"].values() for row in data]


def test_tilt_and_lean_are_plotted_with_their_bands() -> None:
    motion = series()
    points = [row for row in rows(motion_chart(motion, None, "")) if "what" in row]
    tilts = [point for point in points if point["what"] == TILT]
    leans = [point for point in points if point["what"] == LEAN]
    assert max(point["angle"] for point in tilts) == pytest.approx(degrees(motion.tilt_rad[-1]))
    assert len(leans) == len(tilts) - 1  # the last frame's lean is not known
    assert all(p["high"] - p["angle"] == pytest.approx(1.96 * 0.05) for p in points)


def test_lines_differ_by_dash_as_well_as_colour() -> None:
    line = motion_chart(series(), ONSET_S, "brink").to_dict()["layer"][1]
    assert line["encoding"]["color"]["scale"]["range"] == ["#0B7A75", "#D98200"]
    assert line["encoding"]["strokeDash"]["scale"]["range"] == [[1, 0], [7, 4]]


def test_the_brink_is_marked_and_a_moved_one_beside_it() -> None:
    plain = motion_chart(series(), ONSET_S, "brink").to_dict()
    moved = motion_chart(series(), ONSET_S, "brink", 7.5).to_dict()
    assert len(moved["layer"]) == len(plain["layer"]) + 2
    assert len(motion_chart(series(), None, "").to_dict()["layer"]) == len(plain["layer"]) - 2
    names = {
        row["name"] for row in rows(motion_chart(series(), ONSET_S, "brink", 7.5)) if "name" in row
    }
    assert names == {"brink 8.00 s", "moved to 7.50 s"}


def test_a_long_clip_stays_light() -> None:
    short = series()
    long = replace(short, **{name: np.tile(column, 40) for name, column in vars(short).items()})
    assert len(long.time_s) > 10 * MOST_POINTS
    assert len(rows(motion_chart(long, None, ""))) <= 2 * MOST_POINTS


def test_the_budget_has_a_bar_a_source_the_largest_first() -> None:
    budget = answer(toppling(), ufloat(0.03, 0.0001, "base radius")).budget
    bars = rows(budget_chart(budget, MILLIMETRE))
    assert [bar["u"] for bar in bars] == sorted((bar["u"] for bar in bars), reverse=True)
    assert sum(bar["u"] ** 2 for bar in bars) ** 0.5 == pytest.approx(0.936, abs=0.0005)
    assert {bar["source"] for bar in bars} == {"base radius", "start tilt", "brink"}
