"""Lessons from formulae, without a database: what the class's results are worked out from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import atan, radians

from ui.record.rows import (
    BalanceReading,
    Body,
    Clip,
    Group,
    Lesson,
    LessonView,
    Prediction,
    Reading,
    Surface,
)
from vision.reading import ClipFacts, Outcome

NOW = datetime(2026, 11, 25, 10, 15, tzinfo=UTC)
LESSON = Lesson(1, "Tea tins, 10b", date(2026, 11, 25), None, None)
TIN = Body(1, "Leaf tea tin", 0.034, 0.0002, 0.168, "")
TUB = Body(2, "Seed tub", 0.040, 0.0002, None, "")
PAPER, FELT = Surface(1, "Paper"), Surface(2, "Felt")
FACTS = ClipFacts(1280, 720, 300, 10.0, 30.0)


@dataclass(frozen=True)
class Shot:
    """A clip and what was measured in it; angles in degrees."""

    group: int | None
    outcome: Outcome
    angle_deg: float | None = None
    body: Body = TIN
    surface: Surface | None = None
    u_deg: float = 0.2


def topples(group: int | None, height_mm: float, body: Body = TIN, u_deg: float = 0.2) -> Shot:
    """A body whose centre lies so high, seen to topple."""
    angle = atan(body.radius_m / (height_mm / 1000)) / radians(1)
    return Shot(group, Outcome.TOPPLES, angle, body, None, u_deg)


def slides(group: int | None, friction: float, surface: Surface | None = PAPER) -> Shot:
    """A tub that slides at the angle with that tangent."""
    return Shot(group, Outcome.SLIDES, atan(friction) / radians(1), TUB, surface)


def view_of(
    shots: Sequence[Shot],
    balance: Sequence[BalanceReading] = (),
    predictions: Sequence[Prediction] = (),
) -> LessonView:
    """A lesson with these clips; groups are Table 1, 2, …"""
    tables = sorted({shot.group for shot in shots if shot.group is not None})
    return LessonView(
        lesson=LESSON,
        groups=tuple(Group(i, 1, f"Table {i}") for i in tables),
        bodies=(TIN, TUB),
        surfaces=(PAPER, FELT),
        clips=tuple(_clip(i, shot) for i, shot in enumerate(shots, 1)),
        readings=tuple(_reading(i, shot) for i, shot in enumerate(shots, 1)),
        balance_readings=tuple(balance),
        predictions=tuple(predictions),
        student_readings=(),
    )


def _clip(number: int, shot: Shot) -> Clip:
    return Clip(
        id=number, lesson_id=1, sha256=f"{number:064x}", name=f"clip_{number}.mp4",
        stored=f"{number}.mp4", cropped=False, group_id=shot.group, body_id=shot.body.id,
        surface_id=shot.surface and shot.surface.id, repeat=None, start_tilt_rad=0.0, added_at=NOW,
    )  # fmt: skip


def _reading(number: int, shot: Shot) -> Reading:
    part = radians(shot.u_deg) / 2**0.5
    angle = None if shot.angle_deg is None else radians(shot.angle_deg)
    return Reading(
        id=number, clip_id=number, outcome=shot.outcome, angle_rad=angle,
        budget=() if angle is None else (("start tilt", part), ("brink", part)),
        onset_s=None if angle is None else 8.0, onset_frame=None if angle is None else 240,
        largest_tilt_rad=radians(22.0), largest_tilt_u_rad=radians(0.1),
        reasons=("It was seen to do so.",), by_hand=False, seconds_taken=8.0, facts=FACTS,
        radius_m=shot.body.radius_m, at=NOW, evidence=(),
    )  # fmt: skip
