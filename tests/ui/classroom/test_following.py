"""A plan put into the record."""

from __future__ import annotations

from datetime import date
from math import radians

import pytest

from solver.errors import InputError
from tests.ui.stand_in import toppling
from ui.classroom.arrivals import take_in
from ui.classroom.following import follow
from ui.classroom.plan import PlanRow, read_plan
from ui.record.record import Record
from ui.record.rows import Clip, LessonView

NAMES = ("table4_tea_1.mp4", "table4_tea_2.mp4", "IMG_4032.mp4")


@pytest.fixture
def clips(record: Record, still_clips: tuple[bytes, ...]) -> tuple[Clip, ...]:
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    return take_in(record, lesson.id, zip(NAMES, still_clips, strict=False)).added


def planned(clips: tuple[Clip, ...], text: str) -> list[tuple[Clip, PlanRow]]:
    named = {clip.name: clip for clip in clips}
    return [(named[row.clip], row) for row in read_plan(text.encode(), "plan.csv", NAMES).rows]


def view(record: Record, clips: tuple[Clip, ...]) -> LessonView:
    return record.lesson_view(clips[0].lesson_id)


def test_groups_bodies_and_surfaces_are_made(record: Record, clips: tuple[Clip, ...]) -> None:
    text = (
        "clip,group,body,surface,repeat,radius_mm,radius_u_mm,start_tilt_deg\n"
        "table4_tea_2.mp4,,leaf TEA tin,,,,,\n"
        "IMG_4032.mp4,Table 5,Leaf tea tin,felt,3,34,0.3,1\n"
    )
    _, camera = follow(record, planned(clips, text))
    found = view(record, clips)
    (body,) = record.bodies()
    assert (body.name, body.radius_m, body.radius_u_m) == ("Leaf tea tin", 0.034, 0.0003)
    group, surface = found.group(camera.group_id), found.surface(camera.surface_id)
    assert group is not None and surface is not None
    assert (group.label, surface.name, camera.repeat) == ("Table 5", "Felt", 3)
    assert {clip.body_id for clip in found.clips if clip.name != NAMES[0]} == {body.id}


def test_what_the_plan_does_not_say_is_guessed(record: Record, clips: tuple[Clip, ...]) -> None:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    (clip,) = follow(record, planned(clips, "clip\ntable4_tea_2.mp4\n"))
    assert clip.body_id is not None and clip.repeat == 2


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("Jar,", "line 2: Jar is not in the record. Give its radius_mm."),
        ("Leaf tea tin,36", "line 2: the record has Leaf tea tin with a radius of 34 mm"),
    ],
)
def test_a_radius_that_is_not_known_or_another_is_refused_before_anything_changes(
    record: Record, clips: tuple[Clip, ...], row: str, words: str
) -> None:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    before = view(record, clips)
    with pytest.raises(InputError, match=words):
        follow(record, planned(clips, f"clip,body,radius_mm\nIMG_4032.mp4,{row}\n"))
    assert view(record, clips) == before and len(record.bodies()) == 1


@pytest.mark.parametrize(
    ("text", "start_deg"),
    [
        ("clip\ntable4_tea_1.mp4\n", 2.0),
        ("clip,start_tilt_deg\ntable4_tea_1.mp4,\n", 2.0),
        ("clip,start_tilt_deg\ntable4_tea_1.mp4,0\n", 0.0),
    ],
    ids=["no column", "empty", "level"],
)
def test_a_start_that_was_typed_stays_unless_the_plan_says_another(
    record: Record, clips: tuple[Clip, ...], text: str, start_deg: float
) -> None:
    record.change(clips[0], start_tilt_rad=radians(2.0))
    reading = record.save_reading(clips[0].id, toppling())
    (clip,) = follow(record, planned(clips[:1], text))
    assert clip.start_tilt_rad == pytest.approx(radians(start_deg))
    assert record.reading_of(clip.id) == (reading if start_deg else None)


def test_another_tilt_at_the_start_takes_the_reading_away(
    record: Record, clips: tuple[Clip, ...]
) -> None:
    record.save_reading(clips[0].id, toppling())
    follow(record, planned(clips, "clip,start_tilt_deg\ntable4_tea_1.mp4,2\n"))
    assert record.reading_of(clips[0].id) is None
