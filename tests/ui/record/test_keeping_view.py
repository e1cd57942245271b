"""'Keep and move', drawn and used."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.ui import stand_in
from ui import desk
from ui.record import blanking
from ui.record.backup import back_up, backups
from ui.record.board_area import Area
from ui.record.exporting import lesson_as_json, table_as_csv
from ui.record.here import close_records, the_record
from ui.record.record import Record
from vision.finding import NotFoundError


def _page() -> None:
    from ui.record.errors import RecordDamagedError
    from ui.record.here import the_record
    from ui.record.keeping_view import show_damaged, show_keeping
    from ui.record.place import default_place

    try:
        show_keeping(the_record())
    except RecordDamagedError as error:
        show_damaged(error, default_place())


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    """The record that the page opens."""
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    yield the_record()
    close_records()


def _shown() -> AppTest:
    page = AppTest.from_function(_page, default_timeout=30).run()
    assert not page.exception
    return page


def _click(page: AppTest, label: str) -> AppTest:
    (button,) = [button for button in page.button if button.label == label]
    assert not button.disabled
    page = button.click().run()
    assert not page.exception
    return page


def test_without_a_lesson_it_says_what_is_next(kept: Record) -> None:
    page = _shown()
    assert {info.value.split(":")[0] for info in page.info} == {"Make a lesson first"}
    assert "There is no backup yet." in [caption.value for caption in page.caption]


def test_a_keeping_time_is_set_and_taken_away(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    page = _shown()
    page.toggle[0].set_value(True).run()
    page.number_input[0].set_value(14).run()
    assert "after 08 December 2026" in page.caption[0].value
    page = _click(page, "Set the keeping time")
    assert kept.lesson(lesson.id).keep_days == 14
    assert page.success[0].value.startswith("The keeping time is set")
    page.toggle[0].set_value(False).run()
    _click(page, "Set the keeping time")
    assert kept.lesson(lesson.id).keep_days is None


def test_a_backup_is_made_and_restored(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    page = _click(_shown(), "Back up now")
    (backup,) = backups(kept.place)
    assert backup.with_clips
    kept.remove(lesson)
    page = _shown()
    assert [button.disabled for button in page.button if button.label == "Restore"] == [True]
    page.selectbox(key="backup restored").select_index(0)
    page.checkbox[0].check().run()
    page = _click(page, "Restore")
    assert "What was here before is in before-restoring" in page.success[0].value.replace("\\", "")
    assert kept.lessons() == (lesson,)


def test_a_backup_is_brought(kept: Record, tmp_path: Path) -> None:
    other = Record(tmp_path / "other")
    lesson = other.add_lesson("Tins <b>bold</b>", date(2026, 11, 24))
    content = back_up(other).path.read_bytes()
    other.close()
    page = _shown()
    page.file_uploader(key="backup brought").set_value(("mine.zip", content, "application/zip"))
    page.checkbox[0].check().run()
    _click(page, "Restore")
    assert kept.lessons() == (lesson,)


def test_a_zip_that_is_no_backup_replaces_nothing(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    page = _shown()
    page.file_uploader(key="backup brought").set_value(("mine.zip", b"no", "application/zip"))
    page.checkbox[0].check().run()
    page = _click(page, "Restore")
    assert "no backup of a class record" in page.error[0].value
    assert kept.lessons() == (lesson,)


def test_a_backup_is_deleted(kept: Record) -> None:
    back_up(kept)
    _click(_shown(), "Delete this backup")
    assert backups(kept.place) == ()


def test_a_lesson_is_taken_in_as_a_new_one(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    content = lesson_as_json(kept.lesson_view(lesson.id))
    page = _shown()
    page.file_uploader[1].set_value(("lesson.json", content, "application/json")).run()
    page.radio(key="import where").set_value("Into a new lesson (JSON)").run()
    page = _click(page, "Take it in")
    assert [each.title for each in kept.lessons()] == ["Tins", "Tins"]


def test_a_table_that_is_wrong_names_its_lines(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    page = _shown()
    table = b"body,radius_mm\ntea,wide\n"
    page.file_uploader[1].set_value(("bodies.csv", table, "text/csv")).run()
    page = _click(page, "Take it in")
    assert "Line 2" in page.error[0].value
    assert table_as_csv(kept.lesson_view(lesson.id), "bodies").count(b"\n") == 1


def test_a_lessons_files_are_offered(kept: Record) -> None:
    kept.add_lesson("Tins", date(2026, 11, 24))
    labels = [button.label for button in _shown().get("download_button")]
    assert labels == [
        "All of the lesson (JSON)", "Bodies (CSV)", "Clips (CSV)", "Balance (CSV)",
        "Predictions (CSV)", "Students (CSV)",
    ]  # fmt: skip


def _damage(kept: Record) -> Path:
    close_records()
    assert kept.place.database is not None
    kept.place.database.write_bytes(b"\xa5" * 9999)
    return kept.place.database


def test_a_damaged_record_is_restored_from_its_backup_when_asked(kept: Record) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    back_up(kept)
    database = _damage(kept)
    page = _shown()
    assert "is damaged" in page.error[0].value
    assert database.read_bytes() == b"\xa5" * 9999
    _click(page, "Set the damaged record aside and restore the latest backup")
    assert the_record().lessons() == (lesson,)
    assert [path.read_bytes() for path in kept.place.folder.glob("damaged-*")] == [b"\xa5" * 9999]


def test_a_damaged_record_without_a_backup_is_begun_anew_when_asked(kept: Record) -> None:
    kept.add_lesson("Tins", date(2026, 11, 24))
    _damage(kept)
    page = _click(_shown(), "Set the damaged record aside and begin a new one")
    assert not page.error
    assert the_record().lessons() == ()
    assert len(list(kept.place.folder.glob("damaged-*"))) == 1


def test_surroundings_are_blanked_and_what_cannot_be_is_named(
    kept: Record, clips: tuple[Path, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    ids = [kept.add_clip(lesson.id, path.name, path).clip.id for path in clips[:3]]
    for clip_id in ids[:2]:
        kept.save_reading(clip_id, stand_in.toppling())
    found = {str(kept.clip_path(kept.clip(ids[0]))): Area(24, 16, 72, 48)}

    def area(path: Path, *_: object) -> Area:
        if str(path) not in found:
            raise NotFoundError("No straight board edge turned with the board.")
        return found[str(path)]

    monkeypatch.setattr(blanking, "board_area", area)
    monkeypatch.setattr(desk, "bench", lambda: stand_in.StandInBench(stand_in.toppling()))
    page = _shown()
    assert any("kept whole: 1 of" in caption.value for caption in page.caption)
    page = _click(page, "Blank all but the board (2 of 3 clips)")
    assert "No straight board edge" in page.error[0].value.replace("\\", "")
    assert page.success[0].value == "Blanked: 1 of 2 clips."
    assert [kept.clip(each).cropped for each in ids] == [True, False, False]


def test_clips_set_aside_are_deleted_when_asked(kept: Record, small_clip: Path) -> None:
    lesson = kept.add_lesson("Tins", date(2026, 11, 24))
    kept.add_clip(lesson.id, "a.mp4", small_clip)
    _damage(kept)
    page = _click(_shown(), "Set the damaged record aside and begin a new one")
    the_record().add_lesson("Tubs", date(2026, 11, 25))
    page = _shown()
    assert "Clips of an earlier record" in page.warning[0].value
    _click(page, "Delete these clips for good")
    assert kept.place.clips_aside() == ()
