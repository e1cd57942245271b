"""A set of challenge cards, drawn from a seed, and as records."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from solver.design import EXACT, Accuracy, Card, challenge_cards
from solver.quantities import DEGREE, GRAM, MILLIMETRE, a_length, an_angle
from solver.rig import Lump, Rig
from ui.answer import reckoned

COLUMNS = ("card", "lump_g", "angle_deg", "place_mm", "reading_deg", "reading_u95_deg")
FINEST_STEP_RAD = 0.05 * DEGREE.in_si
"""Finer steps are beyond any reading, and would take long to sort."""


def set_of_cards(
    rig: Rig,
    lumps: Sequence[Lump],
    count: int,
    seed: int,
    apart_m: float,
    step_rad: float,
    accuracy: Accuracy = EXACT,
) -> tuple[Card, ...]:
    """The cards of a seed. Raises what `solver.design.challenge_cards` raises, and
    `LengthError` or `AngleError` for a distance below 0 or a step too fine."""
    a_length(apart_m, "distance between answers", ends="[)")
    an_angle(step_rad, "step of the angles", low=FINEST_STEP_RAD, ends="[)")
    return challenge_cards(rig, lumps, count, seed, apart_m, step_rad, accuracy)


def card_record(number: int, card: Card) -> dict[str, float]:
    """A card and its answer, by `COLUMNS`."""
    reading = reckoned(card.answer.reading_rad)
    values = (
        card.lump.mass_kg / GRAM.in_si,
        card.angle_rad / DEGREE.in_si,
        card.answer.position_m / MILLIMETRE.in_si,
        reading.value / DEGREE.in_si,
        reading.half_width / DEGREE.in_si,
    )
    rounded = (round(float(value), 3) for value in values)
    return dict(zip(COLUMNS, (number, *rounded), strict=True))


def cards_as_csv(cards: Sequence[Card]) -> bytes:
    """Cards and answers, one a line."""
    text = io.StringIO()
    table = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    table.writeheader()
    table.writerows(card_record(number, card) for number, card in enumerate(cards, start=1))
    return text.getvalue().encode()
