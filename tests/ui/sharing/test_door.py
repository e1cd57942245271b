"""Who is let in, by which word, and until when."""

from __future__ import annotations

from pathlib import Path

import argon2
import pytest

from tests.ui.sharing.conftest import CLASSROOM, ELSEWHERE, PHRASE, Clock, School
from ui.sharing.codes import new_code
from ui.sharing.door import (
    LONGEST_LABEL,
    LONGEST_STAY_S,
    MOST_READINGS,
    MOST_STUDENTS,
    Door,
)
from ui.sharing.passphrase import set_passphrase
from ui.sharing.refusals import ClosedError, WaitError, WrongWordError
from ui.sharing.roles import STRANGER, Role, may_open
from ui.sharing.throttle import FREE_TRIES, LONGEST_WAIT_S


def test_the_passphrase_opens_everything(door: Door) -> None:
    visitor = door.visitor(door.admit_teacher(PHRASE, CLASSROOM))
    assert visitor.role is Role.TEACHER and visitor.lesson_id is None
    assert may_open(visitor.role, "read_a_clip") and may_open(visitor.role, "check_a_reading")


def test_a_code_opens_one_lesson_to_a_student(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    visitor = door.visitor(door.admit_student(code.lower(), " pupil 7 ", CLASSROOM))
    assert (visitor.role, visitor.lesson_id) == (Role.STUDENT, school.lesson.id)
    assert visitor.label == "pupil 7"
    assert may_open(visitor.role, "check_a_reading") and not may_open(visitor.role, "read_a_clip")
    assert door.students() == (visitor,)


def test_the_record_holds_a_hash_of_the_code_and_never_the_code(
    door: Door, school: School, data: Path
) -> None:
    code = door.open(school.lesson.id)
    stored = school.record.lesson(school.lesson.id).code_hash
    assert stored is not None and stored.startswith("$argon2id$")
    letters = code.replace("-", "").encode()
    for path in data.rglob("*.sqlite3*"):
        assert letters not in path.read_bytes() and code.encode() not in path.read_bytes()


def test_a_code_is_hashed_with_memory_as_well(school: School, data: Path) -> None:
    """19 MiB and 2 passes: the least that is advised for Argon2id (common practice)."""
    Door(data, school.record).open(school.lesson.id)
    kept = argon2.extract_parameters(school.record.lesson(school.lesson.id).code_hash or "")
    assert kept.type is argon2.Type.ID
    assert (kept.memory_cost, kept.time_cost) == (19 * 1024, 2)


@pytest.mark.parametrize("token", [None, "", "x", "\0", "é" * 4000])
def test_a_token_nobody_was_given_is_a_strangers(door: Door, token: str | None) -> None:
    assert door.visitor(token) == STRANGER
    assert not any(may_open(STRANGER.role, page) for page in ("check_a_reading", "read_a_clip"))


def test_a_key_is_no_token(door: Door) -> None:
    key = door.visitor(door.admit_teacher(PHRASE, CLASSROOM)).key
    assert door.visitor(key) == STRANGER


def test_the_code_of_a_lesson_is_not_the_passphrase_nor_the_other_way(
    door: Door, school: School
) -> None:
    code = door.open(school.lesson.id)
    with pytest.raises(WrongWordError):
        door.admit_teacher(code, CLASSROOM)
    with pytest.raises(WrongWordError):
        door.admit_student(PHRASE, "", CLASSROOM)


def test_a_code_that_was_renewed_opens_nothing_and_who_is_in_stays(
    door: Door, school: School
) -> None:
    old = door.open(school.lesson.id)
    token = door.admit_student(old, "", CLASSROOM)
    new = door.open(school.lesson.id)
    with pytest.raises(WrongWordError):
        door.admit_student(old, "", ELSEWHERE)
    assert door.visitor(token).role is Role.STUDENT
    assert door.visitor(door.admit_student(new, "", ELSEWHERE)).role is Role.STUDENT


def test_the_end_puts_students_out_and_leaves_the_teacher_in(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    student = door.admit_student(code, "", CLASSROOM)
    teacher = door.admit_teacher(PHRASE, CLASSROOM)
    door.end()
    assert door.visitor(student) == STRANGER and door.visitor(teacher).role is Role.TEACHER
    assert door.students() == () and door.open_lesson is None
    assert school.record.lesson(school.lesson.id).code_hash is None
    with pytest.raises(ClosedError):
        door.admit_student(code, "", CLASSROOM)


def test_another_lesson_puts_out_the_students_of_the_first(door: Door, school: School) -> None:
    first = door.open(school.lesson.id)
    student = door.admit_student(first, "", CLASSROOM)
    second = door.open(school.other_lesson.id)
    assert door.visitor(student) == STRANGER
    assert school.record.lesson(school.lesson.id).code_hash is None
    with pytest.raises(WrongWordError):
        door.admit_student(first, "", CLASSROOM)
    visitor = door.visitor(door.admit_student(second, "", CLASSROOM))
    assert visitor.lesson_id == school.other_lesson.id


def test_ending_does_not_take_away_a_code_that_another_server_gave(
    door: Door, school: School, data: Path
) -> None:
    door.open(school.lesson.id)
    other = Door(data, school.record)
    code = other.open(school.lesson.id)
    door.end()
    assert other.visitor(other.admit_student(code, "", CLASSROOM)).role is Role.STUDENT


def test_a_lesson_that_was_removed_lets_nobody_in(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    school.record.remove(school.lesson)
    with pytest.raises(ClosedError):
        door.admit_student(code, "", CLASSROOM)
    door.end()


def test_a_damaged_hash_lets_nobody_in(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    school.record.change(school.lesson, code_hash="$argon2id$v=19$")
    with pytest.raises(ClosedError, match="damaged"):
        door.admit_student(code, "", CLASSROOM)


def test_wrong_codes_wait_and_the_right_one_waits_too(
    door: Door, school: School, clock: Clock
) -> None:
    code = door.open(school.lesson.id)
    for _ in range(FREE_TRIES):
        with pytest.raises(WrongWordError):
            door.admit_student(new_code(), "", CLASSROOM)
    with pytest.raises(WaitError) as wait:
        door.admit_student(code, "", CLASSROOM)
    assert wait.value.wait_s == 1 and "Wait 1 second," in str(wait.value)
    assert door.visitor(door.admit_student(code, "", ELSEWHERE)).role is Role.STUDENT
    clock.now += 1
    assert door.visitor(door.admit_student(code, "", CLASSROOM)).role is Role.STUDENT


def test_what_cannot_be_a_code_is_no_guess(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    for typed in ("", "KX4T", "hello", "0000-0000") * 5:
        with pytest.raises(WrongWordError, match="eight letters"):
            door.admit_student(typed, "", CLASSROOM)
    assert door.visitor(door.admit_student(code, "", CLASSROOM)).role is Role.STUDENT


def test_a_class_that_guesses_does_not_keep_its_teacher_out(
    door: Door, school: School, clock: Clock
) -> None:
    door.open(school.lesson.id)
    for _ in range(FREE_TRIES):
        with pytest.raises(WrongWordError):
            door.admit_student(new_code(), "", CLASSROOM)
    assert door.visitor(door.admit_teacher(PHRASE, CLASSROOM)).role is Role.TEACHER
    for _ in range(FREE_TRIES):
        with pytest.raises(WrongWordError):
            door.admit_teacher("the wrong words entirely", ELSEWHERE)
    with pytest.raises(WaitError):
        door.admit_teacher(PHRASE, ELSEWHERE)
    clock.now += LONGEST_WAIT_S
    assert door.visitor(door.admit_teacher(PHRASE, ELSEWHERE)).role is Role.TEACHER


def test_a_new_passphrase_holds_at_once(door: Door, data: Path) -> None:
    set_passphrase(data, "a quite different phrase")
    with pytest.raises(WrongWordError):
        door.admit_teacher(PHRASE, CLASSROOM)
    assert door.visitor(door.admit_teacher("a quite different phrase", CLASSROOM)).key


def test_one_who_leaves_is_out_and_so_is_one_who_stayed_too_long(door: Door, clock: Clock) -> None:
    first, second = (door.admit_teacher(PHRASE, CLASSROOM) for _ in range(2))
    door.leave(first)
    assert door.visitor(first) == STRANGER and door.visitor(second).role is Role.TEACHER
    clock.now += LONGEST_STAY_S
    assert door.visitor(second) == STRANGER


def test_only_pictures_that_were_shown_are_ones_own(door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    one, other = (door.visitor(door.admit_student(code, "", CLASSROOM)).key for _ in range(2))
    door.show_pictures(one, {"abc.png"})
    assert door.is_shown(one, "abc.png")
    assert not door.is_shown(other, "abc.png") and not door.is_shown("", "abc.png")
    door.end()
    assert not door.is_shown(one, "abc.png")


def test_a_lesson_holds_only_so_many(
    door: Door, school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ui.sharing.door.matches", lambda stored, words: True)
    code = door.open(school.lesson.id)
    for _ in range(MOST_STUDENTS):
        door.admit_student(code, "x" * 500, CLASSROOM)
    with pytest.raises(ClosedError, match=str(MOST_STUDENTS)):
        door.admit_student(code, "", CLASSROOM)
    assert {len(student.label) for student in door.students()} == {LONGEST_LABEL}
    key = door.students()[0].key
    for _ in range(MOST_READINGS):
        door.count_reading(key)
    with pytest.raises(ClosedError, match=str(MOST_READINGS)):
        door.count_reading(key)
