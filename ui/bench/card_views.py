"""Challenge cards: angles to reach with given lumps, the answers kept apart."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from solver.design import Accuracy, Card
from solver.quantities import DEGREE, GRAM, MILLIMETRE
from solver.rig import Lump, Rig
from ui.bench.body_form import numbers_in
from ui.bench.cards import cards_as_csv, set_of_cards
from ui.bench.fields import Shown
from ui.bench.sheet import BodySheet
from ui.bench.words import said
from ui.words import as_text


def challenge_view(rig: Rig, sheet: BodySheet) -> None:
    """Ask for a set of cards, show the tasks, and the answers on request."""
    cards = _ask_cards(rig, sheet)
    st.markdown(
        f"Each group takes a card: *make the {as_text(sheet.name)} topple at this angle.* The "
        "board decides."
    )
    with_answers = st.toggle("Show the answers", key="cards answers")
    st.dataframe(_table(cards, with_answers), hide_index=True)
    st.download_button(
        "Cards with answers (CSV)",
        cards_as_csv(cards),
        file_name="challenge-cards.csv",
        mime="text/csv",
        on_click="ignore",
    )


def _ask_cards(rig: Rig, sheet: BodySheet) -> Sequence[Card]:
    ask = Shown()
    first, second, third = st.columns(3)
    with first:
        count = ask.number("How many cards", "cards count", 6, 1)
        seed = ask.number("Seed: the same gives the same cards", "cards seed", 1, 1)
    with second:
        usual = f"{sheet.lump.mass.value:g}"
        masses = ask.text("Lumps to choose from / g", "cards lumps", usual)
        step = ask.number("Angles in steps of / °", "cards step", 0.5, 0.5)
    with third:
        apart = ask.number("Answers apart by at least / mm", "cards apart", 3.0, 0.5)
        reading = ask.number("Reading of an angle, ± u / °", "cards reading", 0.3, 0.1)
    own = sheet.lump
    lumps = [
        Lump(grams * GRAM.in_si, own.length_mm * MILLIMETRE.in_si, own.radius_mm * MILLIMETRE.in_si)
        for grams in numbers_in(masses, "The lumps")
    ]
    accuracy = Accuracy(own.place.u * MILLIMETRE.in_si, reading * DEGREE.in_si)
    return set_of_cards(
        rig, lumps, int(count), int(seed), apart * MILLIMETRE.in_si, step * DEGREE.in_si, accuracy
    )


def _table(cards: Sequence[Card], with_answers: bool) -> list[dict[str, str]]:
    rows = []
    for number, card in enumerate(cards, start=1):
        row = {
            "card": str(number),
            "lump": GRAM.show(card.lump.mass_kg),
            "make it topple at": DEGREE.show(card.angle_rad),
        }
        if with_answers:
            row["place of the lump"] = MILLIMETRE.show(card.answer.position_m, 3)
            row["one reading will give"] = said(card.answer.reading_rad, DEGREE)
        rows.append(row)
    return rows
