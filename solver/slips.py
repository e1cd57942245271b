"""Slips students make with protractor and calculator, and how well each explains a number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from math import cos, degrees, sin, tan

from scipy.stats import norm

EXPLAINS = 2.0
"""Joint standard uncertainties within which a slip explains a number."""


class Slip(StrEnum):
    """What may have gone wrong, in the words kept in a record."""

    OTHER_END = "read from the other end of the scale"
    FROM_UPRIGHT = "measured from the upright"
    BODY_MOVED = "read after the body had moved"
    DIAMETER = "diameter for radius"
    UPSIDE_DOWN = "tan upside down"
    SINE = "sin for tan"
    COSINE = "cos for tan"
    RADIANS = "calculator in radians"
    CENTIMETRES = "mm for cm"


@dataclass(frozen=True)
class Explanation:
    """What a number would be with one slip, or with two together."""

    slips: tuple[Slip, ...]
    expected: float
    """The right number with those slips made; SI. The nearest of a range."""
    ratio: float
    """The number given less that, in joint standard uncertainties."""
    likelihood: float
    """Density of the number given, were those slips made: higher explains better."""

    @property
    def explains(self) -> bool:
        return abs(self.ratio) <= EXPLAINS


def point(slips: Sequence[Slip], given: float, expected: float, u: float) -> Explanation:
    """Slips that lead to one number, with the joint standard uncertainty of both."""
    ratio = (given - expected) / u
    return Explanation(tuple(slips), expected, ratio, float(norm.pdf(ratio)) / u)


def span(slip: Slip, given: float, low: float, high: float, u: float) -> Explanation:
    """A slip that leads to any number of a range, each as likely as the other."""
    nearest = min(max(given, low), high)
    if high - low < u:
        return point([slip], given, nearest, u)
    inside = float(norm.cdf((given - low) / u) - norm.cdf((given - high) / u))
    return Explanation((slip,), nearest, (given - nearest) / u, inside / (high - low))


def explaining(tried: Iterable[Explanation]) -> tuple[Explanation, ...]:
    """Those that explain the number, the likeliest first."""
    return tuple(
        sorted((each for each in tried if each.explains), key=lambda each: -each.likelihood)
    )


FUNCTIONS = (Slip.UPSIDE_DOWN, Slip.SINE, Slip.COSINE)
"""Of these only one can be made at a time."""
IN_WORKING = (Slip.DIAMETER, *FUNCTIONS, Slip.RADIANS, Slip.CENTIMETRES)


def slipped_heights(
    radius_m: float, angle_rad: float, together: int
) -> list[tuple[tuple[Slip, ...], float]]:
    """Every result of ``x = r / tan(angle)`` worked with so many slips at once, metres.

    Signs are left off, as a student leaves them off a height.
    """
    worked = []
    for slips in combinations(IN_WORKING, together):
        if sum(slip in FUNCTIONS for slip in slips) <= 1:
            x = abs(_worked(radius_m, angle_rad, slips))
            scales = (10.0, 0.1) if Slip.CENTIMETRES in slips else (1.0,)
            worked += [(slips, x * scale) for scale in scales]
    return worked


def _worked(radius_m: float, angle_rad: float, slips: Sequence[Slip]) -> float:
    angle = degrees(angle_rad) if Slip.RADIANS in slips else angle_rad
    length = 2 * radius_m if Slip.DIAMETER in slips else radius_m
    if Slip.UPSIDE_DOWN in slips:
        return length * tan(angle)
    if Slip.SINE in slips:
        return length / sin(angle)
    return length / (cos(angle) if Slip.COSINE in slips else tan(angle))
