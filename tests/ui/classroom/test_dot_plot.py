"""Dots with intervals: what is drawn for whom, and never by colour alone."""

from __future__ import annotations

import pytest

from solver.quantities import MILLIMETRE
from tests.ui.classroom.views import topples, view_of
from ui.classroom.dot_plot import (
    ALL,
    COLOURS,
    CROSS,
    GROUP,
    OTHER,
    POOLED,
    SHAPES,
    TYPE_PX,
    Dot,
    balance_dot,
    dot_plot,
    dots_of,
    other_way,
)
from ui.classroom.results import ClassMean, body_results


def toppling(*heights_mm: tuple[int, float]) -> ClassMean:
    (tin,) = body_results(view_of([topples(group, mm) for group, mm in heights_mm]))
    assert tin.toppling is not None
    return tin.toppling


def test_a_row_for_each_group_and_one_for_all() -> None:
    dots = dots_of(toppling((1, 83), (1, 85), (2, 84)), MILLIMETRE)
    assert [(dot.name, dot.kind) for dot in dots] == [
        ("Table 1", GROUP), ("Table 2", GROUP), (ALL, POOLED),
    ]  # fmt: skip
    assert dots[0].value == pytest.approx(84, abs=0.01)
    assert [single[0] for single in dots[0].singles] == pytest.approx([83, 85])
    assert dots[2].singles == () and dots[0].half_width > 0


def test_one_group_alone_has_no_row_for_all() -> None:
    (dot,) = dots_of(toppling((1, 84)), MILLIMETRE)
    assert dot.kind == GROUP


def test_a_reading_that_stands_out_is_crossed_and_named() -> None:
    rows = [(i % 3 + 1, 84 + 0.2 * (i % 4)) for i in range(11)]
    dots = dots_of(toppling(*rows, (3, 99)), MILLIMETRE)
    odd = [single for dot in dots for single in dot.singles if single[2]]
    assert [(round(value), name) for value, name, _ in odd] == [(99, "clip_12.mp4")]
    assert CROSS in str(dot_plot(dots, "centre height / mm").to_dict())


def test_another_way_has_a_row_of_its_own_kind() -> None:
    dot = other_way("predicted", 0.0862, 0.0006, MILLIMETRE)
    assert (dot.kind, dot.value) == (OTHER, pytest.approx(86.2))
    assert dot.words == "86.2 ± 1.2"
    assert other_way("predicted", 0.0862, 0.0, MILLIMETRE).words == "86.2"
    assert balance_dot("by balancing", toppling((1, 84)), MILLIMETRE).kind == OTHER


def test_the_interval_is_drawn_to_its_ends_and_type_is_large() -> None:
    chart = dot_plot([Dot("Table 1", GROUP, 84.0, 2.0)], "centre height / mm").to_dict()
    text = str(chart)
    assert "'low': 82.0" in text and "'high': 86.0" in text and "84.0 ± 2.0" in text
    assert "centre height / mm" in text and TYPE_PX >= 20


def test_kinds_differ_by_shape_as_well_as_by_colour() -> None:
    assert len(set(SHAPES)) == len(set(COLOURS)) == 3


def test_two_rows_of_one_name_stay_apart() -> None:
    dots = [Dot("all groups", GROUP, 1.0, 0.1), Dot("all groups", POOLED, 2.0, 0.1)]
    text = str(dot_plot(dots, "x").to_dict())
    assert "all groups (2)" in text


def test_a_long_name_leaves_room_for_the_dots() -> None:
    text = str(
        dot_plot([Dot("a very long name of a group indeed", GROUP, 1.0, 0.1)], "x").to_dict()
    )
    assert "a very long name …" in text


def test_what_is_in_brackets_has_a_line_of_its_own() -> None:
    chart = dot_plot([other_way("predicted (its parts)", 0.0862, 0.0006, MILLIMETRE)], "x")
    assert "predicted\\n(its parts)" in str(chart.to_dict())
