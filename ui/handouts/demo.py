"""An invented lesson, to show the hand-outs before a class has filmed; every sheet says so."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache
from math import radians, sqrt

import cv2

from solver.readings import Moved
from ui.handouts.content import Lesson
from ui.record.rows import (
    BalanceReading,
    Body,
    Clip,
    Group,
    LessonView,
    Prediction,
    Reading,
    StudentReading,
    Surface,
)
from ui.record.rows import Lesson as LessonRow
from ui.samples import FOLDER
from vision.clip import open_clip
from vision.reading import ClipFacts, EvidencePicture, Outcome

SAMPLE = FOLDER / "leaf_tea_topples.mp4"
MOMENTS_S = {"start": 0.5, "brink": 7.85, "after": 8.25}
"""Of the sample, a synthetic rendering of the tin below."""
DAY = date(2026, 3, 12)
NOON = datetime(2026, 3, 12, 12, tzinfo=UTC)
GROUPS = tuple(Group(n, 1, f"Table {n}") for n in (1, 2, 3, 4))
TIN = Body(1, "leaf tea tin", 0.034, 0.0002, 0.210, "")
TUB = Body(2, "seed tub", 0.034, 0.0002, 0.085, "")
CORK, PLANED = Surface(1, "cork mat"), Surface(2, "planed board")
FACTS = ClipFacts(1280, 720, 270, 9.0, 30.0)

TOPPLED_DEG = {1: (21.9, 22.3, 22.1), 2: (21.7, 22.0, 22.2), 3: (20.9, 21.1, 20.7),
               4: (22.2, 21.8, 22.4)}  # fmt: skip
SLID_DEG = {1: (20.9, 20.4), 4: (21.4,)}
"""By the number of the table."""
OVERHANGS = ((1, 0.0815, "base"), (2, 0.0825, "base"), (3, 0.0820, "base"), (4, 0.1245, "top"))
STUDENTS = (
    (1, "pupil 3", 22.0, "agrees", None),
    (4, "pupil 7", 158.0, "differs", "read from the other end of the scale"),
    (10, "", 24.5, "differs", "read after the body had moved"),
)
"""Clip, who, what was read, the verdict, the likely slip."""


@cache
def invented_lesson() -> Lesson:
    """The lesson; its pictures are of a synthetic clip."""
    clips: list[Clip] = []
    readings: list[Reading] = []
    for group, body, surface, outcome, deg in _done():
        number = len(clips) + 1
        repeat = 1 + sum(c.group_id == group and c.body_id == body.id for c in clips)
        clips.append(_clip(number, group, body, surface, repeat))
        readings.append(_reading(number, outcome, deg))
    view = LessonView(
        lesson=LessonRow(1, "Where is the tin's centre?", DAY, None, None),
        groups=GROUPS,
        bodies=(TIN, TUB),
        surfaces=(CORK, PLANED),
        clips=tuple(clips),
        readings=tuple(readings),
        balance_readings=tuple(
            BalanceReading(n, 1, n, TIN.id, overhang, end, 0.002, 0.0)
            for n, overhang, end in OVERHANGS
        ),
        predictions=(Prediction(1, TIN.id, 0.0842, 0.0006, "its parts"),),
        student_readings=tuple(_student(n, *each) for n, each in enumerate(STUDENTS, start=1)),
    )
    tins = {clip.id for clip in clips if clip.body_id == TIN.id}

    def pictures_of(clip: int) -> tuple[EvidencePicture, ...]:
        return _pictures() if clip in tins else ()

    return Lesson(view, pictures_of, _moved, invented=True)


def _moved(reading: Reading) -> Moved | None:
    """The board goes on for a few degrees while the body falls."""
    angle = reading.angle_rad
    return None if angle is None else Moved(angle + radians(1), angle + radians(5))


def _done() -> list[tuple[int, Body, Surface, Outcome, float | None]]:
    """Table, body, surface, outcome and angle of each clip."""
    toppled = [
        (g, TIN, CORK, Outcome.TOPPLES, deg) for g, all_ in TOPPLED_DEG.items() for deg in all_
    ]
    slid = [(g, TUB, PLANED, Outcome.SLIDES, deg) for g, all_ in SLID_DEG.items() for deg in all_]
    return [*toppled, *slid, (2, TUB, PLANED, Outcome.UNREADABLE, None)]


def _clip(number: int, group: int, body: Body, surface: Surface, repeat: int) -> Clip:
    name = f"table{group}_{body.name.split()[-1]}_{repeat}.mp4"
    return Clip(
        number,
        1,
        f"{number:064x}",
        name,
        None,
        False,
        group,
        body.id,
        surface.id,
        repeat,
        0.0,
        NOON,
    )


def _reading(clip: int, outcome: Outcome, deg: float | None) -> Reading:
    unread = outcome is Outcome.UNREADABLE
    return Reading(
        id=clip,
        clip_id=clip,
        outcome=outcome,
        angle_rad=None if deg is None else radians(deg),
        budget=() if unread else (("start tilt", radians(0.2) / sqrt(3)), ("brink", radians(0.12))),
        onset_s=None if unread else MOMENTS_S["brink"],
        onset_frame=None if unread else 235,
        largest_tilt_rad=None if deg is None else radians(deg + 1.5),
        largest_tilt_u_rad=None if unread else radians(0.1),
        reasons=("The board left the picture before the body moved.",) if unread else (),
        by_hand=False,
        seconds_taken=9.0,
        facts=FACTS,
        radius_m=TIN.radius_m,
        at=NOON,
        evidence=(),
    )


def _student(
    number: int, clip: int, by: str, deg: float, verdict: str, slip: str | None
) -> StudentReading:
    return StudentReading(number, clip, by, radians(deg), radians(1.0), None, verdict, slip, NOON)


@cache
def _pictures() -> tuple[EvidencePicture, ...]:
    wanted, taken = list(MOMENTS_S.items()), []
    with open_clip(SAMPLE) as clip:
        for frame in clip:
            if wanted and frame.time_s >= wanted[0][1]:
                moment, _ = wanted.pop(0)
                _, png = cv2.imencode(".png", frame.bgr)
                taken.append(EvidencePicture(moment, frame.index, frame.time_s, png.tobytes()))
            if not wanted:
                break
    return tuple(taken)
