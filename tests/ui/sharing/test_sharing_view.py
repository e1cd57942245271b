"""The teacher's controls of a lesson's sharing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from streamlit.testing.v1 import AppTest

from tests.ui.sharing.conftest import CLASSROOM, PHRASE, School
from ui.record.here import close_records
from ui.sharing.door import Door
from ui.sharing.refusals import WrongWordError
from ui.sharing.roles import Visitor
from ui.sharing.visitors import serve_through

SCRIPT = """
from ui.record.here import the_record
from ui.sharing.sharing_view import show_sharing
show_sharing(the_record().lesson({}))
"""


@pytest.fixture
def shared(door: Door) -> Iterator[Door]:
    serve_through(door)
    yield door
    serve_through(None)
    close_records()


@pytest.fixture
def teacher(shared: Door, monkeypatch: pytest.MonkeyPatch) -> Visitor:
    visitor = shared.visitor(shared.admit_teacher(PHRASE, CLASSROOM))
    monkeypatch.setattr("streamlit.user", {"visitor": visitor.key})
    return visitor


def view(lesson_id: int) -> AppTest:
    return AppTest.from_string(SCRIPT.format(lesson_id), default_timeout=60).run()


def said(page: AppTest) -> str:
    return "\n".join(each.value for each in (*page.markdown, *page.caption))


def test_a_code_is_shown_once_then_hidden_then_replaced(
    shared: Door, teacher: Visitor, school: School
) -> None:
    page = view(school.lesson.id)
    assert "only you can see it" in said(page) and not page.metric
    page.button(key="sharing open").click().run()
    (shown,) = page.metric
    first = shown.value
    assert shared.visitor(shared.admit_student(first, "pupil 7", CLASSROOM)).lesson_id
    page.run()
    assert [metric.value for metric in page.metric] == [first]
    assert "One is in: pupil 7." in said(page)
    page.button(key="sharing hide").click().run()
    assert not page.metric and first not in said(page)
    page.button(key="sharing open").click().run()
    assert page.metric[0].value != first
    with pytest.raises(WrongWordError):
        shared.admit_student(first, "", CLASSROOM)


def test_the_end_is_one_click(shared: Door, teacher: Visitor, school: School) -> None:
    code = shared.open(school.lesson.id)
    shared.admit_student(code, "", CLASSROOM)
    page = view(school.lesson.id)
    assert "One is in: 1 without a label." in said(page)
    page.button(key="sharing end").click().run()
    assert shared.students() == () and shared.open_lesson is None
    assert "only you can see it" in said(page)


def test_another_lesson_that_is_open_is_spoken_of(
    shared: Door, teacher: Visitor, school: School
) -> None:
    shared.open(school.other_lesson.id)
    assert "Another lesson is open" in said(view(school.lesson.id))


def test_a_student_who_runs_it_gets_none_of_it(
    shared: Door, school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    student = shared.visitor(shared.admit_student(shared.open(school.lesson.id), "", CLASSROOM))
    monkeypatch.setattr("streamlit.user", {"visitor": student.key})
    page = view(school.lesson.id)
    assert [title.value for title in page.title] == ["Not yours"] and not page.button


def test_alone_the_page_says_how_it_would_be_shared(school: School) -> None:
    page = view(school.lesson.id)
    assert "brinkangle app --share" in said(page) and not page.button
    close_records()
