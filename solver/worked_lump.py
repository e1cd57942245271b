"""The working of a lump on a rod: forwards, backwards, and by design.

Every function takes what its result is computed from and returns a `Working`
whose last step gives that result, with its uncertainty. A centre height that
came from an angle has its own working: `solver.worked_bodies.height_from_tilt`.
"""

from __future__ import annotations

from solver.notation import Letter, Symbol
from solver.quantities import GRAM, MILLIMETRE, Quantity
from solver.rig import Lump, Rig
from solver.worked_bodies import HEIGHT, RADIUS, brink_steps, height_from_tilt
from solver.working import Step, Working, solve

LUMP = Letter("m", "mass of the lump", GRAM, "lump")
PLACE = Letter("p", "height of the lump's centre above the base", MILLIMETRE)
SHIFT = Letter("s", "distance the lump was moved up", MILLIMETRE)
MOMENTS = (
    "The weight of the whole has the same moment as the weights of body and lump together: "
    "(m₀ + m) x = m₀ x₀ + m p, with m for the lump."
)


def brink_with_lump(rig: Rig, lump: Lump, position_m: Quantity) -> Working:
    """The brink angle with a lump at a known place."""
    body = rig.laden(lump, position_m)
    known = [*_empty(rig), LUMP.at(lump.mass_kg), PLACE.at(position_m)]
    height = solve(MOMENTS, "x = (m_0 * x_0 + m_lump * p) / (m_0 + m_lump)", known, HEIGHT)
    radius = RADIUS.at(body.arm_m(rig.side))
    steps = (height, *brink_steps([radius, height.result]))
    return Working("Brink angle with the lump in place", steps)


def place_of_lump(rig: Rig, lump: Lump, centre_height_m: Quantity) -> Working:
    """The place of a known lump, from the centre height of the whole."""
    known = [*_empty(rig), LUMP.at(lump.mass_kg), HEIGHT.at(centre_height_m)]
    return Working("Where the lump is", (_place(known),))


def _place(known: list[Symbol]) -> Step:
    return solve(MOMENTS, "p = x + m_0 / m_lump * (x - x_0)", known, PLACE)


def mass_of_lump(rig: Rig, position_m: Quantity, centre_height_m: Quantity) -> Working:
    """The mass of a lump at a known place, from the centre height of the whole."""
    known = [*_empty(rig), PLACE.at(position_m), HEIGHT.at(centre_height_m)]
    step = solve(MOMENTS, "m_lump = m_0 * (x - x_0) / (p - x)", known, LUMP)
    return Working("How heavy the lump is", (step,))


def lump_found(
    rig: Rig, shift_m: Quantity, first_height_m: Quantity, second_height_m: Quantity
) -> Working:
    """A lump's mass and first place, from centre heights before and after a shift."""
    first = Letter("x", "height of the centre before the shift", MILLIMETRE, "1")
    second = Letter("x", "height of the centre after it", MILLIMETRE, "2")
    heights = [first.at(first_height_m), second.at(second_height_m)]
    mass = solve(
        MOMENTS + " Written for both places and subtracted, x₀ and p drop out.",
        "m_lump = m_0 * (x_2 - x_1) / (s - (x_2 - x_1))",
        [*_empty(rig), *heights, SHIFT.at(shift_m)],
        LUMP,
    )
    known = [*_empty(rig), mass.result, HEIGHT.at(first_height_m)]
    return Working("How heavy the lump is, and where it was first", (mass, _place(known)))


def place_for(rig: Rig, lump: Lump, angle_rad: float) -> Working:
    """Where to put a lump for a set brink angle."""
    height = height_from_tilt(rig.carrier.arm_m(rig.side), angle_rad)
    known = [*_empty(rig), LUMP.at(lump.mass_kg), height.steps[-1].result]
    return Working("Where to put the lump", (*height.steps, _place(known)))


def mass_for(rig: Rig, position_m: Quantity, angle_rad: float) -> Working:
    """How heavy to make a lump for a set brink angle."""
    height = height_from_tilt(rig.carrier.arm_m(rig.side), angle_rad)
    mass = mass_of_lump(rig, position_m, height.result)
    return Working("How heavy to make the lump", (*height.steps, *mass.steps))


def _empty(rig: Rig) -> list[Symbol]:
    """The mass and the centre height of body and rod."""
    return [
        Letter("m", "mass of body and rod", GRAM, "0").at(rig.carrier.mass_kg),
        Letter("x", "centre height of body and rod", MILLIMETRE, "0").at(
            rig.carrier.centre_height_m
        ),
    ]
