"""What a student gets of the record."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import radians
from typing import Any

import pytest

from tests.ui.sharing.conftest import CLASSROOM, PHRASE, School
from ui.checking.moving import moved_of
from ui.record.here import close_records
from ui.record.record import Record
from ui.sharing.door import LONGEST_LABEL, Door
from ui.sharing.refusals import ClosedError, NotYoursError
from ui.sharing.roles import AT_HOME, STRANGER
from ui.sharing.student_view import StudentView, record_for
from ui.sharing.visitors import serve_through

READING = {"protractor_rad": radians(20), "reads_to_rad": radians(1), "verdict": "agrees"}


@pytest.fixture
def view(door: Door, school: School) -> StudentView:
    visitor = door.visitor(door.admit_student(door.open(school.lesson.id), "pupil 7", CLASSROOM))
    school.record.add_balance_reading(school.lesson.id, school.clip.body_id or 0, 0.03, "base")
    school.record.add_prediction(school.clip.body_id or 0, 0.1, 0.001, "the teacher's working")
    school.record.add_student_reading(school.clip.id, "pupil 8", **READING)
    return StudentView(school.record, door, visitor)


def test_it_is_the_lesson_without_its_code_and_what_others_wrote(
    view: StudentView, school: School
) -> None:
    seen = view.lesson_view()
    assert seen.clips == (school.clip,) and seen.lesson.id == school.lesson.id
    assert seen.lesson.code_hash is None
    assert school.record.lesson(school.lesson.id).code_hash is not None
    assert seen.student_readings == seen.balance_readings == seen.predictions == ()
    assert [body.note for body in seen.bodies] == [""]
    assert school.other_lesson.title not in repr(seen)


def test_a_reading_of_ones_own_clip_is_kept(view: StudentView, school: School) -> None:
    kept = view.add_student_reading(school.clip.id, " " + "x" * 99, **READING)
    assert kept in school.record.student_readings(school.lesson.id)
    assert len(kept.by) <= LONGEST_LABEL
    assert len(view.pictures(view.lesson_view().readings[0].id)) == 3
    assert view.reading_of(school.clip.id) == view.lesson_view().readings[0]


def test_at_what_tilts_a_body_moved_is_known_of_ones_own_clip(
    view: StudentView, school: School
) -> None:
    (reading,) = view.lesson_view().readings
    found = moved_of(view, reading)
    assert found is not None and found == moved_of(school.record, reading)
    assert reading.angle_rad is not None and reading.angle_rad < found.from_rad < found.to_rad


def other_reading(school: School) -> int:
    reading = school.record.reading_of(school.other_clip.id)
    assert reading is not None
    return reading.id


ASKED_OF_ANOTHER: dict[str, Callable[[StudentView, School], Any]] = {
    "the lesson": lambda view, school: view.lesson_view(school.other_lesson.id),
    "a clip's reading": lambda view, school: view.reading_of(school.other_clip.id),
    "its pictures": lambda view, school: view.pictures(other_reading(school)),
    "its motion": lambda view, school: view.series(other_reading(school)),
    "a reading of one's own": lambda view, school: view.add_student_reading(
        school.other_clip.id, "", **READING
    ),
    "a clip that is none": lambda view, school: view.add_student_reading(-1, "", **READING),
}


@pytest.mark.parametrize("ask", ASKED_OF_ANOTHER.values(), ids=list(ASKED_OF_ANOTHER))
def test_nothing_of_another_lesson_can_be_reached(
    view: StudentView, school: School, ask: Callable[[StudentView, School], Any]
) -> None:
    with pytest.raises(NotYoursError):
        ask(view, school)
    assert school.record.student_readings(school.other_lesson.id) == ()


def test_it_offers_no_way_round(view: StudentView) -> None:
    """Of the record's methods there are five, and all of them ask first."""
    offered = {name for name in dir(view) if not name.startswith("_")}
    assert offered == {"lesson_view", "reading_of", "pictures", "series", "add_student_reading"}
    assert offered <= set(dir(Record))


def test_all_is_over_with_the_lesson(view: StudentView, school: School, door: Door) -> None:
    reading = view.lesson_view().readings[0].id
    door.end()
    for ask in (
        view.lesson_view,
        lambda: view.reading_of(school.clip.id),
        lambda: view.pictures(reading),
        lambda: view.series(reading),
        lambda: view.add_student_reading(school.clip.id, "", **READING),
    ):
        with pytest.raises(ClosedError):
            ask()
    door.open(school.lesson.id)
    with pytest.raises(ClosedError):
        view.lesson_view()


@pytest.fixture
def served(door: Door) -> Iterator[Door]:
    serve_through(door)
    yield door
    serve_through(None)
    close_records()


def test_each_gets_the_record_as_they_may_use_it(served: Door, school: School) -> None:
    assert isinstance(record_for(AT_HOME), Record)
    assert isinstance(record_for(served.visitor(served.admit_teacher(PHRASE, "x"))), Record)
    student = served.visitor(served.admit_student(served.open(school.lesson.id), "", CLASSROOM))
    assert isinstance(record_for(student), StudentView)
    with pytest.raises(NotYoursError):
        record_for(STRANGER)
