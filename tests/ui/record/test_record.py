"""The one door to the class record."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import radians
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import text

from solver.errors import AngleError, ClipFormatError, ClipMissingError, InputError, LengthError
from tests.ui import stand_in
from ui.answer import answer
from ui.record import deletions
from ui.record.errors import AlreadyThereError, NotInRecordError
from ui.record.pictures import in_jpeg, picture_in, png_of
from ui.record.record import Record
from ui.record.rows import Clip, Lesson
from vision.reading import Outcome


def test_what_is_added_is_there_after_reopening(record: Record, lesson: Lesson) -> None:
    group = record.add_group(lesson.id, "  Table   4 ")
    body = record.add_body("leaf tea tin", 0.034, 0.0002, 0.21, "lid on")
    surface = record.add_surface("plywood")
    balance = record.add_balance_reading(lesson.id, body.id, 0.082, "base", group.id)
    prediction = record.add_prediction(body.id, 0.084, 0.002, "a tube with one base")
    record.close()
    again = Record(record.place.url)
    assert again.lessons() == (lesson,)
    assert again.groups(lesson.id) == (group,)
    assert group.label == "Table 4"
    assert (again.bodies(), again.surfaces()) == ((body,), (surface,))
    assert again.balance_readings(lesson.id) == (balance,)
    assert again.predictions(body.id) == (prediction,)
    again.close()


def test_the_latest_lesson_comes_first(record: Record, lesson: Lesson) -> None:
    later = record.add_lesson("Tubs", lesson.day + timedelta(days=7))
    earlier = record.add_lesson("Tubes", lesson.day - timedelta(days=7))
    assert record.lessons() == (later, lesson, earlier)


def test_a_reading_comes_back_whole(record: Record, clip: Clip) -> None:
    measured = stand_in.toppling(stand_in.brink_deg(21.0, 0.25))
    row = record.save_reading(clip.id, measured, radius_m=0.034)
    back = record.clip_reading(row)
    assert back.angle_rad is not None and measured.angle_rad is not None
    assert back.angle_rad.nominal_value == measured.angle_rad.nominal_value
    assert back.angle_rad.std_dev == pytest.approx(measured.angle_rad.std_dev, rel=1e-12)
    parts = {v.tag: u for v, u in back.angle_rad.error_components().items()}
    assert parts == pytest.approx(
        {v.tag: u for v, u in measured.angle_rad.error_components().items()}
    )
    assert back.series is not None and measured.series is not None
    for name, column in vars(measured.series).items():
        np.testing.assert_array_equal(getattr(back.series, name), column)
    for one, other in zip(back.pictures, measured.pictures, strict=True):
        assert replace(one, png=other.png) == other
        assert one.plane_px == stand_in.PLANE
        seen = picture_in(one.png).astype(int) - picture_in(other.png)
        assert np.abs(seen).max() <= 2
    plain = {"angle_rad": None, "largest_tilt_rad": None, "series": None, "pictures": ()}
    assert replace(back, **plain) == replace(measured, **plain)
    assert back.evidence == measured.evidence != ()
    heights = [answer(each, 0.034).height_u95_m for each in (back, measured)]
    assert heights[0] == pytest.approx(heights[1], rel=1e-9)


def test_stories_that_are_not_known_are_named_not_left_out(record: Record, clip: Clip) -> None:
    record.save_reading(clip.id, stand_in.toppling())
    with record.writing() as session:
        session.execute(text("""UPDATE reading SET evidence = '[["flies", 0.0]]'"""))
    with pytest.raises(ValueError, match="'flies' is not a valid Story"):
        record.reading_of(clip.id)


def test_an_unmeasured_angle_comes_back_as_none(record: Record, clip: Clip) -> None:
    row = record.save_reading(clip.id, stand_in.lost())
    assert row.outcome is Outcome.UNREADABLE
    assert (row.angle, row.angle_u_rad, row.largest_tilt, row.budget) == (None, None, None, ())
    assert row.evidence == ()
    assert (record.series(row.id), record.pictures(row.id)) == (None, ())


def test_the_latest_reading_counts(record: Record, lesson: Lesson, clip: Clip) -> None:
    record.save_reading(clip.id, stand_in.lost())
    latest = record.save_reading(clip.id, stand_in.sliding())
    assert record.reading_of(clip.id) == latest
    assert record.lesson_view(lesson.id).readings == (latest,)
    record.remove(latest)
    found = record.reading_of(clip.id)
    assert found is not None and found.outcome is Outcome.UNREADABLE


def test_a_new_tilt_at_the_start_takes_all_readings_out_in_one_change(
    record: Record, clip: Clip
) -> None:
    for reading in (stand_in.toppling(), stand_in.sliding()):
        latest = record.save_reading(clip.id, reading)
    record.change(clip, repeat=2, start_tilt_rad=clip.start_tilt_rad)
    assert record.reading_of(clip.id) == latest
    with pytest.raises(InputError, match="repeat number is 0"):
        record.change_all([(clip, {"start_tilt_rad": 0.02}), (clip, {"repeat": 0})])
    assert record.reading_of(clip.id) == latest
    record.change(clip, start_tilt_rad=0.02)
    assert record.reading_of(clip.id) is None
    (removed,) = record.deletions()
    assert removed.what == f"readings of {clip.name}"
    assert record.undo() == removed
    assert record.reading_of(clip.id) == latest


def test_readings_are_forgotten_and_brought_back(record: Record, clip: Clip) -> None:
    assert record.forget_readings(clip.id) is None
    kept = record.save_reading(clip.id, stand_in.toppling())
    removed = record.forget_readings(clip.id)
    assert record.reading_of(clip.id) is None and record.deletions() == (removed,)
    record.undo()
    assert record.reading_of(clip.id) == kept


def test_a_lesson_is_seen_whole(record: Record, lesson: Lesson, clip: Clip) -> None:
    group = record.add_group(lesson.id, "Table 4")
    body, other = record.add_body("tea", 0.034, 0.0002), record.add_body("tub", 0.04, 0.0002)
    surface = record.add_surface("plywood")
    record.add_surface("paper")
    clip = record.change(clip, group_id=group.id, body_id=body.id, surface_id=surface.id, repeat=2)
    reading = record.save_reading(clip.id, stand_in.toppling())
    prediction = record.add_prediction(body.id, 0.09, 0.0, "model")
    record.add_prediction(other.id, 0.09, 0.0, "model")
    student = record.add_student_reading(
        clip.id, "pupil 7", radians(21), radians(1), "agrees", 0.09
    )
    view = record.lesson_view(lesson.id)
    assert (view.lesson, view.groups, view.bodies, view.surfaces) == (
        lesson, (group,), (body,), (surface,),
    )  # fmt: skip
    assert (view.clips, view.readings, view.predictions) == ((clip,), (reading,), (prediction,))
    assert view.student_readings == (student,) == record.student_readings(lesson.id)
    assert (view.group(clip.group_id), view.body(clip.body_id)) == (group, body)
    assert (view.surface(clip.surface_id), view.reading_of(clip.id)) == (surface, reading)


def test_a_change_leaves_the_other_fields_as_another_left_them(record: Record, clip: Clip) -> None:
    group = record.add_group(clip.lesson_id, "Table 4")
    record.change(clip, group_id=group.id)
    changed = record.change(clip, repeat=3)  # with the row as it was before
    assert (changed.group_id, changed.repeat) == (group.id, 3)


def test_several_changes_are_all_made_or_none(record: Record, clip: Clip, lesson: Lesson) -> None:
    group = record.add_group(lesson.id, "Table 4")
    with pytest.raises(InputError, match="repeat number is 0"):
        record.change_all([(clip, {"group_id": group.id}), (clip, {"repeat": 0})])
    assert record.clip(clip.id) == clip


def test_what_a_row_has_not_cannot_be_changed(record: Record, clip: Clip) -> None:
    with pytest.raises(TypeError, match="stored"):
        record.change(clip, stored="../../elsewhere.mp4")


def test_a_group_of_another_lesson_is_refused(record: Record, clip: Clip) -> None:
    other = record.add_lesson("Another", date(2026, 11, 25))
    group = record.add_group(other.id, "Table 4")
    with pytest.raises(NotInRecordError, match="another lesson"):
        record.change(clip, group_id=group.id)


@pytest.mark.parametrize(
    ("add", "error", "said"),
    [
        (lambda r, n: r.add_lesson("  ", date.today()), InputError, "title is empty"),
        (lambda r, n: r.add_lesson("x", date(26, 1, 1)), InputError, "four figures"),
        (lambda r, n: r.add_lesson("x", date.today(), -1), InputError, "keeping time"),
        (lambda r, n: r.add_group(n, "x" * 201), InputError, "201 characters"),
        (lambda r, n: r.add_body("tin", 34.0, 0.0002), LengthError, "radius"),
        (lambda r, n: r.add_body("tin", 0.034, float("nan")), LengthError, "radius"),
        (lambda r, n: r.add_balance_reading(n, 99, 0.1, "base"), NotInRecordError, "body"),
        (lambda r, n: r.add_student_reading(99, "", 0.3, 0.01, "x"), NotInRecordError, "clip"),
    ],
)
def test_what_is_not_possible_is_refused(record: Record, lesson: Lesson, add, error, said) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(error, match=said):
        add(record, lesson.id)


def test_a_protractor_that_reads_to_nothing_is_refused(record: Record, clip: Clip) -> None:
    with pytest.raises(AngleError, match="step of the protractor"):
        record.add_student_reading(clip.id, "", 0.3, 0.0, "agrees")


def test_a_name_is_given_once(record: Record, lesson: Lesson) -> None:
    record.add_group(lesson.id, "Table 4")
    with pytest.raises(AlreadyThereError, match="There is Table 4 already"):
        record.add_group(lesson.id, "Table 4")
    other = record.add_lesson("Another", date(2026, 11, 25))
    assert record.add_group(other.id, "Table 4").label == "Table 4"


def test_text_is_kept_as_it_was_typed(record: Record, lesson: Lesson) -> None:
    nasty = "<b>=1+1</b> '; DROP TABLE lesson; -- ${x} Ωß \U0001f600"
    assert record.add_group(lesson.id, nasty).label == nasty
    assert record.add_group(lesson.id, "bell\a\udcff").label == "bell\ufffd\ufffd"


def test_a_clip_is_kept_under_a_name_of_ours(record: Record, lesson: Lesson, clips) -> None:  # type: ignore[no-untyped-def]
    added = record.add_clip(lesson.id, "../../../etc/passwd\x00<b>.mp4", clips[1].read_bytes())
    path = record.clip_path(added.clip)
    assert path.parent == record.place.clips
    assert path.name == added.clip.stored
    assert added.clip.name == "../../../etc/passwd\ufffd<b>.mp4"


def test_the_same_content_is_recognised_in_its_lesson(
    record: Record, lesson: Lesson, clip: Clip, small_clip: Path
) -> None:
    again = record.add_clip(lesson.id, "another name.mp4", small_clip.read_bytes())
    assert (again.clip, again.known) == (clip, True)
    other = record.add_lesson("Another", date(2026, 11, 25))
    elsewhere = record.add_clip(other.id, "a.mp4", small_clip)
    assert not elsewhere.known
    record.delete_clip_file(elsewhere.clip.id)
    assert record.clip_path(clip).is_file()


def test_a_long_name_is_shortened(record: Record, lesson: Lesson, small_clip: Path) -> None:
    clip = record.add_clip(lesson.id, "x" * 250 + ".mp4", small_clip).clip
    assert len(clip.name) == 200
    assert clip.name.endswith("x.mp4")


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.mp4", b"", "came empty"),
        ("a.txt", b"hello", "does not end like a clip"),
        ("a.mp4", b"no clip at all" * 99, "a.mp4 holds no picture"),
    ],
)
def test_what_is_no_clip_is_refused_and_leaves_nothing(
    record: Record, lesson: Lesson, name: str, content: bytes, said: str
) -> None:
    with pytest.raises(ClipFormatError, match=said):
        record.add_clip(lesson.id, name, content)
    assert record.clips(lesson.id) == ()
    assert list(record.place.clips.iterdir()) == []


def test_a_clip_of_a_lesson_that_is_gone_leaves_nothing(
    record: Record, lesson: Lesson, small_clip: Path
) -> None:
    record.remove(lesson)
    with pytest.raises(NotInRecordError, match="This lesson is no longer"):
        record.add_clip(lesson.id, "a.mp4", small_clip)
    assert list(record.place.clips.iterdir()) == []


def test_a_file_that_is_not_there_is_named(record: Record, lesson: Lesson, tmp_path: Path) -> None:
    with pytest.raises(ClipMissingError, match=r"gone\.mp4 is not there"):
        record.add_clip(lesson.id, "gone.mp4", tmp_path / "gone.mp4")
    with pytest.raises(ClipFormatError, match="no file"):
        record.add_clip(lesson.id, "folder.mp4", tmp_path)


def test_a_deleted_clip_is_gone_and_its_figures_stay(
    record: Record, lesson: Lesson, clip: Clip, small_clip: Path
) -> None:
    reading = record.save_reading(clip.id, stand_in.toppling())
    assert len(record.pictures(reading.id)) == 3
    path = record.clip_path(clip)
    gone = record.delete_clip_file(clip.id)
    assert gone.stored is None
    assert not path.exists()
    assert record.pictures(reading.id) == ()
    assert record.reading_of(clip.id) == reading
    with pytest.raises(ClipMissingError, match=r"table4_tea_2\.mp4 was deleted"):
        record.clip_path(gone)
    again = record.add_clip(lesson.id, "x.mp4", small_clip)
    assert (again.known, again.clip.id) == (True, clip.id)
    assert record.clip_path(again.clip).is_file()


def test_a_deleted_picture_leaves_no_trace_in_the_files(record: Record, clip: Clip) -> None:
    reading = stand_in.toppling()
    noise = np.random.default_rng(4).integers(0, 255, (300, 400, 3), np.uint8)
    pictures = (replace(reading.pictures[0], png=png_of(in_jpeg(noise))),)
    record.save_reading(clip.id, replace(reading, pictures=pictures))
    with record.asking() as session:
        secret = session.scalar(text("SELECT jpeg FROM picture"))[1000:1060]
    assert _files_with(record, secret)
    record.delete_clip_file(clip.id)
    assert not _files_with(record, secret)


def _files_with(record: Record, secret: bytes) -> list[Path]:
    files = [path for path in record.place.folder.rglob("*") if path.is_file()]
    return [path for path in files if secret in path.read_bytes()]


def test_a_clip_deleted_meanwhile_keeps_no_pictures(record: Record, clip: Clip) -> None:
    record.delete_clip_file(clip.id)
    reading = record.save_reading(clip.id, stand_in.toppling())
    assert record.pictures(reading.id) == ()


@pytest.mark.parametrize(("keep_days", "days_on", "gone"), [(7, 7, 0), (7, 8, 1), (None, 9999, 0)])
def test_clips_go_when_their_time_is_over(
    record: Record, lesson: Lesson, clip: Clip, keep_days: int | None, days_on: int, gone: int
) -> None:
    record.change(lesson, keep_days=keep_days)
    record.save_reading(clip.id, stand_in.toppling())
    forgotten = record.forget_due_clips(lesson.day + timedelta(days=days_on))
    assert len(forgotten) == gone
    assert record.clip(clip.id).stored == (None if gone else clip.stored)
    assert len(list(record.place.clips.iterdir())) == 1 - gone
    assert record.reading_of(clip.id) is not None


def test_due_clips_go_when_the_record_is_opened(record: Record, lesson: Lesson, clip: Clip) -> None:
    record.change(lesson, day=date(2020, 1, 1), keep_days=1)
    record.close()
    again = Record(record.place.url)
    assert again.clip(clip.id).stored is None
    again.close()


def test_a_removed_group_comes_back_with_its_clips(
    record: Record, lesson: Lesson, clip: Clip
) -> None:
    group = record.add_group(lesson.id, "Table 4")
    clip = record.change(clip, group_id=group.id)
    removed = record.remove(group)
    assert removed.what == "group Table 4"
    assert record.groups(lesson.id) == ()
    assert record.clip(clip.id).group_id is None
    record.close()
    again = Record(record.place.url)
    assert again.deletions() == (removed,)
    assert again.undo() == removed
    assert (again.groups(lesson.id), again.clip(clip.id)) == ((group,), clip)
    assert (again.undo(), again.deletions()) == (None, ())
    again.close()


def test_a_removed_lesson_comes_back_without_its_clips_files(
    record: Record, lesson: Lesson, clip: Clip
) -> None:
    group = record.add_group(lesson.id, "Table 4")
    reading = record.save_reading(clip.id, stand_in.toppling())
    record.remove(reading)
    kept = record.save_reading(clip.id, stand_in.sliding())
    record.remove(lesson)
    assert record.lessons() == ()
    with pytest.raises(NotInRecordError):
        record.clip(clip.id)
    assert list(record.place.clips.iterdir()) == []
    record.undo()
    view = record.lesson_view(lesson.id)
    assert (view.groups, view.readings) == ((group,), (kept,))
    assert view.clips == (replace(clip, stored=None),)
    record.undo()
    assert record.reading_of(clip.id) == kept  # the later one, though the earlier is back
    assert len(record.deletions()) == 0


def test_a_removed_body_takes_its_predictions_along(record: Record, lesson: Lesson) -> None:
    body = record.add_body("tea", 0.034, 0.0002)
    prediction = record.add_prediction(body.id, 0.09, 0.0, "model")
    balance = record.add_balance_reading(lesson.id, body.id, 0.08, "top")
    record.remove(body)
    assert (record.predictions(body.id), record.balance_readings(lesson.id)) == ((), ())
    record.undo()
    assert record.predictions(body.id) == (prediction,)
    assert record.balance_readings(lesson.id) == (balance,)


def test_undoing_makes_no_two_of_one_name(record: Record, lesson: Lesson) -> None:
    record.remove(record.add_group(lesson.id, "Table 4"))
    second = record.add_group(lesson.id, "Table 4")
    with pytest.raises(AlreadyThereError, match="group Table 4 cannot be brought back"):
        record.undo()
    record.change(second, label="Table 5")
    record.undo()
    assert [group.label for group in record.groups(lesson.id)] == ["Table 4", "Table 5"]


def test_removed_rows_are_given_up_in_time(record: Record, lesson: Lesson, clip: Clip) -> None:
    group = record.add_group(lesson.id, "Table 4")
    record.change(clip, group_id=group.id)
    record.save_reading(clip.id, stand_in.toppling())
    record.remove(group)
    other = record.add_lesson("Another", date(2026, 11, 25))
    record.remove(lesson)
    long_on = datetime.now(UTC) + timedelta(days=deletions.UNDO_DAYS + 1)
    with record.writing() as session:
        deletions.give_up(session, long_on)
        counts = {
            table: session.scalar(text(f"SELECT count(*) FROM {table}"))
            for table in ("lesson", "class_group", "clip", "reading", "picture", "deletion")
        }
    assert counts == {
        "lesson": 1, "class_group": 0, "clip": 0, "reading": 0, "picture": 0, "deletion": 0,
    }  # fmt: skip
    assert record.lessons() == (other,)


def test_settings_are_kept(record: Record) -> None:
    assert record.setting("passphrase") is None
    record.set_setting("passphrase", "$argon2id$one")
    record.set_setting("passphrase", "$argon2id$two")
    assert record.setting("passphrase") == "$argon2id$two"
    record.set_setting("passphrase", None)
    assert record.setting("passphrase") is None
