"""Challenge cards to cut out, the answers on a sheet of their own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import count
from math import radians
from typing import Any

from solver.design import Accuracy, Card
from solver.errors import InputError
from solver.quantities import DEGREE, GRAM, MILLIMETRE
from solver.rig import Rig
from solver.worked_lump import place_for
from ui.bench.body_drawing import at_brink
from ui.bench.cards import set_of_cards
from ui.bench.sheet import BodySheet, Number
from ui.bench.words import said
from ui.handouts.content import Lesson
from ui.handouts.diagrams import LARGE_PX, svg_for_paper
from ui.handouts.mathematics import worked
from ui.handouts.said import EXAMPLE_BODY, head
from ui.handouts.text import line
from ui.handouts.typesetting import Sheet

APART_M = 0.003
STEP_RAD = radians(0.5)
READING_U_RAD = radians(0.3)
"""Standard uncertainty of one reading of an angle, from a clip or a good protractor."""


@dataclass(frozen=True)
class CardSet:
    """The body the cards are about, how many, and the seed that makes the same again."""

    body: BodySheet
    count: int = 6
    seed: int = 1
    example: bool = False
    """Whether the body is an invented one, which the cards then say."""


def challenge_cards(lesson: Lesson, wanted: CardSet) -> Sheet:
    """The cards and their answers.

    Raises `InputError` where the body has no rod for a lump to slide on, and what
    `solver.design.challenge_cards` raises.
    """
    sheet, rig = wanted.body, wanted.body.rig()
    if rig is None:
        raise InputError(
            f"The {sheet.name} has no rod, so no lump can be moved in it. Give it a rod on the "
            "page 'Build a body', or choose another body for the cards."
        )
    accuracy = Accuracy(sheet.lump.place.u * MILLIMETRE.in_si, READING_U_RAD)
    lump = sheet.lump.lump()
    cards = set_of_cards(rig, [lump], wanted.count, wanted.seed, APART_M, STEP_RAD, accuracy)
    top = head(lesson)
    return Sheet(
        "challenge_cards",
        {
            **top,
            "mark": top["mark"] or (EXAMPLE_BODY if wanted.example else ""),
            "body": line(sheet.name, 40),
            "facts": _facts(rig),
            "cards": [_card(number, card) for number, card in zip(count(1), cards, strict=False)],
            "first": worked(place_for(rig, cards[0].lump, cards[0].angle_rad)),
            "drawing": _as_built(sheet, cards[0]),
            "seed": wanted.seed,
        },
    )


def _facts(rig: Rig) -> dict[str, str]:
    carrier = rig.carrier
    return {
        "mass": GRAM.show(carrier.mass_kg),
        "centre": said(carrier.centre_height_m, MILLIMETRE),
        "radius": said(carrier.arm_m(rig.side), MILLIMETRE),
    }


def _card(number: int, card: Card) -> dict[str, Any]:
    return {
        "number": number,
        "lump": GRAM.show(card.lump.mass_kg),
        "angle": f"{card.angle_rad / DEGREE.in_si:.1f}°",
        "place": f"{card.answer.position_m / MILLIMETRE.in_si:.1f} mm",
        "reading": said(card.answer.reading_rad, DEGREE),
    }


def _as_built(sheet: BodySheet, card: Card) -> str:
    """The body with the lump where the first card wants it, at the brink."""
    place = Number(card.answer.position_m / MILLIMETRE.in_si, sheet.lump.place.u)
    built = replace(sheet, lump=replace(sheet.lump, place=place))
    return svg_for_paper(at_brink(built, built.whole()), LARGE_PX)
