"""`brinkangle app --share` and `brinkangle passphrase`, up to where the page is served."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from tests.ui.sharing.conftest import PHRASE, School
from ui.commands import app
from ui.record.here import close_records
from ui.sharing.passphrase import is_passphrase, is_set, set_passphrase

RUN = CliRunner()


@pytest.fixture(autouse=True)
def own_record(data: Path) -> Iterator[Path]:
    yield data
    close_records()


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """What would be served; what is to be said is said."""
    asked: list[tuple[Any, ...]] = []

    def serve(*given: Any) -> None:
        asked.append(given)
        if given[3:]:
            given[3]()

    monkeypatch.setattr("ui.serve.serve", serve)
    return asked


def test_a_passphrase_is_taken_from_a_file_and_not_from_the_command(
    data: Path, tmp_path: Path
) -> None:
    file = tmp_path / "words.txt"
    file.write_text(f"{PHRASE}\nanother line\n", "utf-8")
    done = RUN.invoke(app, ["passphrase", "--from-file", str(file)])
    assert done.exit_code == 0 and is_passphrase(data, PHRASE)
    assert PHRASE not in done.output
    assert RUN.invoke(app, ["passphrase", PHRASE]).exit_code == 2


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"", "12 to 200"), (b"short", "12 to 200"), (b"\xff\xfe", "cannot be read")],
)
def test_a_file_without_a_passphrase_is_refused(
    data: Path, tmp_path: Path, content: bytes, told: str
) -> None:
    (tmp_path / "words.txt").write_bytes(content)
    done = RUN.invoke(app, ["passphrase", "--from-file", str(tmp_path / "words.txt")])
    assert done.exit_code == 2 and told in done.output.replace("\n", " ")
    assert not is_set(data)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    done = RUN.invoke(app, ["passphrase", "--from-file", str(tmp_path / "none.txt")])
    assert done.exit_code == 2 and "cannot be read" in done.output


def test_a_terminal_is_asked_twice_without_showing(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[dict[str, Any]] = []

    def prompt(_: str, **how: Any) -> str:
        asked.append(how)
        return PHRASE

    monkeypatch.setattr("ui.sharing.commands._on_a_terminal", lambda: True)
    monkeypatch.setattr("typer.prompt", prompt)
    assert RUN.invoke(app, ["passphrase"]).exit_code == 0
    assert asked[0]["hide_input"] is True and asked[0]["confirmation_prompt"]
    assert is_passphrase(data, PHRASE)


def test_without_a_terminal_it_says_how_to_set_one(served: list[tuple[Any, ...]]) -> None:
    for command in (["passphrase"], ["app", "--share"]):
        done = RUN.invoke(app, command)
        assert done.exit_code == 2 and "--from-file" in done.output
    assert served == []


def test_sharing_opens_the_latest_lesson_and_says_what_to_type(
    school: School, data: Path, served: list[tuple[Any, ...]]
) -> None:
    set_passphrase(data, PHRASE)
    done = RUN.invoke(app, ["app", "--share", "--address", "127.0.0.1", "--port", "8600"])
    assert done.exit_code == 0, done.output
    ((port, address, door, _),) = served
    assert (port, address) == (8600, "127.0.0.1")
    assert "http://127.0.0.1:8600" in done.output and "Lesson code" in done.output
    assert door.open_lesson == school.record.lessons()[0].id


def test_sharing_opens_the_lesson_that_is_named(
    school: School, data: Path, served: list[tuple[Any, ...]]
) -> None:
    set_passphrase(data, PHRASE)
    number = str(school.other_lesson.id)
    done = RUN.invoke(app, ["app", "--share", "--lesson", number])
    assert done.exit_code == 0 and school.other_lesson.title in done.output
    assert served[0][2].open_lesson == school.other_lesson.id
    assert RUN.invoke(app, ["app", "--share", "--lesson", "999"]).exit_code == 1


def test_without_a_lesson_it_says_where_to_make_one(
    data: Path, served: list[tuple[Any, ...]]
) -> None:
    set_passphrase(data, PHRASE)
    done = RUN.invoke(app, ["app", "--share"])
    assert done.exit_code == 0 and "Class record" in done.output
    assert served[0][1] == "0.0.0.0" and served[0][2].open_lesson is None


def test_alone_the_page_has_no_door(served: list[tuple[Any, ...]]) -> None:
    assert RUN.invoke(app, ["app"]).exit_code == 0
    assert served == [(8501,)]
    for option in (["--address", "0.0.0.0"], ["--lesson", "1"]):
        done = RUN.invoke(app, ["app", *option])
        assert done.exit_code == 2 and "--share" in done.output
