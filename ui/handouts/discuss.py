"""What a class may talk about, from what its own numbers show."""

from __future__ import annotations

from collections.abc import Iterator

from uncertainties import nominal_value

from solver.errors import InputError
from solver.quantities import DEGREE, MILLIMETRE, RATIO
from solver.toppling import brink_angle, centre_height
from ui.checking.class_readings import to_discuss
from ui.classroom.results import BodyResult, FrictionResult
from ui.handouts.content import Lesson
from ui.handouts.said import LONGEST, in_words, result
from ui.handouts.text import line

LARGE_SHARE = 0.4
"""Of the variance, from which one source is worth talking about."""


def points(lesson: Lesson) -> list[str]:
    """Questions, the most telling first."""
    found = [*_of_bodies(lesson), *_of_surfaces(lesson), *to_discuss(lesson.students)]
    return [line(words, 2 * LONGEST) for words in found]


def _of_bodies(lesson: Lesson) -> Iterator[str]:
    for found in lesson.bodies:
        if found.toppling is None:
            continue
        yield from _groups_agree(found)
        for beside in found.beside:
            if not beside.agreement.agrees:
                words = f"Of the {found.body.name}: {in_words(beside)}"
                yield f"{words} Which do you trust more, and why?"
        yield from _largest_part(found)
        yield from _one_degree(found)


def _groups_agree(found: BodyResult) -> Iterator[str]:
    assert found.toppling is not None
    agreement = found.toppling.pooled.agreement
    if agreement is None:
        return
    if agreement.agree:
        yield (
            f"For the {found.body.name} the groups differ no more than their intervals allow. What "
            "would have to go wrong at one table for it to be seen here?"
        )
    else:
        yield (
            f"For the {found.body.name} the groups lie {agreement.birge:.1f} times as far apart as "
            "their own intervals explain. What did they do differently? Look at their clips."
        )


def _largest_part(found: BodyResult) -> Iterator[str]:
    assert found.toppling is not None
    budget = found.toppling.pooled.result.budget
    if budget and budget[0].share >= LARGE_SHARE:
        yield (
            f"Of the variance of x, for the {found.body.name}, {100 * budget[0].share:.0f} % is "
            f"put down to the {budget[0].name}. How could the class make that part smaller?"
        )


def _one_degree(found: BodyResult) -> Iterator[str]:
    assert found.toppling is not None
    x, radius = nominal_value(found.toppling.pooled.mean), found.body.radius_m
    angle = nominal_value(brink_angle(radius, x))
    try:
        moved = x - nominal_value(centre_height(radius, angle + DEGREE.in_si))
    except InputError:  # so steep that 1° more is upright
        return
    yield (
        f"For the {found.body.name} a protractor read 1° too high makes x "
        f"{MILLIMETRE.show(moved, 2)} too small. For which bodies would 1° matter more?"
    )


def _of_surfaces(lesson: Lesson) -> Iterator[str]:
    for found in lesson.frictions:
        yield _slid(found)


def _slid(found: FrictionResult) -> str:
    mu = result(found.friction.pooled.result, RATIO)
    return (
        f"The {found.body} slid on the {found.surface}, with μ = {mu}. So its r/x is larger than "
        "that: how high can its centre lie at most?"
    )
