"""`brinkangle backup` and `brinkangle restore`."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from ui.commands import app
from ui.record.archive import look_into
from ui.record.here import close_records, the_record


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    yield tmp_path / "data"
    close_records()


def _run(*arguments: str, typed: str = "") -> Result:
    return CliRunner().invoke(app, list(arguments), input=typed)


def test_there_and_back(tmp_path: Path) -> None:
    lesson = the_record().add_lesson("Tins", date(2026, 11, 24))
    file = tmp_path / "safe.zip"
    made = _run("backup", str(file))
    assert made.exit_code == 0 and str(file) in made.output
    assert look_into(file).with_clips
    the_record().remove(lesson)
    asked = _run("restore", str(file), typed="n\n")
    assert asked.exit_code == 1
    assert the_record().lessons() == ()
    done = _run("restore", str(file), typed="y\n")
    assert done.exit_code == 0 and "before-restoring-" in done.output
    assert the_record().lessons() == (lesson,)


def test_a_damaged_record_is_set_aside(tmp_path: Path, data: Path) -> None:
    lesson = the_record().add_lesson("Tins", date(2026, 11, 24))
    file = tmp_path / "safe.zip"
    _run("backup", str(file))
    close_records()
    (data / "record.sqlite3").write_bytes(b"\xa5" * 9999)
    refused = _run("backup")
    assert refused.exit_code == 1 and "is damaged" in refused.output
    done = _run("restore", str(file), "--yes")
    assert done.exit_code == 0 and "The damaged record is" in done.output
    assert the_record().lessons() == (lesson,)


def test_no_file_is_written_over(tmp_path: Path) -> None:
    file = tmp_path / "thesis.zip"
    file.write_text("important")
    assert _run("backup", str(file)).exit_code == 2
    assert _run("backup", str(tmp_path / "nowhere" / "x.zip")).exit_code == 2
    assert file.read_text() == "important"


def test_what_is_no_backup_is_named(tmp_path: Path) -> None:
    (tmp_path / "x.zip").write_text("no zip")
    result = _run("restore", str(tmp_path / "x.zip"), "--yes")
    assert result.exit_code == 1 and "is no backup of a class record" in result.output
