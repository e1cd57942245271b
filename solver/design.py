"""Where to put a lump, or how heavy to make it, for a set brink angle.

A challenge: the group sets the lump, predicts nothing more, and the tilt of
the board decides. Lengths in metres, masses in kilograms, angles in radians.
"""

from __future__ import annotations

from collections.abc import Sequence
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


def position_for(
    rig: Rig, lump: Lump, angle_rad: float, placing_u_m: float = 0.0, reading_u_rad: float = 0.0
) -> Design:
    """The position of a known lump that makes the body topple at an angle.

    ``placing_u_m`` is the standard uncertainty of setting the lump on the
    rod, ``reading_u_rad`` that of measuring the angle. Raises
    `UnreachableError` with the angles that can be reached.
    """
    an_angle(angle_rad, "brink angle")
    slight, steep = rig.reach(lump).angles_rad
    if not slight <= angle_rad <= steep:
        raise UnreachableError(
            f"No place on the rod makes the body topple at {DEGREE.show(angle_rad)}: "
            f"with this lump {rig.reach(lump)}."
        )
    position = nominal_value(position_of_lump(rig, lump, rig.height_at(angle_rad)))
    return _built(rig, lump, position, placing_u_m, reading_u_rad)


def mass_for(
    rig: Rig,
    position_m: float,
    angle_rad: float,
    heaviest_kg: float,
    placing_u_m: float = 0.0,
    reading_u_rad: float = 0.0,
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
    return _built(rig, Lump(mass), position_m, placing_u_m, reading_u_rad)


def _built(
    rig: Rig, lump: Lump, position_m: float, placing_u_m: float, reading_u_rad: float
) -> Design:
    body = rig.laden(lump, measured(position_m, placing_u_m, "placing of the lump"))
    brink = body.brink_rad(rig.side)
    reading = brink + measured(0.0, reading_u_rad, "reading of the angle")
    return Design(position_m, nominal_value(lump.mass_kg), body, brink, reading)


@dataclass(frozen=True)
class Card:
    """A challenge: make the body topple at this angle with this lump."""

    number: int
    angle_rad: float
    lump: Lump
    answer: Design


def challenge_cards(
    rig: Rig,
    lumps: Sequence[Lump],
    count: int,
    seed: int,
    apart_m: float = 0.003,
    step_rad: float = radians(0.5),
    placing_u_m: float = 0.0,
    reading_u_rad: float = 0.0,
) -> tuple[Card, ...]:
    """So many challenges, no two with answers closer than ``apart_m`` on the rod.

    Angles are whole steps. The same seed gives the same cards. Raises
    `UnreachableError` with the number of cards that can be had.
    """
    if count < 1 or not lumps:
        raise InputError("Ask for at least one card, and give at least one lump.")
    designs = [
        (lump, angle, position_for(rig, lump, angle, placing_u_m, reading_u_rad))
        for lump in lumps
        for angle in _steps(rig.reach(lump).angles_rad, step_rad)
    ]
    kept: list[tuple[Lump, float, Design]] = []
    for lump, angle, design in sorted(designs, key=lambda d: d[2].position_m):
        if not kept or design.position_m - kept[-1][2].position_m >= apart_m:
            kept.append((lump, angle, design))
    if len(kept) < count:
        raise UnreachableError(
            f"Only {len(kept)} cards have answers {MILLIMETRE.show(apart_m)} apart, not {count}; "
            "ask for fewer, give another lump, or let the answers lie closer."
        )
    chosen = Random(seed).sample(kept, count)
    return tuple(
        Card(number, angle, lump, design)
        for number, (lump, angle, design) in enumerate(chosen, start=1)
    )


def _steps(span: Span, step: float) -> list[float]:
    """The whole steps within a span."""
    first, last = ceil(span[0] / step), floor(span[1] / step)
    return [n * step for n in range(first, last + 1)]
