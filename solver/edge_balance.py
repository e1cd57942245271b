"""The centre by balancing: slid over a table's edge until it is about to tip.

The body lies on its side, its axis across the edge. At the point of tipping
its centre is over the line where the flat of the table ends. A rounded edge
of radius ρ ends ρ before the table's outermost face, so an overhang measured
from that face is short by ρ.

    centre from the overhanging end = overhang + ρ

Readings with either end over the edge can be taken together; every one is
turned into the height of the centre above the base.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from uncertainties import nominal_value

from solver.quantities import Quantity, a_length, measured
from solver.repeats import Repeats, mean_of

MILLIMETRE_RULE_U_M = 0.001 / sqrt(12)
"""Reading to the nearest millimetre: a rectangle 1 mm wide (JCGM 100:2008, F.2.2.1)."""


class End(StrEnum):
    """Which end hangs over the edge."""

    BASE = "base"
    TOP = "top"


@dataclass(frozen=True)
class Overhang:
    """One reading: how far the end was beyond the table's face at the point of tipping."""

    overhang_m: float
    end: End = End.BASE


@dataclass(frozen=True)
class Balance:
    """What is common to all readings of one body."""

    length_m: Quantity
    """Of the body, base to top."""
    edge_radius_m: Quantity = 0.0
    """Of the rounding of the table's edge; 0 for a sharp one."""
    scale_u_m: float = 0.0
    """Standard uncertainty of the rule's zero, the same in every reading."""
    reading_u_m: float = MILLIMETRE_RULE_U_M
    """Standard uncertainty of one reading, fresh in each."""


def balanced_centre(balance: Balance, readings: Sequence[Overhang]) -> Repeats:
    """The centre height above the base from overhang readings, metres.

    Repeats that scatter more than a reading's own uncertainty widen the
    interval; a single reading cannot show that. As many readings with the base over as with
    the top over cancel the edge and the rule's zero. Raises `LengthError`
    where a reading puts the centre outside the body, and `InputError` where
    there are no readings. Compare the mean with a centre by toppling by
    `solver.repeats.compare`.
    """
    a_length(balance.length_m, "length of the body")
    a_length(balance.edge_radius_m, "radius of the table's edge", ends="[)")
    shift = balance.edge_radius_m + measured(0.0, balance.scale_u_m, "zero of the rule")
    return mean_of([_height(balance, reading, shift) for reading in readings])


def _height(balance: Balance, reading: Overhang, shift: Quantity) -> Quantity:
    length = nominal_value(balance.length_m)
    most = length - nominal_value(balance.edge_radius_m)
    a_length(reading.overhang_m, f"overhang of the {reading.end}", high=most)
    fresh = measured(reading.overhang_m, balance.reading_u_m, "reading of the overhang")
    from_end = fresh + shift
    return from_end if reading.end is End.BASE else balance.length_m - from_end
