"""The questions about a lump on a rod, one in view at a time."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from uncertainties import nominal_value

from solver.bodies import Body
from solver.design import Accuracy, mass_for, position_for
from solver.errors import InputError
from solver.lump import (
    best_lump_mass,
    best_place,
    find_lump,
    mass_of_lump,
    position_of_lump,
)
from solver.quantities import DEGREE, GRAM, MILLIMETRE, Quantity, Unit
from solver.rig import Lump, Rig
from solver.worked_bodies import height_from_tilt
from solver.worked_lump import lump_found, place_of_lump
from solver.worked_lump import mass_for as worked_mass_for
from solver.worked_lump import mass_of_lump as worked_mass
from solver.worked_lump import place_for as worked_place_for
from solver.working import Working
from ui.answer import reckoned
from ui.bench.card_views import challenge_view
from ui.bench.carried import CarriedCentre, carried
from ui.bench.fields import Shown, one_of
from ui.bench.reach_chart import reach_chart
from ui.bench.sheet import BodySheet, Number, in_mm
from ui.bench.showing import metrics, workings
from ui.bench.words import said
from ui.charts import budget_chart
from ui.words import as_text

PREDICT, PLACE, MASS, BOTH = "Predict", "Find its place", "Find its mass", "Find both"
AIM, CARDS = "Set an angle", "Challenge cards"
ANGLE_SPAN, HEIGHT_SPAN = (1.0, 80.0), (5.0, 200.0)
READING_U_RAD = 0.3 * DEGREE.in_si
"""Of one angle from a clip or a good protractor, for the advice."""
LUMP_MASSES_KG = (0.005, 0.3)


def lump_questions(rig: Rig, sheet: BodySheet) -> None:
    """The chosen question, its answer and its working."""
    st.subheader("Questions about the lump", anchor=False)
    views: dict[str, Callable[[Rig, BodySheet], None]] = {
        PREDICT: _predict,
        PLACE: _find_place,
        MASS: _find_mass,
        BOTH: _find_both,
        AIM: _aim,
        CARDS: challenge_view,
    }
    question = one_of("What do you want to know?", "lump question", list(views))
    try:
        views[question](rig, sheet)
    except InputError as error:
        st.error(as_text(str(error)))


def _predict(rig: Rig, sheet: BodySheet) -> None:
    lump = sheet.lump.lump()
    st.markdown(
        f"With this lump {as_text(str(rig.reach(lump)))}. The shaded places are off the rod. "
        "Move the lump by 'Place of the lump' above, and see its brink move along the curve."
    )
    st.altair_chart(reach_chart(rig, lump, sheet.lump.place_m()))


def _height(rig: Rig, key: str, laden: Body, words: str = "") -> tuple[Quantity, list[Working]]:
    """A measured centre height, from an angle or as it is, and how it came about.

    The fields begin at what is predicted of the laden body.
    """
    by_angle, by_height, by_clip = "Brink angle", "Centre height", "From the clip"
    measured = carried()
    options = [by_angle, by_height] + ([by_clip] if measured else [])
    how = one_of(f"You measured the{words}", f"{key} how", options)
    if how == by_clip and measured:
        return _from_clip(measured)
    ask = Shown()
    if how == by_height:
        usual = Number(round(in_mm(laden.centre_height_m), 1), 0.5)
        height = ask.measure(
            f"Centre height{words}", "mm", f"{key} height", usual, HEIGHT_SPAN, 0.5
        )
        return height.mm("centre height"), []
    usual = Number(round(_degrees(laden, rig), 1), 0.3)
    typed = ask.measure(f"Brink angle{words}", "°", f"{key} angle", usual, ANGLE_SPAN, 0.1)
    angle = typed.plain("brink angle") * DEGREE.in_si
    working = height_from_tilt(rig.carrier.arm_m(rig.side), angle)
    return rig.height_at(angle), [working]


def _degrees(laden: Body, rig: Rig) -> float:
    return float(nominal_value(laden.brink_rad(rig.side))) / DEGREE.in_si


def _from_clip(measured: CarriedCentre) -> tuple[Quantity, list[Working]]:
    st.caption(as_text(f"{measured.name}: {said(measured.height_m, MILLIMETRE)}"))
    return measured.height_m, []


def _budget(value: Quantity, unit: Unit, of: str) -> None:
    budget = reckoned(value).budget
    if not budget:
        return
    st.markdown(
        f"Most of the doubt comes from the **{as_text(budget[0].name)}**: improve it first."
    )
    st.caption(f"What the uncertainty of {of} is made of, as standard uncertainties.")
    st.altair_chart(budget_chart(budget, unit))


def _find_place(rig: Rig, sheet: BodySheet) -> None:
    lump = sheet.lump.lump()
    asked, answer = st.columns(2, gap="large")
    with asked:
        st.markdown(f"A lump of {GRAM.show(lump.mass_kg)} is hidden on the rod.")
        height, came = _height(rig, "place", sheet.whole())
        place = position_of_lump(rig, lump, height)
    with answer:
        metrics([("The lump's centre is at", said(place, MILLIMETRE))])
        _budget(place, MILLIMETRE, "the lump's place")
    low, high = rig.places(lump)
    within = min(high, max(low, float(nominal_value(place))))
    best = best_lump_mass(rig, within, READING_U_RAD, LUMP_MASSES_KG)
    limit = " (the heaviest allowed for here)" if best.at_limit else ""
    st.markdown(
        f"A lump of {GRAM.show(best.best, 2)}{limit} would be placed best: to "
        f"±{MILLIMETRE.show(best.answer_u, 2)} standard uncertainty, were each angle read to "
        f"±{DEGREE.show(READING_U_RAD)}."
    )
    workings([*came, place_of_lump(rig, lump, height)])


def _find_mass(rig: Rig, sheet: BodySheet) -> None:
    asked, answer = st.columns(2, gap="large")
    with asked:
        low, high = (end / MILLIMETRE.in_si for end in rig.places(Lump(0.001)))
        at = Shown().measure(
            "Place of the unknown lump", "mm", "mass at", sheet.lump.place, (low, high), 0.5
        )
        place = at.mm("place of the lump")
        height, came = _height(rig, "mass", sheet.whole())
        mass = mass_of_lump(rig, place, height)
    with answer:
        metrics([("The lump's mass is", said(mass, GRAM))])
        _budget(mass, GRAM, "the lump's mass")
    best = best_place(rig, Lump(float(nominal_value(mass))), READING_U_RAD)
    st.markdown(
        f"At {MILLIMETRE.show(best.best, 3)} above the base the same lump would be weighed best: "
        f"to ±{GRAM.show(best.answer_u, 2)} standard uncertainty, were the angle read to "
        f"±{DEGREE.show(READING_U_RAD)}."
    )
    workings([*came, worked_mass(rig, place, height)])


def _find_both(rig: Rig, sheet: BodySheet) -> None:
    asked, answer = st.columns(2, gap="large")
    with asked:
        st.markdown("Measure, move the lump along the rod, and measure again.")
        moved = _moved(rig, sheet)
        first, came = _height(rig, "both first", sheet.whole(), ", first")
        second, came_again = _height(rig, "both second", moved, ", after the move")
        shift = _shift(in_mm(moved.parts[-1].moments.centre_m[2]) - sheet.lump.place.value)
        found = find_lump(rig, shift, first, second)
    with answer:
        metrics(
            [
                ("The lump's mass is", said(found.mass_kg, GRAM)),
                ("It was first at", said(found.position_m, MILLIMETRE)),
            ]
        )
        _budget(found.mass_kg, GRAM, "the lump's mass")
    workings([*came, *came_again, lump_found(rig, shift, first, second)])


def _moved(rig: Rig, sheet: BodySheet) -> Body:
    """The body with the lump at the farther end of its way."""
    ends = rig.places(sheet.lump.lump())
    here = float(nominal_value(sheet.lump.place_m()))
    return rig.laden(sheet.lump.lump(), max(ends, key=lambda end: abs(end - here)))


def _shift(usual_mm: float) -> Quantity:
    moved = Shown().measure(
        "The lump was moved up by", "mm", "both shift", Number(round(usual_mm, 1), 0.5),
        (-150.0, 150.0), 0.5, "Negative where it was moved down.",
    )  # fmt: skip
    return moved.mm("shift of the lump")


def _aim(rig: Rig, sheet: BodySheet) -> None:
    by_place, by_mass = "Where to put this lump", "How heavy a lump to make"
    asked, answer = st.columns(2, gap="large")
    ask = Shown()
    with asked:
        how = one_of("You want to know", "aim how", [by_place, by_mass])
        usual = Number(round(_degrees(sheet.whole(), rig)), 0.3)
        angle = ask.measure(
            "It shall topple at", "°", "aim angle", usual, ANGLE_SPAN, 0.5,
            "± u is how well one reading of the angle is made.",
        )  # fmt: skip
        placing = ask.number("Placing of the lump, ± u / mm", "aim placing", 0.5, 0.1)
        weighing = ask.number("Weighing of the lump, ± u / g", "aim weighing", 0.1, 0.1)
        accuracy = Accuracy(
            placing * MILLIMETRE.in_si, angle.u * DEGREE.in_si, weighing * GRAM.in_si
        )
        target, lump = angle.value * DEGREE.in_si, sheet.lump.lump()
        if how == by_place:
            design = position_for(rig, lump, target, accuracy)
            result = ("Put the lump at", MILLIMETRE.show(design.position_m, 3))
            working = worked_place_for(rig, lump, target)
        else:
            place = float(nominal_value(sheet.lump.place_m()))
            design = mass_for(rig, place, target, LUMP_MASSES_KG[1], accuracy)
            result = ("Make the lump weigh", GRAM.show(design.mass_kg, 3))
            working = worked_mass_for(rig, place, target)
    with answer:
        metrics([result, ("One measurement will read", said(design.reading_rad, DEGREE))])
        made = Lump(design.mass_kg, lump.length_m, lump.radius_m)
        st.altair_chart(reach_chart(rig, made, design.position_m, target))
    workings([working])
