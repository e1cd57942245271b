"""Where to put a lump, or how heavy to make it, for a set brink angle.

For a challenge the group sets the lump by its own reckoning and the board
decides. Lengths in metres, masses in kilograms, angles in radians.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, radians
from random import Random

from uncertainties import nominal_value

from solver.bodies import Body
from solver.errors import InputError, UnreachableError
from solver.lump import mass_of_lump, position_of_lump
from solver.quantities import DEGREE, GRAM, MILLIMETRE, Quantity, a_mass, an_angle, measured
from solver.rig import Lump, Rig, Span


@dataclass(frozen=True)
class Accuracy:
    """How well the lump is set and the angle read, as standard uncertainties."""

    placing_u_m: float = 0.0
    reading_u_rad: float = 0.0
    weighing_u_kg: float = 0.0
    """Of a lump made to measure; a lump that is given has its own."""


EXACT = Accuracy()


@dataclass(frozen=True)
class Design:
    """A body built for a brink angle, and the reading to expect of it."""

    position_m: float
    mass_kg: float
    """Of the lump."""
    body: Body
    """Body, rod and lump, with all that is uncertain about them."""
    brink_rad: Quantity
    """The brink of the body as built; nominally the angle asked for."""
    reading_rad: Quantity
    """What one measurement of it will read: the brink and the reading's own uncertainty."""


def position_for(rig: Rig, lump: Lump, angle_rad: float, accuracy: Accuracy = EXACT) -> Design:
    """The position of a known lump that makes the body topple at an angle.

    Raises `UnreachableError` with the angles that can be reached.
    """
    an_angle(angle_rad, "brink angle")
    slight, steep = rig.reach(lump).angles_rad
    if not slight <= angle_rad <= steep:
        raise UnreachableError(
            f"No place on the rod makes the body topple at {DEGREE.show(angle_rad)}: "
            f"with this lump {rig.reach(lump)}."
        )
    position = nominal_value(position_of_lump(rig, lump, rig.height_at(angle_rad)))
    return _built(rig, lump, position, accuracy)


def mass_for(
    rig: Rig,
    position_m: float,
    angle_rad: float,
    heaviest_kg: float,
    accuracy: Accuracy = EXACT,
) -> Design:
    """The mass of a lump at a known position that makes the body topple at an angle.

    Raises `UnreachableError` with the angles that lumps up to ``heaviest_kg``
    can reach.
    """
    a_mass(heaviest_kg, "heaviest lump")
    an_angle(angle_rad, "brink angle")
    extremes = (rig.carrier, rig.laden(Lump(heaviest_kg), position_m))
    slight, steep = sorted(nominal_value(body.brink_rad(rig.side)) for body in extremes)
    if not slight < angle_rad <= steep:
        raise UnreachableError(
            f"No lump up to {GRAM.show(heaviest_kg)} at {MILLIMETRE.show(position_m)} makes the "
            f"body topple at {DEGREE.show(angle_rad)}: it can be made to topple between "
            f"{DEGREE.show(slight)} and {DEGREE.show(steep)}."
        )
    mass = nominal_value(mass_of_lump(rig, position_m, rig.height_at(angle_rad)))
    lump = Lump(measured(mass, accuracy.weighing_u_kg, "weighing of the lump"))
    return _built(rig, lump, position_m, accuracy)


def _built(rig: Rig, lump: Lump, position_m: float, accuracy: Accuracy) -> Design:
    placing = measured(position_m, accuracy.placing_u_m, "placing of the lump")
    body = rig.laden(lump, placing)
    brink = body.brink_rad(rig.side)
    reading = brink + measured(0.0, accuracy.reading_u_rad, "reading of the angle")
    return Design(position_m, nominal_value(lump.mass_kg), body, brink, reading)


@dataclass(frozen=True)
class Card:
    """A challenge: make the body topple at this angle with this lump."""

    lump: Lump
    angle_rad: float
    answer: Design


def challenge_cards(
    rig: Rig,
    lumps: Sequence[Lump],
    count: int,
    seed: int,
    apart_m: float = 0.003,
    step_rad: float = radians(0.5),
    accuracy: Accuracy = EXACT,
) -> tuple[Card, ...]:
    """So many challenges, no two with answers closer than ``apart_m`` on the rod.

    Angles are whole steps. The same seed gives the same cards. Raises
    `UnreachableError` with the number of cards that can be had.
    """
    if count < 1 or not lumps:
        raise InputError("Ask for at least one card, and give at least one lump.")
    cards = [
        Card(lump, angle, position_for(rig, lump, angle, accuracy))
        for lump in lumps
        for angle in _steps(rig.reach(lump).angles_rad, step_rad)
    ]
    distinct = _distinct(cards, apart_m)
    if len(distinct) < count:
        raise UnreachableError(
            f"Only {len(distinct)} cards have answers {MILLIMETRE.show(apart_m)} apart, not "
            f"{count}; ask for fewer, give another lump, or let the answers lie closer."
        )
    return tuple(Random(seed).sample(distinct, count))


def _distinct(cards: Iterable[Card], apart_m: float) -> list[Card]:
    """As many cards as there can be with answers so far apart, from the rod's foot up."""
    kept: list[Card] = []
    for card in sorted(cards, key=lambda card: card.answer.position_m):
        if not kept or card.answer.position_m - kept[-1].answer.position_m >= apart_m:
            kept.append(card)
    return kept


def _steps(span: Span, step: float) -> list[float]:
    """The whole steps within a span."""
    first, last = ceil(span[0] / step), floor(span[1] / step)
    return [n * step for n in range(first, last + 1)]
