"""A body as named parts on a base: its mass, its centre, its brink.

Axes as in `solver.moments`: z up from the base, the origin on the axis. The
body turns about one edge of its base, the pivot; at the brink the line of the
weight passes through it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from itertools import combinations
from math import inf

from uncertainties import nominal_value

from solver.errors import LengthError
from solver.moments import ORIGIN, Moments, Vector, together
from solver.quantities import MILLIMETRE, Quantity, a_length, a_mass
from solver.shapes import Shape
from solver.toppling import base_radius, brink_angle


class Side(Enum):
    """Which way the body tips: the axis across its pivot, and the sense along it."""

    RIGHT = (0, 1)
    LEFT = (0, -1)
    BACK = (1, 1)
    FRONT = (1, -1)


@dataclass(frozen=True)
class Contact:
    """Where the base touches the board: how far it reaches along x and y.

    Make one with `circle`, `ring` or `rectangle`. The bevel of the rim is the
    width, metres, by which the rounding lifts the outermost edge off the board.
    """

    reach_m: tuple[Quantity, Quantity]
    """From the axis to the pivot along x and along y."""

    @classmethod
    def circle(cls, radius_m: Quantity, bevel_m: Quantity = 0.0) -> Contact:
        """A round base, flat or a rim; the radius is the base's, not the lid's."""
        base_radius(radius_m)
        a_length(bevel_m, "bevel of the rim", high=nominal_value(radius_m), ends="[)")
        return cls((radius_m - bevel_m, radius_m - bevel_m))

    @classmethod
    def ring(cls, outer_m: Quantity, inner_m: Quantity, bevel_m: Quantity = 0.0) -> Contact:
        """A raised rim between two radii; the body tips about the outer one."""
        contact = cls.circle(outer_m, bevel_m)
        a_length(inner_m, "inner radius of the rim", high=nominal_value(contact.reach_m[0]))
        return contact

    @classmethod
    def rectangle(cls, width_m: Quantity, depth_m: Quantity, bevel_m: Quantity = 0.0) -> Contact:
        """A rectangular base, width along x (tips left or right), depth along y."""
        a_length(width_m, "width of the base", high=2.0, ends="(]")
        a_length(depth_m, "depth of the base", high=2.0, ends="(]")
        narrow = min(nominal_value(width_m), nominal_value(depth_m)) / 2
        a_length(bevel_m, "bevel of the rim", high=narrow, ends="[)")
        return cls((width_m / 2 - bevel_m, depth_m / 2 - bevel_m))


@dataclass(frozen=True)
class Part:
    """A part of a body, in its place."""

    name: str
    moments: Moments
    """In the body's axes; the amount is the mass, kilograms."""
    bottom_m: Quantity
    top_m: Quantity
    shape: Shape | None = None
    """None for a part that was weighed and whose centre alone is known."""

    @classmethod
    def of(
        cls,
        name: str,
        shape: Shape,
        mass_kg: Quantity,
        base_m: Quantity = 0.0,
        aside_m: tuple[Quantity, Quantity] = (0.0, 0.0),
    ) -> Part:
        """A part of known shape, its base so high and its axis so far aside.

        For a mass from a density see `Shape.mass_kg`. Raises `MassError` or
        `LengthError`.
        """
        a_mass(mass_kg, f"mass of the {name}")
        a_length(base_m, f"height of the {name}'s base", ends="[)")
        moments = shape.moments.with_amount(mass_kg).moved((*aside_m, base_m))
        return cls(name, moments, base_m, base_m + shape.height_m, shape)

    @classmethod
    def weighed(cls, name: str, mass_kg: Quantity, centre: Quantity | Vector) -> Part:
        """A part that was weighed and whose centre (a height or a point, metres) is known.

        It counts as a point in the moment of inertia.
        """
        a_mass(mass_kg, f"mass of the {name}")
        point = centre if isinstance(centre, tuple) else (0.0, 0.0, centre)
        a_length(point[2], f"height of the {name}'s centre", ends="[)")
        return cls(name, Moments(mass_kg, point, ORIGIN), point[2], point[2])


