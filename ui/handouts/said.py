"""How results are said on paper: rounded, with their units, every word fit to print."""

from __future__ import annotations

from typing import Any

from solver.pooling import Beside
from solver.propagation import Linear
from solver.quantities import DEGREE, MILLIMETRE, RATIO, Quantity, Unit
from ui.bench.words import compared, said
from ui.classroom.results import Measured
from ui.handouts.content import Lesson, value_of
from ui.handouts.text import line
from ui.words import interval
from vision.reading import Outcome

NONE = "–"
INVENTED = "Invented example: no real lesson"
EXAMPLE_BODY = "Example body: measure your own"
LONGEST = 300
"""Letters of a sentence or two."""
OUTCOMES = {
    Outcome.TOPPLES: "toppled",
    Outcome.SLIDES: "slid",
    Outcome.STAYS: "stayed",
    Outcome.UNREADABLE: "not read",
}


def head(lesson: Lesson) -> dict[str, Any]:
    """What stands at the top of every sheet."""
    row = lesson.view.lesson
    day = f"{row.day.day} {row.day:%B %Y}"
    return {"lesson": line(row.title), "day": day, "mark": INVENTED if lesson.invented else ""}


def millimetres(value: Quantity) -> str:
    """A length with its 95 % interval, where it has one."""
    return said(value, MILLIMETRE)


def result(of: Linear | None, unit: Unit = MILLIMETRE) -> str:
    """A result with its interval; a dash where there is none."""
    return interval(of, unit) if of else NONE


def in_words(beside: Beside) -> str:
    """How two ways to the centre height stand to each other."""
    first, second = _in_a_sentence(beside.first), _in_a_sentence(beside.second)
    return line(compared(first, second, beside.agreement), LONGEST)


def _in_a_sentence(way: str) -> str:
    """A way's name, what stands after its colon in brackets."""
    name, _, source = way.partition(": ")
    return f"{name} ({source})" if source else name


def clip_row(clip: Measured, lesson: Lesson) -> dict[str, Any]:
    """A clip as a row of a table; why, where it gave no number."""
    view, value = lesson.view, value_of(clip)
    body, surface = view.body(clip.clip.body_id), view.surface(clip.clip.surface_id)
    angle = clip.reading.angle
    return {
        "clip": line(clip.clip.name, 40),
        "body": line(body.name, 40) if body else NONE,
        "surface": line(surface.name, 30) if surface else NONE,
        "did": OUTCOMES[clip.reading.outcome],
        "angle": NONE if angle is None else said(angle, DEGREE),
        "found": _found(clip, value),
        "why": "" if value is not None else line(" ".join(_reasons(clip)), LONGEST),
    }


def _reasons(clip: Measured) -> tuple[str, ...]:
    """Why it is as it is; with what it still says of the body, where that is known."""
    return clip.answer.reasons if clip.answer else clip.reading.reasons


def _found(clip: Measured, value: Quantity | None) -> str:
    if value is None:
        return NONE
    if clip.reading.outcome is Outcome.SLIDES:
        return f"μ = {said(value, RATIO)}"
    return f"x = {millimetres(value)}"
