"""Every page by itself, run by whoever may not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.ui.sharing.conftest import CLASSROOM, PHRASE, School
from ui.app import PAGES
from ui.record.here import close_records
from ui.sharing.door import Door
from ui.sharing.roles import STRANGER, STUDENT_PAGES, Visitor
from ui.sharing.visitors import serve_through, the_door, visitor_here

UI = Path(__file__).parents[3] / "ui"
FRAME = UI / "app.py"


@pytest.fixture
def shared(door: Door) -> Iterator[Door]:
    """A page served through the door."""
    serve_through(door)
    yield door
    serve_through(None)
    close_records()


@pytest.fixture
def student(shared: Door, school: School) -> Visitor:
    code = shared.open(school.lesson.id)
    return shared.visitor(shared.admit_student(code, "pupil 7", CLASSROOM))


def run(path: Path, visitor: Visitor, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """A script as it is run in someone's session."""
    monkeypatch.setattr("streamlit.user", {"visitor": visitor.key})
    return AppTest.from_file(str(path), default_timeout=60).run()


def titles(page: AppTest) -> list[str]:
    return [title.value for title in page.title]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_run_by_name_guards_itself(
    name: str, student: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = run(UI / "app_pages" / f"{name}.py", student, monkeypatch)
    assert not page.exception
    assert titles(page) == [PAGES[name] if name in STUDENT_PAGES else "Not yours"]
    page = run(UI / "app_pages" / f"{name}.py", STRANGER, monkeypatch)
    assert titles(page) == ["You are not in"]
    assert not page.button and not page.get("file_uploader")


def test_the_frame_leads_a_student_to_their_page_alone(
    student: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = run(FRAME, student, monkeypatch)
    assert titles(page) == [PAGES["check_a_reading"]]
    for name in set(PAGES) - STUDENT_PAGES:
        with pytest.raises(ValueError, match="Could not find a navigation page"):
            page.switch_page(f"app_pages/{name}.py")


def test_the_teacher_gets_every_page(shared: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    teacher = shared.visitor(shared.admit_teacher(PHRASE, CLASSROOM))
    page = run(FRAME, teacher, monkeypatch)
    assert titles(page) == [next(iter(PAGES.values()))]
    page.switch_page("app_pages/edge_balance.py").run()
    assert titles(page) == ["Edge balance"]


def test_a_stale_session_ends_with_the_lesson(
    shared: Door, student: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = run(FRAME, student, monkeypatch)
    shared.end()
    page.run()
    assert titles(page) == ["You are not in"]
    assert not page.selectbox and not page.number_input


@pytest.mark.parametrize("user", [{}, {"visitor": None}, {"visitor": ""}, {"visitor": "0" * 32}])
def test_a_session_that_was_not_let_in_gets_nothing(
    shared: Door, user: dict[str, str | None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("streamlit.user", user)
    page = AppTest.from_file(str(FRAME), default_timeout=60).run()
    assert titles(page) == ["You are not in"]


def test_without_a_door_whoever_is_there_is_the_teacher(monkeypatch: pytest.MonkeyPatch) -> None:
    assert the_door() is None
    monkeypatch.setattr("streamlit.user", {"visitor": "0" * 32})
    assert visitor_here().role == "teacher"