@dataclass(frozen=True)
class Body:
    """Named parts on a base.

    Raises `LengthError` on construction where two parts fill the same room,
    a part reaches above the given height, or the centre lies outside the base,
    so that the body would fall over on a level table.
    """

    name: str
    parts: tuple[Part, ...]
    contact: Contact
    height_m: Quantity | None = None
    """Given, nothing may reach above it; else the highest part's top."""

    def __post_init__(self) -> None:
        if not self.parts:
            raise LengthError(f"The {self.name} has no parts; give it at least one.")
        for lower, upper in combinations(self.parts, 2):
            _check_room(lower, upper)
        limit = inf if self.height_m is None else nominal_value(self.height_m)
        for part in self.parts:
            a_length(part.top_m, f"top of the {part.name}", high=limit, ends="[]")
        a_length(self.centre_height_m, f"height of the {self.name}'s centre")
        for side in Side:
            a_length(self.arm_m(side), f"distance from the {self.name}'s centre to the pivot")

    @cached_property
    def moments(self) -> Moments:
        """All parts taken as one; the amount is the mass, kilograms."""
        return together(part.moments for part in self.parts)

    @property
    def mass_kg(self) -> Quantity:
        """The sum of the parts' masses."""
        return self.moments.amount

    @property
    def centre_height_m(self) -> Quantity:
        """Height of the centre above the base."""
        return self.moments.centre_m[2]

    @property
    def top_m(self) -> Quantity:
        """The height given, or else the top of the highest part."""
        if self.height_m is not None:
            return self.height_m
        return max((part.top_m for part in self.parts), key=nominal_value)

    @property
    def shapeless(self) -> tuple[str, ...]:
        """The parts of unknown shape; with any, the inertia is the least possible."""
        return tuple(part.name for part in self.parts if part.shape is None)

    def arm_m(self, side: Side = Side.RIGHT) -> Quantity:
        """Distance along the base from below the centre to the pivot on that side."""
        axis, sense = side.value
        return self.contact.reach_m[axis] - sense * self.moments.centre_m[axis]

    def brink_rad(self, side: Side = Side.RIGHT) -> Quantity:
        """The tilt at which the line of the weight passes through the pivot.

        ``tan(brink) = arm / centre height``.
        """
        return brink_angle(self.arm_m(side), self.centre_height_m)

    def inertia_kg_m2(self, side: Side = Side.RIGHT) -> Quantity:
        """Moment of inertia about the pivot on that side, by the parallel axis theorem."""
        axis, _ = side.value
        own = self.moments.spread_m2[axis] + self.moments.spread_m2[2]
        return self.mass_kg * (own + self.arm_m(side) ** 2 + self.centre_height_m**2)

    def with_parts(self, *more: Part) -> Body:
        """The body with more parts, which may reach above it."""
        tops = [self.top_m, *(part.top_m for part in more)]
        height = None if self.height_m is None else max(tops, key=nominal_value)
        return replace(self, parts=(*self.parts, *more), height_m=height)


def _check_room(one: Part, other: Part) -> None:
    """Refuse two solids that fill the same stretch of the axis."""
    if not all(p.shape is not None and p.shape.fills_axis for p in (one, other)):
        return
    if any(nominal_value(a - b) != 0 for a, b in zip(_aside(one), _aside(other), strict=True)):
        return
    low = max(one.bottom_m, other.bottom_m, key=nominal_value)
    high = min(one.top_m, other.top_m, key=nominal_value)
    if nominal_value(high - low) > 1e-9:
        raise LengthError(
            f"The {one.name} and the {other.name} are both solid and overlap between "
            f"{MILLIMETRE.show(low)} and {MILLIMETRE.show(high)}; move one of them."
        )


def _aside(part: Part) -> tuple[Quantity, Quantity]:
    return part.moments.centre_m[:2]


DENSEST_KG_M3 = 22_590.0
"""Osmium, the densest element; CRC Handbook of Chemistry and Physics, from memory."""


def unit_doubts(body: Body) -> tuple[str, ...]:
    """Plain sentences where the sizes look as if typed in another unit.

    A body denser than any metal over the box round it, or lighter than foam,
    or lower than a coin or taller than a door, is more likely a slip of units.
    """
    height = nominal_value(body.top_m)
    x, y = map(nominal_value, body.contact.reach_m)
    doubts = []
    if not 0.01 <= height <= 2.0:
        doubts.append(f"The {body.name} is {MILLIMETRE.show(height)} high; check the unit.")
    if min(x, y) < 0.005 or max(x, y) > 0.5:
        doubts.append(
            f"The {body.name}'s base is {MILLIMETRE.show(2 * x)} by "
            f"{MILLIMETRE.show(2 * y)}; check the unit."
        )
    density = nominal_value(body.mass_kg) / (4 * x * y * height) if height else inf
    if density > DENSEST_KG_M3 or density < 1.0:
        doubts.append(
            f"The {body.name} would weigh {density:.3g} kg for each cubic metre of the box "
            "round it; check for centimetres typed as millimetres, or kilograms as grams."
        )
    return tuple(doubts)
