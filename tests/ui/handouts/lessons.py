"""Lessons to print: large ones, empty ones, and ones whose names try to be markup."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import radians

from ui.handouts import demo
from ui.handouts.content import Lesson
from ui.record.rows import Body, Group, LessonView, Prediction, Reading, StudentReading, Surface
from vision.reading import Outcome

MARKUP = '#set page(fill: red) $x^2$ *bold* _it_ @ref <tag> [b] "q" \\ `c` // /* {1} ~ -- 👩‍🔬'
NAMES = ("leaf tea tin", "seed tub", "card tube", "bottle of sand")


def unmoved(reading: Reading) -> None:
    """Nothing is known of when the body moved."""


def view() -> LessonView:
    return demo.invented_lesson().view


@cache
def large(bodies: int, repeats: int, groups: int) -> Lesson:
    """Each group films each body so many times; the fourth body slides."""
    base = view()
    own = tuple(
        Body(n, name, 0.030 + 0.002 * n, 0.0002, 0.2, "")
        for n, name in enumerate(NAMES[:bodies], start=1)
    )
    tables = tuple(Group(n, 1, f"Table {n}") for n in range(1, groups + 1))
    clips, readings = [], []
    for group in tables:
        for body in own:
            for repeat in range(1, repeats + 1):
                number = len(clips) + 1
                name = f"table{group.id}_{body.id}_{repeat}.mp4"
                clips.append(
                    replace(base.clips[0], id=number, sha256=str(number), name=name,
                            group_id=group.id, body_id=body.id, surface_id=1, repeat=repeat)
                )  # fmt: skip
                outcome = Outcome.SLIDES if body.id == 4 else Outcome.TOPPLES
                deg = 20 + body.id + 0.1 * repeat + 0.05 * group.id
                readings.append(demo._reading(number, outcome, deg))
    filled = replace(
        base, groups=tables, bodies=own, clips=tuple(clips), readings=tuple(readings),
        balance_readings=(), student_readings=(),
        predictions=(Prediction(1, 1, 0.080, 0.001, "its parts"),),
    )  # fmt: skip
    pictures = demo.invented_lesson().pictures_of(1)
    return Lesson(filled, lambda clip: pictures, unmoved)


def empty() -> Lesson:
    """A lesson of which nothing is known but its title."""
    bare = replace(
        view(), groups=(), bodies=(), surfaces=(), clips=(), readings=(), balance_readings=(),
        predictions=(), student_readings=(),
    )  # fmt: skip
    return Lesson(bare, lambda clip: (), unmoved)


@cache
def named(name: str) -> Lesson:
    """The invented lesson with one name wherever people may type one."""
    base = view()
    renamed = replace(
        base,
        lesson=replace(base.lesson, title=name),
        groups=tuple(replace(each, label=f"{each.id}{name}") for each in base.groups),
        bodies=tuple(replace(each, name=f"{each.id}{name}") for each in base.bodies),
        surfaces=tuple(Surface(each.id, f"{each.id}{name}") for each in base.surfaces),
        clips=tuple(replace(each, name=f"{each.id}{name}") for each in base.clips),
        readings=tuple(replace(each, reasons=(name,)) for each in base.readings),
        predictions=(Prediction(1, 1, 0.0842, 0.0006, name),),
        student_readings=(
            StudentReading(1, 1, name, radians(40), radians(1), None, name, name, demo.NOON),
        ),
    )
    return Lesson(renamed, demo.invented_lesson().pictures_of, unmoved)
