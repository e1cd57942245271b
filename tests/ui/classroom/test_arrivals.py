"""Clips taken in: assigned by name, recognised by content, and refused one by one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ui.classroom.arrivals import clips_in, group_of, surface_of, take_in, unknown_bodies
from ui.record.errors import NotInRecordError
from ui.record.record import Record


@pytest.fixture
def lesson(record: Record) -> int:
    return record.add_lesson("Tea tins", date(2026, 11, 25)).id


def test_a_clip_is_given_what_its_name_says(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    tin = record.add_body("Leaf tea tin", 0.034, 0.0002)
    arrived = take_in(record, lesson, [("table4_tea_felt_2.mp4", still_clips[0])])
    view = record.lesson_view(lesson)
    (clip,) = view.clips
    assert arrived.added == (clip,)
    group, surface = view.group(clip.group_id), view.surface(clip.surface_id)
    assert group is not None and surface is not None
    assert (group.label, clip.body_id, surface.name, clip.repeat) == ("Table 4", tin.id, "Felt", 2)


def test_groups_and_surfaces_are_made_once(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    names = ("table4_felt_1.mp4", "Table 4 FELT 2.mp4", "t04_felt_3.mp4")
    take_in(record, lesson, zip(names, still_clips, strict=False))
    assert [group.label for group in record.groups(lesson)] == ["Table 4"]
    assert [surface.name for surface in record.surfaces()] == ["Felt"]


def test_a_body_is_never_made_up(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    names = ("table1_jar_1.mp4", "table2_jar_1.mp4", "IMG_4032.mp4")
    take_in(record, lesson, zip(names, still_clips, strict=False))
    assert record.bodies() == ()
    unknown = unknown_bodies(record, record.lesson_view(lesson))
    assert {words: len(clips) for words, clips in unknown.items()} == {"jar": 2}


def test_the_same_clip_is_recognised_by_its_content(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    first = take_in(record, lesson, [("table1_tea_1.mp4", still_clips[0])]).added[0]
    again = take_in(record, lesson, [("copy of it.mp4", still_clips[0])])
    assert again.added == () and again.known == (("copy of it.mp4", first),)
    assert len(record.clips(lesson)) == 1
    assert again.words() == "0 clips are in; 1 had been there before."


def test_what_was_put_right_by_hand_stays_when_a_clip_comes_again(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    clip = take_in(record, lesson, [("table1_tea_1.mp4", still_clips[0])]).added[0]
    record.change(clip, repeat=5, group_id=None)
    take_in(record, lesson, [("table1_tea_1.mp4", still_clips[0])])
    (after,) = record.clips(lesson)
    assert (after.repeat, after.group_id) == (5, None)


@pytest.mark.parametrize("content", [b"", b"no clip at all" * 99])
def test_one_that_is_refused_keeps_no_other_out(
    record: Record, lesson: int, still_clips: tuple[bytes, ...], content: bytes
) -> None:
    clips = [("bad.mp4", content), ("notes.txt", b"text"), ("table1_tea_1.mp4", still_clips[0])]
    arrived = take_in(record, lesson, clips)
    assert [clip.name for clip in arrived.added] == ["table1_tea_1.mp4"]
    assert [name for name, _ in arrived.refused] == ["bad.mp4", "notes.txt"]
    assert all(reason.endswith(".") for _, reason in arrived.refused)
    assert arrived.words() == "1 clip is in; 2 could not be taken in."


def test_a_lesson_that_is_gone_is_said(record: Record, still_clips: tuple[bytes, ...]) -> None:
    with pytest.raises(NotInRecordError):
        take_in(record, 99, [("a.mp4", still_clips[0])])


def test_each_name_is_told_before_its_clip(
    record: Record, lesson: int, still_clips: tuple[bytes, ...]
) -> None:
    told: list[str] = []
    take_in(record, lesson, [("a.mp4", still_clips[0]), ("b.mp4", b"")], told.append)
    assert told == ["a.mp4", "b.mp4"]


def test_a_folder_gives_its_clips_alone(tmp_path: Path) -> None:
    for name in ("b.MP4", "a.mov", "plan.csv", ".a.mp4.part"):
        (tmp_path / name).write_text("")
    (tmp_path / "below.mp4").mkdir()
    assert [path.name for path in clips_in(tmp_path)] == ["a.mov", "b.MP4"]
    with pytest.raises(FileNotFoundError):
        clips_in(tmp_path / "none")


def test_names_are_found_but_for_case_and_blanks(record: Record, lesson: int) -> None:
    assert group_of(record, lesson, "Blue team") == group_of(record, lesson, "blue  TEAM")
    assert surface_of(record, "felt") == surface_of(record, "Felt")
