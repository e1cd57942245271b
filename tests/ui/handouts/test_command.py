"""`brinkangle handouts`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.ui.handouts.paper_reader import sizes_mm, words
from ui.bench.body_file import written
from ui.bench.examples import CARD_TUBE, SEED_TUB
from ui.commands import app
from ui.record.here import close_records, the_record


@pytest.fixture(autouse=True)
def own_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "kept"))
    yield
    close_records()


def run(*words: object):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(app, ["handouts", *map(str, words)])


def test_the_invented_lesson_gives_every_kind(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "paper"
    result = run(folder, "--demo", "--paper", "us-letter")
    assert result.exit_code == 0, result.output
    files = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert len(files) == 11
    for pdf in files.values():
        assert sizes_mm(pdf)[0] == pytest.approx((215.9, 279.4), abs=0.05)
    assert "leaf tea tin" in words(files["class-report.pdf"])
    assert str(folder / "protractor.pdf") in result.output.replace("\n", "")


def test_a_lesson_of_the_record_with_what_it_has(tmp_path: Path) -> None:
    the_record().add_lesson("Tins on a board", date(2026, 11, 24))
    result = run(tmp_path, "--kind", "lesson-sheet", "--kind", "class-report")
    assert result.exit_code == 1
    assert "No class-report: No clip of this lesson has been measured yet" in result.output
    assert "Tins on a board" in words((tmp_path / "lesson-sheet.pdf").read_bytes())
    assert not (tmp_path / "class-report.pdf").exists()


def test_which_lesson_is_asked_for_where_there_are_several(tmp_path: Path) -> None:
    for title in ("Tins", "Tubs"):
        the_record().add_lesson(title, date(2026, 11, 24))
    result = run(tmp_path, "--kind", "worksheet")
    assert result.exit_code == 2
    assert "1 Tins" in result.output and "2 Tubs" in result.output
    assert run(tmp_path, "--kind", "worksheet", "--lesson", 2).exit_code == 0


def test_wrong_usage_is_told(tmp_path: Path) -> None:
    assert "no lesson in the record yet" in run(tmp_path).output
    assert run(tmp_path, "--lesson", 7).exit_code == 2
    assert run(tmp_path, "--demo", "--lesson", 1).exit_code == 2
    assert run(tmp_path, "--demo", "--kind", "poster").exit_code == 2
    (tmp_path / "file").write_text("")
    inside = run(tmp_path / "file" / "folder", "--demo")
    assert inside.exit_code == 2 and "Nothing can be written" in inside.output


def test_cards_for_a_body_of_ones_own(tmp_path: Path) -> None:
    tube, tub = tmp_path / "tube.body.toml", tmp_path / "tub.body.toml"
    tube.write_text(written(CARD_TUBE))
    tub.write_text(written(SEED_TUB))
    folder = tmp_path / "paper"
    made = run(folder, "--demo", "--kind", "challenge-cards", "--body", tube, "--cards", 3)
    assert made.exit_code == 0, made.output
    assert words((folder / "challenge-cards.pdf").read_bytes()).count("Make the card tube") == 3
    refused = run(folder, "--demo", "--kind", "challenge-cards", "--body", tub)
    assert refused.exit_code == 1 and "no rod" in refused.output
    assert run(folder, "--demo", "--body", tmp_path / "none.toml").exit_code == 2
