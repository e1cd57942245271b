"""Worked lines as they are printed; that Typst knows every mark is seen by setting them."""

from __future__ import annotations

from math import radians

import pytest
import typst
from uncertainties import ufloat

from solver.edge_balance import Balance, End, Overhang
from solver.friction import Push, Stand, Way
from solver.rig import Lump
from solver.worked_bodies import (
    balance_of,
    brink_of,
    height_from_tilt,
    inertia_of,
    tilt_from_height,
)
from solver.worked_friction import friction_from_tilt, friction_of, pushed, raised
from solver.worked_lump import brink_with_lump, lump_found, mass_for, mass_of_lump, place_for
from solver.working import Working
from tests.solver.rigs import tin_with_rod
from tests.ui.handouts.lessons import large
from ui.handouts.content import mean_of
from ui.handouts.demo import invented_lesson
from ui.handouts.group_working import friction_working, height_working
from ui.handouts.mathematics import maths, worked

RIG = tin_with_rod(0.0002, 0.0005)
STAND = Stand.of(RIG.carrier, ufloat(0.45, 0.03))
R, THETA = ufloat(0.034, 0.0002), ufloat(radians(22), radians(0.2))


def of_a_group(repeats: int) -> Working:
    (found,) = large(1, repeats, 3).bodies
    own = mean_of(found.toppling, "Table 2")
    assert own is not None
    return height_working(R, [THETA] * repeats, own).working


def of_slides(repeats: int) -> Working:
    found = invented_lesson().frictions[0].friction
    own = mean_of(found, "Table 1")
    assert own is not None
    return friction_working([THETA] * repeats, own).working


WORKINGS = [
    height_from_tilt(R, THETA),
    tilt_from_height(R, ufloat(0.084, 0.001)),
    brink_of(RIG.carrier),
    inertia_of(RIG.carrier),
    balance_of(Balance(0.11, 0.002), [Overhang(0.053), Overhang(0.055, End.TOP)]),
    brink_with_lump(RIG, Lump(0.05), 0.06),
    place_for(RIG, Lump(0.05), radians(30)),
    mass_for(RIG, 0.09, radians(30)),
    mass_of_lump(RIG, 0.09, 0.066),
    lump_found(RIG, 0.03, 0.055, 0.066),
    friction_from_tilt(THETA),
    friction_of("oak", [THETA, THETA]),
    raised(STAND),
    pushed(STAND, Push(0.05, radians(-20), 0.07, Way.UP), radians(10)),
    *[of_a_group(repeats) for repeats in (1, 2, 3, 5, 8)],
    *[of_slides(repeats) for repeats in (1, 2, 5)],
]


@pytest.mark.parametrize("working", WORKINGS, ids=lambda working: working.title)
def test_typst_sets_every_line_and_every_letter(working: Working) -> None:
    told = worked(working)
    lines = [step["maths"] for step in told["steps"]]
    letters = [letter["maths"] for letter in told["letters"]]
    source = "\n\n".join(f"$ {line} $" for line in lines + letters)
    assert typst.compile(source.encode(), format="pdf").startswith(b"%PDF")


def test_letters_numbers_and_answer_stand_below_each_other() -> None:
    _, height = height_from_tilt(0.034, radians(22)).steps
    assert maths(height) == ('x &= frac(r, tan phi) \\ &= frac(34 "mm", tan 22°) \\ &= 84.2 "mm"')


def test_the_same_in_plain_words_for_those_who_cannot_see_it() -> None:
    (_, height) = worked(height_from_tilt(0.034, radians(22)))["steps"]
    assert height["alt"] == "x = (r) / (tan(φ)); x = (34 mm) / (tan(22°)); x = 84.2 mm"


def test_no_word_of_a_person_comes_into_the_mathematics() -> None:
    """A part's name stands in the meaning of its letter, as text."""
    told = worked(brink_of(tin_with_rod(0.0, 0.0).body))
    assert any("wall" in letter["meaning"] for letter in told["letters"])
    marks = [step["maths"] for step in told["steps"]] + [mark["maths"] for mark in told["letters"]]
    assert not any("wall" in mark or "#" in mark for mark in marks)


def test_repeats_are_told_once() -> None:
    told = worked(balance_of(Balance(0.11), [Overhang(0.053), Overhang(0.054)]))
    meanings = [letter["meaning"] for letter in told["letters"]]
    assert "overhang with the base over the edge" in meanings
    assert not any("reading 2" in meaning for meaning in meanings)


@pytest.mark.parametrize(("repeats", "steps"), [(1, 1), (2, 3), (3, 4), (5, 2), (8, 1)])
def test_a_groups_working_is_as_long_as_its_page_allows(repeats: int, steps: int) -> None:
    assert len(of_a_group(repeats).steps) == steps


def test_a_groups_working_ends_in_the_groups_own_interval() -> None:
    (found,) = large(1, 3, 3).bodies
    own = mean_of(found.toppling, "Table 2")
    assert own is not None
    last = of_a_group(3).steps[-1]
    assert last.coverage_factor * last.result.value.std_dev == pytest.approx(own.result.half_width)
