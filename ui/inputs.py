"""What a person gives beside the clip, checked and turned into SI."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from math import radians

from uncertainties import UFloat

from solver.quantities import Quantity, a_length, an_angle, measured
from solver.toppling import RADIUS, base_radius, radius_from_circumference, radius_from_diameter
from vision.reading import level_start

RADIUS_U_M = 0.0002
"""Standard uncertainty of a radius unless told: a ruler read to half a millimetre, thereabouts."""
LOWEST_START_RAD, HIGHEST_START_RAD = radians(-10), radians(60)


class Rim(StrEnum):
    """Which length of the rim was measured."""

    RADIUS = "radius"
    DIAMETER = "diameter"
    CIRCUMFERENCE = "circumference"


TO_RADIUS: dict[Rim, Callable[[Quantity], Quantity]] = {
    Rim.RADIUS: base_radius,
    Rim.DIAMETER: radius_from_diameter,
    Rim.CIRCUMFERENCE: radius_from_circumference,
}


def rim_radius(rim: Rim, length_m: float, length_u_m: float = 0.0) -> Quantity:
    """The base radius from the length that was measured, with its standard uncertainty.

    Raises `LengthError` for a radius not within (0, 1] m, or an uncertainty below 0
    or not below the length.
    """
    radius_m = TO_RADIUS[rim](length_m)
    a_length(length_u_m, f"uncertainty of the {rim}", 0.0, length_m, "[)")
    return TO_RADIUS[rim](measured(length_m, length_u_m, RADIUS)) if length_u_m else radius_m


def start_tilt(tilt_rad: float) -> UFloat:
    """The board's tilt in the first frames, read as closely as a level table is.

    Raises `AngleError` outside −10° to 60°.
    """
    an_angle(tilt_rad, "start tilt", LOWEST_START_RAD, HIGHEST_START_RAD, "[]")
    return level_start() + tilt_rad
