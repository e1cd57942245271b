"""From a class record to paper."""

from __future__ import annotations

from datetime import date
from math import radians
from pathlib import Path

import numpy as np
import pytest

from tests.ui import stand_in
from tests.ui.handouts.paper_reader import pages, words
from tests.vision.odd_clips import write_clip
from ui.handouts.content import Lesson, Paper
from ui.handouts.from_record import lesson_of
from ui.handouts.sheets_class import class_report
from ui.handouts.sheets_group import group_report
from ui.handouts.typesetting import as_pdf
from ui.record.errors import NotInRecordError
from ui.record.record import Record


@pytest.fixture
def lesson(tmp_path: Path) -> Lesson:
    """Two tables, a clip each, measured; one of a third table is not."""
    record = Record(tmp_path / "kept")
    row = record.add_lesson("Tins on a board", date(2026, 11, 24))
    body = record.add_body("leaf tea tin", 0.034, 0.0002, 0.21)
    surface = record.add_surface("cork mat")
    for number, angle in enumerate((21.5, 22.5, None), start=1):
        group = record.add_group(row.id, f"Table {number}")
        film = write_clip(tmp_path / f"table{number}_tea_1.mp4", np.arange(11 + number) / 30)
        clip = record.add_clip(row.id, film.name, film).clip
        record.change(clip, group_id=group.id, body_id=body.id, surface_id=surface.id, repeat=1)
        if angle is not None:
            record.save_reading(clip.id, stand_in.toppling(stand_in.brink_deg(angle)), 0.034)
    first = record.clips(row.id)[0]
    record.add_student_reading(first.id, "pupil 7", radians(68.5), radians(1), "differs", None)
    yield lesson_of(record, row.id)
    record.close()


def test_groups_with_readings_have_a_page_with_their_frames(lesson: Lesson) -> None:
    assert lesson.groups == ("Table 1", "Table 2")
    sheet = group_report(lesson, lesson.groups)
    assert len(sheet.pictures) == 6
    first, second = pages(as_pdf(sheet, Paper.A4))
    assert "Table 1" in first and "21.50° ± 0.38°" in first
    # Of the only clip in the table, as the group's own, and at the end of the working.
    assert first.count("86.3 mm ± 2.0 mm") == 2 and "(86.3 ± 2.0)" in first
    assert "Table 2" in second and "table2_tea_1.mp4" in second


def test_the_class_report_tells_the_student_from_the_clip(lesson: Lesson) -> None:
    text = words(as_pdf(class_report(lesson), Paper.A4))
    assert "2 clips of 2 groups" in text
    assert "Table 1, pupil 7 68.5° 21.5° +47.0° no measured from the upright" in text


def test_a_lesson_that_is_not_there_is_told(tmp_path: Path) -> None:
    record = Record(tmp_path / "other")
    with pytest.raises(NotInRecordError):
        lesson_of(record, 7)
    record.close()
