"""The table of clips: shown, typed into, and what is refused."""

from __future__ import annotations

from datetime import date
from math import nan, radians
from typing import Any

import pytest

from solver.errors import InputError
from tests.ui.classroom.views import topples, view_of
from tests.ui.stand_in import toppling
from ui.classroom.arrivals import take_in
from ui.classroom.assignments import (
    BODY,
    COLUMNS,
    GROUP,
    REPEAT,
    START,
    SURFACE,
    doubts,
    edited,
    give,
    lines_of,
)
from ui.record.record import Record
from ui.record.rows import Clip


@pytest.fixture
def clip(record: Record, still_clips: tuple[bytes, ...]) -> Clip:
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    return take_in(record, lesson.id, [("table4_tea_2.mp4", still_clips[0])]).added[0]


def cells(record: Record, clip: Clip) -> dict[str, Any]:
    (line,) = lines_of(record.lesson_view(clip.lesson_id))
    return dict(zip(COLUMNS, line.cells, strict=True))


def test_each_cell_is_given_by_its_heading(record: Record, clip: Clip) -> None:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    record.add_surface("Felt")
    typed = {GROUP: "table 5", BODY: "Leaf tea tin", SURFACE: "Felt", REPEAT: 3, START: 1.5}
    changed = give(record, clip, typed)
    assert changed.start_tilt_rad == pytest.approx(radians(1.5))
    assert cells(record, clip) == {"clip": clip.name, **typed, GROUP: "Table 5"}
    give(record, changed, {GROUP: "", BODY: None, SURFACE: None, REPEAT: nan})
    assert cells(record, clip) | {START: 0} == {
        "clip": clip.name, GROUP: None, BODY: None, SURFACE: None, REPEAT: None, START: 0,
    }  # fmt: skip


def test_a_cell_leaves_the_others_alone(record: Record, clip: Clip) -> None:
    give(record, clip, {REPEAT: 7})
    assert cells(record, clip)[GROUP] == "Table 4"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({BODY: "Jar"}, "There is no Jar in the record"),
        ({SURFACE: "Ice"}, "There is no Ice in the record"),
        ({REPEAT: 1.5}, "The repeat is 1.5; give a whole number"),
        ({REPEAT: 0}, "The repeat is 0"),
        ({START: 80.0}, "The start tilt is 80°"),
    ],
)
def test_what_is_not_possible_is_refused_and_changes_nothing(
    record: Record, clip: Clip, typed: dict[str, Any], words: str
) -> None:
    before = cells(record, clip)
    with pytest.raises(InputError, match=words):
        give(record, clip, typed)
    assert cells(record, clip) == before


def test_another_tilt_at_the_start_takes_the_reading_away(record: Record, clip: Clip) -> None:
    record.save_reading(clip.id, toppling())
    record.save_reading(clip.id, toppling())
    clip = give(record, clip, {REPEAT: 1})
    assert record.reading_of(clip.id) is not None
    give(record, clip, {START: 2.0})
    assert record.reading_of(clip.id) is None


def test_the_table_as_it_stands_on_the_page_is_compared_by_what_cells_mean() -> None:
    lines = lines_of(view_of([topples(1, 84), topples(None, 84)]))
    assert edited(lines, {}) == lines
    assert edited(lines, {1: {GROUP: "  ", REPEAT: nan}}) == lines
    changed = edited(lines, {1: {GROUP: "Table 2"}})
    assert changed[0] == lines[0] and changed[1].cells[1] == "Table 2"


def test_the_same_repeat_twice_is_doubted(record: Record, still_clips: tuple[bytes, ...]) -> None:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    names = ("table4_tea_2.mp4", "Table 4 tea 2.mp4", "table4_tea_3.mp4", "table4_tea.mp4")
    take_in(record, lesson.id, zip(names, still_clips, strict=False))
    (doubt,) = doubts(record.lesson_view(lesson.id))
    assert doubt.startswith("table4_tea_2.mp4 and Table 4 tea 2.mp4 are both repeat 2 of Table 4")
