"""Build a body: predict its centre and its brink; put a lump in it and work backwards."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from solver.bodies import Body, unit_doubts
from solver.errors import InputError
from solver.quantities import DEGREE, GRAM, MILLIMETRE
from solver.repeats import compare
from solver.worked_bodies import brink_of, inertia_of
from solver.worked_lump import brink_with_lump
from ui.bench.bench_body import choose_start, draft, keep_good, offer_file
from ui.bench.body_drawing import at_brink, upright
from ui.bench.body_form import ask_body
from ui.bench.carried import carried
from ui.bench.fields import one_of
from ui.bench.lump_views import lump_questions
from ui.bench.sheet import BodySheet
from ui.bench.showing import answer_beside_form, cautions, drawing, metrics, warn, workings
from ui.bench.words import compared, said
from ui.sharing.visitors import guard
from ui.words import as_text


def show() -> None:
    """The page from top to bottom."""
    guard("build_a_body")
    st.title("Build a body", anchor=False)
    st.markdown(
        "Put a body together from what you weighed and what you know of its shape, and say how "
        "high its centre of mass lies and when it topples, before you measure it."
    )
    choose_start()
    answer, form = answer_beside_form()
    try:
        with form:
            sheet = ask_body(draft())
        body = sheet.whole()
    except InputError as error:
        answer.error(as_text(str(error)))
        cautions("lump")
        return
    keep_good(sheet)
    with answer:
        _answer(sheet, body)
    if rig := sheet.rig():
        st.divider()
        lump_questions(rig, sheet)
    st.divider()
    _show_working(sheet, body)
    cautions("lump")


def _answer(sheet: BodySheet, body: Body) -> None:
    side = sheet.base.tips
    warn(unit_doubts(body))
    metrics(
        [
            ("It topples at", said(body.brink_rad(side), DEGREE)),
            ("Its centre is up at", said(body.centre_height_m, MILLIMETRE)),
        ]
    )
    mass = said(body.mass_kg, GRAM)
    st.caption(f"It weighs {mass}. ± gives 95 % intervals, from the ± u beside the numbers.")
    standing, tipping = "In section", "At the brink"
    view = one_of("Drawing", "body view", [standing, tipping])
    drawing(upright(sheet, body) if view == standing else at_brink(sheet, body))
    _compare(body)
    offer_file(sheet)


def _show_working(sheet: BodySheet, body: Body) -> None:
    side = sheet.base.tips
    if (rig := sheet.rig()) is not None:
        lump = brink_with_lump(rig, sheet.lump.lump(), sheet.lump.place_m())
        empty = replace(brink_of(rig.carrier, side), title="Body and rod, without the lump")
        workings([empty, lump])
    else:
        workings([brink_of(body, side)])
    if not body.shapeless:
        workings([inertia_of(body, side)])


def _compare(body: Body) -> None:
    measured = carried()
    if measured is None:
        return
    agreement = compare(body.centre_height_m, measured.height_m)
    words = compared("predicted", f"measured from {measured.name}", agreement)
    st.info(as_text(words), icon=":material/compare_arrows:")


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
