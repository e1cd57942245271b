"""The page 'Hand-outs', driven without a browser."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

import ui
from ui.bench.body_file import written
from ui.bench.examples import SEED_TUB
from ui.handouts.content import Kind
from ui.record.here import close_records, the_record

PAGE = Path(ui.__file__).parent / "app_pages" / "hand_outs.py"
MAKE = "Make the hand-outs"


@pytest.fixture(autouse=True)
def own_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path))
    yield
    close_records()


def opened() -> AppTest:
    page = AppTest.from_file(str(PAGE), default_timeout=120).run()
    assert not page.exception
    return page


def tick(page: AppTest, *kinds: Kind) -> None:
    for kind in kinds:
        page.checkbox(key=f"hand-out {kind}").check()
    page.run()
    assert not page.exception


def make(page: AppTest) -> None:
    next(button for button in page.button if button.label == MAKE).click().run()
    assert not page.exception


def offered(page: AppTest) -> list[str]:
    """The labels of what can be downloaded, Markdown's escapes taken off."""
    return [each.proto.label.replace("\\", "") for each in page.get("download_button")]


def told(page: AppTest) -> str:
    return " ".join(each.value for each in (*page.info, *page.warning, *page.error))


def test_an_empty_record_says_what_to_do_next_and_shows_an_invented_lesson() -> None:
    page = opened()
    assert "no lesson in the record yet" in told(page)
    assert "Next: choose at least one hand-out" in told(page)
    assert offered(page) == []
    tick(page, Kind.LESSON, Kind.GROUP)
    make(page)
    assert offered(page) == [
        "All as one zip",
        "lesson-sheet.pdf",
        "group-reports.pdf",
        *[f"group-report-Table_{n}.pdf" for n in (1, 2, 3, 4)],
    ]


def test_reports_wait_for_readings() -> None:
    the_record().add_lesson("Tins on a board", date(2026, 11, 24))
    page = opened()
    assert "none has been measured yet" in told(page)
    assert page.checkbox(key=f"hand-out {Kind.CLASS}").disabled
    assert not page.checkbox(key=f"hand-out {Kind.PROTRACTOR}").disabled
    tick(page, Kind.PROTRACTOR)
    make(page)
    assert offered(page) == ["protractor.pdf"]


def test_a_changed_choice_is_told_beside_what_was_made() -> None:
    page = opened()
    tick(page, Kind.PROTRACTOR)
    make(page)
    assert "has changed since" not in told(page)
    tick(page, Kind.WORKSHEET)
    assert "has changed since" in told(page)
    assert offered(page) == ["protractor.pdf"]


def test_a_body_without_a_rod_is_refused_for_the_cards_alone() -> None:
    page = opened()
    tick(page, Kind.CARDS, Kind.PROTRACTOR)
    page.get("file_uploader")[0].upload("tub.body.toml", written(SEED_TUB).encode())
    page.run()
    make(page)
    assert "has no rod" in told(page)
    assert offered(page) == ["protractor.pdf"]


def test_a_file_that_is_no_body_is_told() -> None:
    page = opened()
    tick(page, Kind.CARDS)
    page.get("file_uploader")[0].upload("tub.body.toml", b"nonsense =").run()
    assert not page.exception
    assert "tub" in told(page)
    assert next(button for button in page.button if button.label == MAKE).disabled
