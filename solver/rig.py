"""A body with an upright rod in it, and a lump that slides on the rod.

Positions and heights are metres above the base, to the lump's own centre.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from uncertainties import nominal_value

from solver.bodies import Body, Part, Side
from solver.quantities import DEGREE, MILLIMETRE, Quantity, a_length
from solver.shapes import cylinder
from solver.shapes import rod as thin_rod
from solver.toppling import centre_height

Span: TypeAlias = tuple[float, float]
"""The least and the greatest value, SI."""


@dataclass(frozen=True)
class Rod:
    """A thin uniform rod on the body's axis."""

    mass_kg: Quantity
    length_m: Quantity
    foot_m: Quantity = 0.0
    """Height of its lower end above the base."""

    def part(self) -> Part:
        """The rod as a part of a body; raises `MassError` or `LengthError`."""
        return Part.of("rod", thin_rod(self.length_m), self.mass_kg, self.foot_m)


@dataclass(frozen=True)
class Lump:
    """A lump threaded on the rod: a small upright cylinder, or a point."""

    mass_kg: Quantity
    length_m: Quantity = 0.0
    radius_m: Quantity = 0.0

    def part(self, position_m: Quantity) -> Part:
        """The lump as a part, its centre at that height."""
        if nominal_value(self.length_m) == 0 or nominal_value(self.radius_m) == 0:
            return Part.weighed("lump", self.mass_kg, position_m)
        shape = cylinder(self.radius_m, self.length_m)
        return Part.of("lump", shape, self.mass_kg, position_m - self.length_m / 2)


@dataclass(frozen=True)
class Reach:
    """What can be had by sliding one lump along the rod, or changing its mass."""

    positions_m: Span
    centre_heights_m: Span
    angles_rad: Span
    """The smallest belongs to the highest centre."""

    def __str__(self) -> str:
        heights = " and ".join(map(MILLIMETRE.show, self.centre_heights_m))
        angles = " and ".join(map(DEGREE.show, self.angles_rad))
        return f"the centre can lie between {heights}, to topple between {angles}"


@dataclass(frozen=True)
class Rig:
    """A body with a rod in it, ready for a lump."""

    body: Body
    """Without the rod and the lump."""
    rod: Rod
    side: Side = Side.RIGHT

    @cached_property
    def carrier(self) -> Body:
        """The body with the rod, still without the lump."""
        return self.body.with_parts(self.rod.part())

    def places(self, lump: Lump) -> Span:
        """The lowest and highest positions at which the lump is wholly on the rod."""
        foot, half = nominal_value(self.rod.foot_m), nominal_value(lump.length_m) / 2
        return foot + half, foot + nominal_value(self.rod.length_m) - half

    def laden(self, lump: Lump, position_m: Quantity) -> Body:
        """Body, rod and lump. Raises `LengthError` where the lump is off the rod."""
        low, high = self.places(lump)
        a_length(position_m, "position of the lump", low, high, "[]")
        return self.carrier.with_parts(lump.part(position_m))

    def height_at(self, angle_rad: Quantity) -> Quantity:
        """The centre height that topples at an angle, the lump being on the axis."""
        return centre_height(self.carrier.arm_m(self.side), angle_rad)

    def reach(self, lump: Lump) -> Reach:
        """What the lump can do, from the foot of the rod to its top."""
        ends = [self.laden(lump, place) for place in self.places(lump)]
        low, high = (nominal_value(body.centre_height_m) for body in ends)
        steep, slight = (nominal_value(body.brink_rad(self.side)) for body in ends)
        return Reach(self.places(lump), (low, high), (slight, steep))
