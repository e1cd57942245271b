"""Sheets for the lesson itself: for the teacher, for the student, and a protractor."""

from __future__ import annotations

from typing import Any

from ui.handouts.content import Lesson
from ui.handouts.diagrams import from_above, set_up, triangle
from ui.handouts.protractor import drawn
from ui.handouts.said import NONE, head, millimetres
from ui.handouts.text import and_list, line
from ui.handouts.typesetting import Sheet
from ui.record.rows import Body
from ui.words import FIRST, SAFETY

FEWEST_ROWS = 3
"""Of the worksheet's table, where a lesson names fewer bodies."""
MOST_ROWS = 6


def lesson_sheet(lesson: Lesson) -> Sheet:
    """Equipment, set-up, how to film, cautions."""
    return Sheet(
        "lesson_sheet",
        {
            **head(lesson),
            "bodies": [_body(body) for body in lesson.view.bodies],
            "surfaces": and_list([line(each.name) for each in lesson.view.surfaces]),
            "first": FIRST,
            "safety": SAFETY,
            "set_up": set_up(),
            "from_above": from_above(),
        },
    )


def worksheet(lesson: Lesson) -> Sheet:
    """Room to write, from prediction to comparison."""
    bodies = [_body(body) for body in lesson.view.bodies[:MOST_ROWS]]
    blank = {"name": "", "radius": "", "length": ""}
    rows = [*bodies, *[blank] * max(0, FEWEST_ROWS - len(bodies))]
    return Sheet("worksheet", {**head(lesson), "bodies": rows, "triangle": triangle()})


def protractor(lesson: Lesson) -> Sheet:
    """A page for a board hinged at the left, and one for the right."""
    return Sheet("protractor", {**head(lesson), "scales": [drawn(False), drawn(True)]})


def _body(body: Body) -> dict[str, Any]:
    length = NONE if body.length_m is None else millimetres(body.length_m)
    return {"name": line(body.name, 40), "radius": millimetres(body.radius), "length": length}
