"""A lump on an upright rod inside a body: forwards, backwards, and how well.

The body of mass m₀ (the rod among its parts) has its centre at x₀; the lump of
mass m at p brings the centre of all to X, with

    (m₀ + m) X = m₀ x₀ + m p.

Positions and heights are metres above the base, to the lump's own centre.
Answers keep the uncertainties of what went in, so the budget of an answer by
`solver.propagation.linear` names the measurement to improve. A position that comes out beyond the
rod by less than two of its own standard uncertainties is given as it is;
further out it is refused with the range that can be reached.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

from scipy.optimize import minimize_scalar
from uncertainties import nominal_value, std_dev

from solver.errors import UnreachableError
from solver.quantities import MILLIMETRE, Quantity, a_mass, measured
from solver.rig import Lump, Rig, Span


def position_of_lump(rig: Rig, lump: Lump, centre_height_m: Quantity) -> Quantity:
    """Where a lump of known mass sits, from the centre height of the whole.

    ``p = X + (m₀/m)(X − x₀)``. Raises `UnreachableError` with the range.
    """
    a_mass(lump.mass_kg, "mass of the lump")
    empty = rig.carrier
    ratio = empty.mass_kg / lump.mass_kg
    position = centre_height_m + ratio * (centre_height_m - empty.centre_height_m)
    if _beyond(position, *rig.places(lump)):
        raise UnreachableError(
            f"No place on the rod puts the centre at {MILLIMETRE.show(centre_height_m)}: "
            f"with this lump {rig.reach(lump)}."
        )
    return position


def mass_of_lump(rig: Rig, position_m: Quantity, centre_height_m: Quantity) -> Quantity:
    """The mass of a lump at a known position, from the centre height of the whole.

    ``m = m₀ (X − x₀)/(p − X)``. Raises `UnreachableError` where X is not
    between the empty body's centre and the lump.
    """
    empty = rig.carrier
    bounds = sorted((empty.centre_height_m, position_m), key=nominal_value)
    low, high = map(nominal_value, bounds)
    if not low < nominal_value(centre_height_m) < high:
        raise UnreachableError(
            f"No lump at {MILLIMETRE.show(position_m)} puts the centre at "
            f"{MILLIMETRE.show(centre_height_m)}: it can lie between "
            f"{MILLIMETRE.show(low)} (no lump) and {MILLIMETRE.show(high)} (a very heavy one)."
        )
    lift = centre_height_m - empty.centre_height_m
    return empty.mass_kg * lift / (position_m - centre_height_m)


@dataclass(frozen=True)
class FoundLump:
    """Mass and first position of a lump of which neither was known."""

    mass_kg: Quantity
    position_m: Quantity


def find_lump(
    rig: Rig, shift_m: Quantity, first_height_m: Quantity, second_height_m: Quantity
) -> FoundLump:
    """A lump's mass and position from two centre heights, before and after a shift.

    The lump moves up by ``shift_m`` (down: negative) between the two. From the
    difference of the two moment equations ``m = m₀ ΔX/(s − ΔX)``. Raises
    `UnreachableError` where the centre did not follow the lump by less than
    the shift, or the lump would be off the rod.
    """
    rise = second_height_m - first_height_m
    if not 0 < nominal_value(rise) / nominal_value(_shift(shift_m)) < 1:
        raise UnreachableError(
            f"The centre moved by {MILLIMETRE.show(rise)} when the lump moved by "
            f"{MILLIMETRE.show(shift_m)}; it can only move the same way and by less."
        )
    mass = rig.carrier.mass_kg * rise / (shift_m - rise)
    return FoundLump(mass, position_of_lump(rig, Lump(mass), first_height_m))


def _shift(shift_m: Quantity) -> Quantity:
    if nominal_value(shift_m) == 0:
        raise UnreachableError(
            "The lump was not moved between the two readings, so they say the same thing twice; "
            "move it by as much as the rod allows."
        )
    return shift_m


def _beyond(value: Quantity, low: float, high: float) -> bool:
    """Whether a value lies outside a span by over two of its standard uncertainties."""
    margin = 2 * std_dev(value) + 1e-9 * (high - low)
    return not low - margin <= nominal_value(value) <= high + margin


@dataclass(frozen=True)
class Advice:
    """The choice that makes a backward answer least uncertain."""

    best: float
    """Of the lump's mass, kilograms, or of its position, metres."""
    answer_u: float
    """Standard uncertainty of the answer then: metres, or kilograms."""
    at_limit: bool
    """Whether it would be better still beyond the range that was allowed."""


def position_u_m(rig: Rig, lump: Lump, position_m: float, angle_u_rad: float) -> float:
    """Standard uncertainty of the position found from one reading of the angle."""
    height = rig.height_at(_reading(rig, lump, position_m, angle_u_rad))
    return float(std_dev(position_of_lump(rig, lump, height)))


def mass_u_kg(rig: Rig, lump: Lump, position_m: Quantity, angle_u_rad: float) -> float:
    """Standard uncertainty of the mass found from one reading of the angle."""
    height = rig.height_at(_reading(rig, lump, position_m, angle_u_rad))
    return float(std_dev(mass_of_lump(rig, position_m, height)))


def _reading(rig: Rig, lump: Lump, position_m: Quantity, angle_u_rad: float) -> Quantity:
    brink = rig.laden(lump, position_m).brink_rad(rig.side)
    return measured(nominal_value(brink), angle_u_rad, "angle")


def best_lump_mass(
    rig: Rig, position_m: float, angle_u_rad: float, masses_kg: Span, mass_u_kg: float = 0.0
) -> Advice:
    """The lump mass within a span that locates a lump near ``position_m`` best.

    ``mass_u_kg`` is what the balance's reading is uncertain by. With all else
    exact the best mass makes ``X = x₀ + √(x₀² + r²)``, if p is above that.
    """

    def cost(log_mass: float) -> float:
        lump = Lump(measured(exp(log_mass), mass_u_kg, "lump mass"))
        return position_u_m(rig, lump, position_m, angle_u_rad)

    least, most = (a_mass(m, "mass of the lump") for m in masses_kg)
    found = _least(cost, log(least), log(most))
    return Advice(exp(found.best), found.answer_u, found.at_limit)


def best_place(rig: Rig, lump: Lump, angle_u_rad: float) -> Advice:
    """The place on the rod that gives the mass of a lump best.

    A lump at the empty body's centre leaves it where it is and tells nothing,
    so a hundredth of the rod on either side of it is left out.
    """
    empty, (low, high) = nominal_value(rig.carrier.centre_height_m), rig.places(lump)
    gap = 0.01 * (high - low)
    spans = [(low, min(high, empty - gap)), (max(low, empty + gap), high)]
    found = [
        _least(lambda place: mass_u_kg(rig, lump, place, angle_u_rad), *span)
        for span in spans
        if span[0] < span[1]
    ]
    return min(found, key=lambda advice: advice.answer_u)


def _least(cost: Callable[[float], float], low: float, high: float) -> Advice:
    fit = minimize_scalar(cost, bounds=(low, high), method="bounded", options={"xatol": 1e-6})
    best = min((low, float(fit.x), high), key=cost)
    return Advice(best, cost(best), best in (low, high))
