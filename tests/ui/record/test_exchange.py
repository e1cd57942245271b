"""Export and import of a lesson's figures, and the cells of tables that spreadsheets open."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import UTC, datetime
from math import radians
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.ui import stand_in
from ui.record.cells import guarded, read_csv, unguarded, write_csv
from ui.record.errors import ImportRefusedError
from ui.record.exporting import lesson_as_json, table_as_csv
from ui.record.importing import take_in
from ui.record.record import Record
from ui.record.rows import Clip, Lesson, LessonView
from ui.record.tables import TABLES
from vision.reading import Rival, Story

WORDS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=30)
NAMES = WORDS.filter(lambda word: word.split())
LENGTHS_M = st.floats(1e-3, 0.9)
ANGLES_RAD = st.floats(0.01, 1.5)
BEHIND = st.lists(st.floats(0, 1e9), max_size=len(Story) - 1).map(lambda some: [0.0, *sorted(some)])
EVIDENCE = st.just(()) | st.builds(
    lambda stories, behind: tuple(map(Rival, stories, behind)), st.permutations(Story), BEHIND
)


@pytest.fixture
def filled(record: Record, lesson: Lesson, clip: Clip, clips: tuple[Path, ...]) -> LessonView:
    """A lesson with something in each table."""
    group = record.add_group(lesson.id, "=Table 4")
    body = record.add_body("leaf tea tin", 0.034, 0.0002, 0.21, "@home, 'lid' on")
    surface = record.add_surface("plywood")
    record.change(clip, group_id=group.id, body_id=body.id, surface_id=surface.id, repeat=2)
    record.save_reading(clip.id, stand_in.toppling(), 0.034)
    second = record.add_clip(lesson.id, "b.mp4", clips[2]).clip
    record.change(second, body_id=body.id, start_tilt_rad=radians(-2))
    record.save_reading(second.id, stand_in.lost())
    record.add_clip(lesson.id, "c.mp4", clips[3])
    for _ in range(2):  # two readings that came out the same are two readings
        record.add_balance_reading(lesson.id, body.id, 0.082, "base", group.id, 0.001, 0.0002)
    record.add_prediction(body.id, 0.084, 0.002, "a tube, and one base")
    record.add_student_reading(
        clip.id, "pupil 7", radians(69), radians(1), "differs", 0.09, "read 90° − angle"
    )
    return record.lesson_view(lesson.id)


def _plain(view: LessonView) -> Any:
    return json.loads(lesson_as_json(view))


def _same(first: Any, second: Any) -> bool:
    """Equal but for what the conversion of units does in the last figure."""
    if isinstance(first, float) and isinstance(second, float):
        return first == pytest.approx(second, rel=1e-12, abs=1e-12)
    if isinstance(first, dict):
        return first.keys() == second.keys() and all(_same(first[k], second[k]) for k in first)
    if isinstance(first, list):
        return len(first) == len(second) and all(map(_same, first, second))
    return bool(first == second)


def test_the_headings_carry_their_units(filled: LessonView) -> None:
    headings, lines = read_csv(table_as_csv(filled, "clips"))
    assert headings[:9] == [
        "clip", "sha256", "group", "body", "surface", "repeat", "start_tilt_deg", "outcome",
        "angle_deg",
    ]  # fmt: skip
    assert float(str(lines[0].cells["angle_deg"])) == pytest.approx(20.0, rel=1e-12)
    body = _plain(filled)["bodies"][0]
    assert body["radius_mm"] == pytest.approx(34.0)
    assert body["radius_u_mm"] == pytest.approx(0.2)


def test_a_lesson_comes_back_on_another_machine(filled: LessonView, tmp_path: Path) -> None:
    other = Record(tmp_path / "other")
    lesson = take_in(other, "lesson.json", lesson_as_json(filled))
    back = other.lesson_view(lesson.id)
    assert _same(_plain(back), _plain(filled))
    reading, there = back.readings[0], filled.readings[0]
    assert dict(reading.budget) == pytest.approx(dict(there.budget))
    assert [each.evidence for each in back.readings] == [stand_in.toppling().evidence, ()]
    assert (reading.facts, reading.reasons, reading.at) == (there.facts, there.reasons, there.at)
    assert {clip.stored for clip in back.clips} == {None}
    other.close()


def test_importing_what_was_exported_changes_nothing(record: Record, filled: LessonView) -> None:
    take_in(record, "lesson.json", lesson_as_json(filled), filled.lesson.id)
    for table in TABLES:
        take_in(record, f"{table}.csv", table_as_csv(filled, table), filled.lesson.id)
    assert record.lesson_view(filled.lesson.id) == filled


def test_tables_of_csv_make_the_same_lesson(record: Record, filled: LessonView) -> None:
    again = record.add_lesson(filled.lesson.title, filled.lesson.day)
    for table in TABLES:
        take_in(record, f"{table}.csv", table_as_csv(filled, table), again.id)
    assert _same(_plain(record.lesson_view(again.id)), _plain(filled))


def test_a_clip_that_came_as_figures_takes_its_file(
    filled: LessonView, tmp_path: Path, small_clip: Path
) -> None:
    other = Record(tmp_path / "other")
    lesson = take_in(other, "lesson.json", lesson_as_json(filled))
    added = other.add_clip(lesson.id, "x.mp4", small_clip)
    assert added.known
    assert other.clip_path(added.clip).is_file()
    other.close()


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_lesson_comes_back(record: Record, small_clip: Path, data: st.DataObject) -> None:
    draw = data.draw
    lesson = record.add_lesson(draw(NAMES), datetime(2026, 11, 24).date())
    clip = record.add_clip(lesson.id, f"clip {draw(WORDS)}x.mp4", small_clip).clip
    group = record.add_group(lesson.id, draw(NAMES))
    body = record.add_body(
        f"{draw(NAMES)} {lesson.id}", draw(LENGTHS_M), draw(LENGTHS_M),
        draw(st.none() | LENGTHS_M), draw(WORDS),
    )  # fmt: skip
    record.change(clip, group_id=group.id, body_id=body.id, repeat=draw(st.integers(1, 999)))
    angle = stand_in.brink_deg(draw(st.floats(1, 80)), draw(st.floats(0.01, 5)))
    measured = replace(stand_in.toppling(angle), evidence=draw(EVIDENCE))
    record.save_reading(clip.id, measured, draw(st.none() | LENGTHS_M))
    record.add_balance_reading(lesson.id, body.id, draw(LENGTHS_M), "top", group.id)
    record.add_prediction(body.id, draw(LENGTHS_M), draw(LENGTHS_M), draw(WORDS))
    record.add_student_reading(
        clip.id, draw(WORDS), draw(ANGLES_RAD), draw(ANGLES_RAD), draw(WORDS),
        draw(st.none() | LENGTHS_M), draw(st.none() | NAMES),
    )  # fmt: skip
    view = record.lesson_view(lesson.id)
    as_json = take_in(record, "x.json", lesson_as_json(view))
    assert _same(_plain(record.lesson_view(as_json.id)), _plain(view))
    as_csv = record.add_lesson(lesson.title, lesson.day)
    for table in TABLES:
        take_in(record, f"{table}.csv", table_as_csv(view, table), as_csv.id)
    assert _same(_plain(record.lesson_view(as_csv.id)), _plain(view))
    for each in (as_json, as_csv):
        (reading,) = record.lesson_view(each.id).readings
        assert reading.evidence == measured.evidence


def test_stories_are_pairs_in_json_and_one_cell_in_csv(filled: LessonView) -> None:
    shown = [clip["stories"] for clip in _plain(filled)["clips"]]
    assert shown == [[["topples", 0.0], ["stays", 231.4], ["slides", 252.9]], None, None]
    _, lines = read_csv(table_as_csv(filled, "clips"))
    assert lines[0].cells["stories"] == "topples 0.0; stays 231.4; slides 252.9"
    assert "stories" not in lines[1].cells


def test_stories_typed_by_hand_are_put_in_order(record: Record, lesson: Lesson) -> None:
    table = (
        "clip,outcome,angle_deg,stories\na.mp4,slides,20,Stays 231; slides then topples 4;slides 0"
    )
    take_in(record, "b.csv", table.encode(), lesson.id)
    (reading,) = record.lesson_view(lesson.id).readings
    assert reading.evidence == (
        Rival(Story.SLIDES, 0.0), Rival(Story.SLIDES_THEN_TOPPLES, 4.0), Rival(Story.STAYS, 231.0),
    )  # fmt: skip


@given(st.text())
def test_guarded_text_comes_back_and_is_no_formula(text: str) -> None:
    cell = guarded(text)
    assert unguarded(cell) == text
    assert cell[:1] not in tuple("=+-@\t\r\n＝＋－＠")


@pytest.mark.parametrize(
    "typed", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1", "'=1", "''", "'"]
)
def test_what_spreadsheets_compute_is_guarded(typed: str) -> None:
    # OWASP, "CSV Injection": cells that begin with = + - @, tab or carriage return.
    assert unguarded(guarded(typed)) == typed
    assert guarded(typed)[0] == "'"


def test_text_that_a_spreadsheet_leaves_alone_is_left_alone() -> None:
    for text in ("Table 4", "don't", "1-2", "a=b", ""):
        assert guarded(text) == text == unguarded(text)


def test_every_cell_of_text_is_guarded_and_numbers_stay_numbers(filled: LessonView) -> None:
    text = table_as_csv(filled, "clips").decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert rows[0]["group"] == "'=Table 4"
    assert float(rows[1]["start_tilt_deg"]) == pytest.approx(-2.0)
    for table in TABLES:
        plain = table_as_csv(filled, table).decode("utf-8-sig")
        for row in csv.DictReader(io.StringIO(plain)):
            for heading, cell in row.items():
                is_number = cell.lstrip("-").replace(".", "").replace("e-", "").isdigit()
                assert is_number or cell[:1] not in tuple("=+-@\t\r"), (table, heading, cell)


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1).filter(
    str.strip
)


@given(st.lists(st.tuples(CELLS, CELLS), min_size=1))
def test_any_table_of_text_comes_back(table: list[tuple[str, str]]) -> None:
    written = write_csv(["one", "two"], [[guarded(a), guarded(b)] for a, b in table])
    headings, lines = read_csv(written)
    assert headings == ["one", "two"]
    assert [(line.cells["one"], line.cells["two"]) for line in lines] == table


def test_a_spreadsheets_own_csv_is_read() -> None:
    _, lines = read_csv("﻿body;radius_mm\r\ntea;34,5\r\n;\r\ntub;−40\r\n".encode())
    assert [line.cells for line in lines] == [
        {"body": "tea", "radius_mm": "34.5"}, {"body": "tub", "radius_mm": "−40"},
    ]  # fmt: skip
    assert [line.where for line in lines] == ["Line 2", "Line 4"]


@pytest.mark.parametrize(
    ("heading", "cell", "radius_m"),
    [("radius_mm", "34.5", 0.0345), ("radius_cm", "3.45", 0.0345), ("radius_m", "0.0345", 0.0345)],
)
def test_units_are_converted(
    record: Record, lesson: Lesson, heading: str, cell: str, radius_m: float
) -> None:
    take_in(record, "b.csv", f"body,{heading}\ntea,{cell}\n".encode(), lesson.id)
    assert record.bodies()[0].radius_m == pytest.approx(radius_m)


ONE = "a.mp4,topples,20,Table 4\n"
HEAD = "clip,outcome,angle_deg,group\n"
STORIES = "clip,outcome,angle_deg,stories\na.mp4,topples,20,"


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("", "The table is empty"),
        ("nothing,here\n1,2\n", "No column is one of ours"),
        ("body,radius_inch\ntea,1.3\n", "The unit 'inch' of the column radius_inch is not known"),
        ("body,radius\ntea,34\n", "The column radius has no unit. Head it like radius_mm"),
        ("body,note\ntea,x\n", "The column radius_mm is missing"),
        ("body,radius_mm,radius_cm\ntea,34,3.4\n", "radius is there in two units"),
        ("body,radius_mm,colour\ntea,34,red\n", "The column 'colour' is not known"),
        ("body,radius_mm,radius_mm\ntea,3,4\n", "Two columns are headed 'radius_mm'"),
        ("body,radius_mm\ntea,wide\n", 'Line 2: radius_mm is "wide"; it must be a number'),
        ("body,radius_mm\ntea,inf\n", 'Line 2: radius_mm is "inf"; it must be a number'),
        ("body,radius_mm\ntea,3400\n", "Line 2: The base radius is 3400 mm"),
        ("body,radius_mm\ntea,34\ntea,36\n", "Line 3: The body tea has a radius of 34 mm"),
        ("body,radius_mm\ntea,\n", "Line 2: radius_mm is empty"),
        ("body,radius_mm\ntea,34,5\n", "Line 2 has more cells than there are headings"),
        (HEAD + ONE + "a.mp4,topples,20,Table 5\n", "Line 3: The clip a.mp4 has a line already"),
        (HEAD + "a.mp4,flies,20,\n", 'Line 2: outcome is "flies"; it must be one of topples'),
        (HEAD + "a.mp4,topples,,\n", "Line 2: A clip that topples needs its angle_deg"),
        (HEAD + "a.mp4,topples,120,\n", "Line 2: The angle is 120°"),
        (HEAD + "a.mp4,,,Table 4\n", "Line 2: The lesson has no clip a.mp4"),
        (HEAD.strip() + ",body\na.mp4,topples,20,,tub\n", "The body tub is not in the record"),
        (HEAD.strip() + ",repeat\na.mp4,topples,20,,2.5\n", 'repeat is "2.5"; it must be a'),
        (HEAD.strip() + ",sha256\na.mp4,topples,20,,xyz\n", "it must be 64 figures"),
        (STORIES + "flies 0\n", 'Line 2: stories is "flies 0"; it must be some of stays, topples'),
        (STORIES + "topples\n", 'stories is "topples"; it must be'),
        (STORIES + "topples 0; stays x\n", 'stories is "topples 0; stays x"; it must be'),
        (STORIES + "topples 0; stays -3\n", 'stories is "topples 0; stays -3"; it must be'),
        (STORIES + "topples 0; topples 3\n", "each once, with how far it is behind the best"),
        (STORIES + "topples 2; stays 3\n", "behind the best, as 'topples 0; stays 231.4'"),
        ('clip,"outcome\n', "is no line of a table"),
        ("clip,protractor_deg,reads_to_deg\nz.mp4,20,1\n", "Line 2: The lesson has no clip z.mp4"),
    ],
)  # fmt: skip
def test_a_table_that_is_wrong_is_refused_whole(
    record: Record, lesson: Lesson, table: str, said: str
) -> None:
    before = record.lesson_view(lesson.id), record.bodies()
    with pytest.raises(ImportRefusedError) as caught:
        take_in(record, "table.csv", table.encode(), lesson.id)
    assert said in str(caught.value)
    assert (record.lesson_view(lesson.id), record.bodies()) == before


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"{", "The file is no JSON"),
        (b"[]", "no lesson that Brinkangle exported"),
        (b"\xff\xfe", "not text in UTF-8"),
        (b'{"brinkangle_lesson": 1}', "lesson: there must be a list of objects"),
        (b'{"brinkangle_lesson": 1, "lesson": {"title": "x"}}', "The column day is missing"),
        (
            b'{"brinkangle_lesson": 1, "lesson": {"title": "x", "day": "soon"}}',
            'day is "soon"; it must be a day like',
        ),
        (
            b'{"brinkangle_lesson": 1, "lesson": {"title": "x", "day": "2026-11-24"},'
            b' "bodies": [{"body": "tea", "radius_mm": NaN}]}',
            "NaN is no number",
        ),
        (
            b'{"brinkangle_lesson": 1, "lesson": {"title": "x", "day": "2026-11-24"},'
            b' "bodies": [{"body": "tea", "radius_mm": true}]}',
            "bodies, entry 1: radius_mm is true; it must be a number",
        ),
        (
            b'{"brinkangle_lesson": 1, "lesson": {"title": "x", "day": "2026-11-24"}, "clips":'
            b' [{"clip": "a", "outcome": "stays", "stories": [["stays", 0], ["flies", 3]]}]}',
            'clips, entry 1: stories is [["stays", 0], ["flies", 3]]; it must be some of stays',
        ),
        (b"[" * 100_000, "The file is no JSON"),
    ],
)
def test_json_that_is_wrong_is_refused(record: Record, content: bytes, said: str) -> None:
    with pytest.raises(ImportRefusedError) as caught:
        take_in(record, "lesson.json", content)
    assert said in str(caught.value)
    assert record.lessons() == ()


def test_many_problems_are_told_by_number(record: Record, lesson: Lesson) -> None:
    table = "body,radius_mm\n" + "tea,wide\n" * 30
    with pytest.raises(ImportRefusedError, match="And 18 more lines like these"):
        take_in(record, "b.csv", table.encode(), lesson.id)


def test_a_table_needs_its_lesson(record: Record) -> None:
    with pytest.raises(ImportRefusedError, match="Choose the lesson"):
        take_in(record, "b.csv", b"body,radius_mm\ntea,34\n")


def test_empty_cells_leave_what_is_there(record: Record, filled: LessonView) -> None:
    table = b"clip,group,repeat\ntable4_tea_2.mp4,,3\n"
    take_in(record, "b.csv", table, filled.lesson.id)
    clip = record.lesson_view(filled.lesson.id).clips[0]
    assert (clip.group_id, clip.repeat) == (filled.clips[0].group_id, 3)


def test_an_angle_typed_by_hand_has_its_uncertainty(record: Record, lesson: Lesson) -> None:
    table = b"clip,outcome,angle_deg,angle_u_deg\na.mp4,topples,20,0.5\n"
    take_in(record, "b.csv", table, lesson.id)
    (reading,) = record.lesson_view(lesson.id).readings
    assert reading.angle_u_rad == pytest.approx(radians(0.5))
    assert reading.at <= datetime.now(UTC)
