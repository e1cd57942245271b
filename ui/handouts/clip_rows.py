"""A group's clips as rows of a table: one by one, or together where they are many."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from uncertainties import nominal_value

from solver.quantities import DEGREE, MILLIMETRE
from ui.classroom.results import Measured
from ui.handouts.content import Lesson, value_of
from ui.handouts.said import NONE, clip_row
from vision.reading import Outcome

MOST_ROWS = 6
"""Of clips one by one; more are told together, so that a page holds them."""


def rows_of(lesson: Lesson, clips: Sequence[Measured]) -> list[dict[str, Any]]:
    """Rows as `ui.handouts.said.clip_row` makes them."""
    if len(clips) <= MOST_ROWS:
        return [clip_row(each, lesson) for each in clips]
    alike: dict[tuple[int | None, int | None, Outcome], list[Measured]] = {}
    for each in clips:
        key = each.clip.body_id, each.clip.surface_id, each.reading.outcome
        alike.setdefault(key, []).append(each)
    return [_together(lesson, own) if len(own) > 1 else clip_row(own[0], lesson)
            for own in alike.values()]  # fmt: skip


def _together(lesson: Lesson, clips: Sequence[Measured]) -> dict[str, Any]:
    """Clips of one body on one surface with one outcome."""
    row = clip_row(clips[0], lesson)
    values = [value for each in clips if (value := value_of(each)) is not None]
    angles = [each.reading.angle for each in clips if each.reading.angle is not None]
    slid = clips[0].reading.outcome is Outcome.SLIDES
    unit, places, symbol = (1.0, 3, "μ") if slid else (MILLIMETRE.in_si, 1, "x")
    found = ", ".join(f"{nominal_value(value) / unit:.{places}f}" for value in values)
    return {
        **row,
        "clip": f"{len(clips)} clips",
        "angle": ", ".join(f"{nominal_value(a) / DEGREE.in_si:.1f}°" for a in angles) or NONE,
        "found": f"{symbol} = {found}{'' if slid else ' mm'}" if found else NONE,
    }
