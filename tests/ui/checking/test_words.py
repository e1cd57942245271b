"""What a student is told, and what not before the answer."""

import re
from math import radians, tan

import pytest
from uncertainties import ufloat

from solver.quantities import DEGREE, MILLIMETRE
from solver.readings import Check, Moved, ProtractorReading, WorkedHeight, check_angle, check_height
from solver.repeats import compare
from solver.slips import Slip, point
from ui.checking.words import (
    FOUND,
    HINTS,
    LOOK_AT_ANGLE,
    apart,
    headline,
    hints,
    likely,
    worked_from,
)

RADIUS, BRINK = ufloat(0.034, 0.0002), ufloat(radians(22), radians(0.2))
MOVED = Moved(radians(23), radians(27))


def check(angle_deg, height_mm=None):
    reading = ProtractorReading(radians(angle_deg), radians(1))
    height = height_mm and check_height(WorkedHeight(height_mm / 1e3), reading, RADIUS, BRINK)
    return Check(check_angle(reading, BRINK, MOVED), height or None)


def test_every_slip_has_a_hint_and_an_account():
    assert set(HINTS) == set(FOUND) == set(Slip)


@pytest.mark.parametrize("slip", Slip)
def test_a_hint_says_neither_the_slip_nor_a_number_of_the_answer(slip):
    assert FOUND[slip] not in HINTS[slip]
    numbers = set(re.findall(r"\d+", HINTS[slip]))
    assert numbers <= {"0", "1", "45"}


@pytest.mark.parametrize(
    ("angle", "height", "expected"),
    [
        (22, None, []),
        (22, 84, []),
        (158, None, [Slip.OTHER_END]),
        (25, None, [Slip.BODY_MOVED]),
        (22, 168, [Slip.DIAMETER]),
        (68, 4, [Slip.FROM_UPRIGHT]),
        (158, 168, [Slip.OTHER_END, Slip.DIAMETER]),
    ],
)
def test_hints_are_those_of_the_slips(angle, height, expected):
    told = hints(check(angle, height))
    assert told[: len(expected)] == [HINTS[slip] for slip in expected]
    if not expected:
        assert told == []


def test_without_a_slip_the_hint_is_how_to_measure():
    assert hints(check(12)) == [LOOK_AT_ANGLE]


def test_headlines():
    assert headline(check(22)) == "Your reading agrees with the clip."
    assert "your x follows" in headline(check(22, 84))
    assert "x does not follow" in headline(check(22, 168))
    assert "differ" in headline(check(158))
    assert "differ" in headline(check(158, 168))


def test_how_far_apart():
    words = apart(compare(radians(25), BRINK), DEGREE, "Your angle", "the clip's")
    assert words == (
        "Your angle lies 3.00° above the clip's; their intervals together allow ±0.39°. "
        "They do not agree."
    )
    below = apart(compare(ufloat(0.0835, 0.001), 0.084), MILLIMETRE, "Your x", "the clip's")
    assert "0.5 mm below" in below
    assert "They agree" in below


def test_one_slip_is_told_with_the_number_it_gives():
    (told,) = [likely(check(158).angle.explanations, "this angle", DEGREE)]
    assert told.startswith("What probably happened: the number was read from the other end")
    assert told.endswith("That gives 158°.")


def test_two_slips_together_are_told_with_less_certainty():
    told = likely(check(22, 27.5).height.explanations, "this x", MILLIMETRE)
    assert told == (
        "Two slips together would lead to this x: the diameter was used where the radius belongs, "
        "and the tangent was turned upside down: x = r × tan θ instead of r / tan θ. That gives "
        "27.5 mm. Look at both."
    )


def test_several_slips_are_all_told():
    explanations = [
        point([Slip.DIAMETER], 0.168, 2 * 0.034 / tan(radians(22)), 0.001),
        point([Slip.SINE, Slip.CENTIMETRES], 0.168, 0.167, 0.001),
    ]
    told = likely(explanations, "this x", MILLIMETRE)
    assert told.startswith("More than one slip leads to this x")
    assert FOUND[Slip.DIAMETER] in told
    assert FOUND[Slip.SINE] in told
    assert "Only you can tell which" in told


@pytest.mark.parametrize(
    ("angle", "height", "words"),
    [
        (22, 84, "Your x follows from your angle."),
        (25, 84, "Your x follows from the clip's angle, not from the one you typed."),
        (158, 84, "Your x is what the clip's angle gives."),
        (22, 168, ""),
    ],
)
def test_what_a_height_follows_from(angle, height, words):
    assert worked_from(check(angle, height).height) == words


def test_no_slip_is_told_as_none():
    assert "No usual slip" in likely([], "this x", MILLIMETRE)
