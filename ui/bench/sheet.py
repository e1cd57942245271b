"""A body as a person describes it, in millimetres and grams, and what the solver makes of it.

Standard uncertainties stand beside the numbers. Building raises what the
solver raises: each message says what is possible.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from uncertainties import nominal_value

from solver.bodies import Body, Contact, Part, Side
from solver.errors import InputError
from solver.quantities import GRAM, MILLIMETRE, Quantity, measured
from solver.rig import Lump, Rig, Rod
from solver.shapes import Shape
from ui.bench.kinds import DRAWN, KINDS, WEIGHED, height_of
from ui.bench.sections import Section, Spot, block, upright

Sizes: TypeAlias = Mapping[str, float]
"""Millimetres, by the key of `ui.bench.kinds.Size`."""

BASES: dict[str, tuple[str, ...]] = {
    "circle": ("radius",),
    "ring": ("outer_radius", "inner_radius"),
    "rectangle": ("width", "depth"),
}
"""What each way of touching the board is asked for."""

ACROSS_WIDTH = (Side.RIGHT, Side.LEFT)
"""The sides over which a body tips along its width; the others along its depth."""


@dataclass(frozen=True)
class Number:
    """A number with its standard uncertainty, in the unit people read."""

    value: float
    u: float = 0.0

    def mm(self, name: str) -> Quantity:
        """As a length, metres."""
        return _quantity(self, MILLIMETRE.in_si, name)

    def g(self, name: str) -> Quantity:
        """As a mass, kilograms."""
        return _quantity(self, GRAM.in_si, name)

    def plain(self, name: str) -> Quantity:
        """As it is."""
        return _quantity(self, 1.0, name)


def _quantity(number: Number, unit: float, name: str) -> Quantity:
    if number.u < 0:
        raise InputError(f"The uncertainty of the {name} is {number.u:g}; it must be at least 0.")
    return measured(number.value * unit, number.u * unit, name)


@dataclass(frozen=True)
class PartSheet:
    """One part."""

    name: str
    kind: str
    """A key of `ui.bench.kinds.TITLES`."""
    mass: Number | None = None
    """Grams; or else an amount."""
    amount: Number | None = None
    """Mass per volume, area or length, in the unit of the kind's material."""
    sizes: Sizes = field(default_factory=dict)
    sizes_u_mm: float = 0.0
    """Standard uncertainty of each size."""
    points: tuple[Spot, ...] = ()
    """Of a drawn kind, millimetres."""
    stands_at: Number = Number(0.0)
    """Height of the part's base; of a weighed part, of its centre."""
    aside_mm: float = 0.0
    """Of the part's axis, the way the body tips."""
    upside_down: bool = False

    def part(self, side: Side) -> Part:
        """The part, for the solver."""
        offset = (self.aside_mm * MILLIMETRE.in_si, 0.0)
        aside = offset if side in ACROSS_WIDTH else offset[::-1]
        if self.kind == WEIGHED:
            centre = self.stands_at.mm(f"centre of the {self.name}")
            return Part.weighed(self.name, self._weighed(), (*aside, centre))
        shape = self.shape()
        base = self.stands_at.mm(f"height of the {self.name}'s base")
        return Part.of(self.name, shape, self._mass(shape), base, aside)

    def shape(self) -> Shape:
        """The part's shape, as it stands."""
        if self.kind in KINDS:
            kind = KINDS[self.kind]
            shape = kind.make(*(self._size(size.key) for size in kind.sizes))
        else:
            points = [(a * MILLIMETRE.in_si, b * MILLIMETRE.in_si) for a, b in self.points]
            drawn = DRAWN[self.kind]
            depth = self.sizes.get("depth", 0.0) * MILLIMETRE.in_si
            shape = drawn.make(points, depth)
        return shape.inverted() if self.upside_down else shape

    def section(self, side: Side) -> Section:
        """The part cut through, in its place; nothing for a weighed one."""
        if self.kind == WEIGHED:
            return ()
        pieces = self._standing(side)
        if self.upside_down:
            height = height_of(self.shape())
            pieces = tuple(piece.inverted(height) for piece in pieces)
        return tuple(piece.moved(self.aside_mm, self.stands_at.value) for piece in pieces)

    def _standing(self, side: Side) -> Section:
        across_depth = side not in ACROSS_WIDTH
        if self.kind in KINDS:
            kind = KINDS[self.kind]
            lengths = [self.sizes[size.key] for size in kind.sizes]
            if self.kind == "box" and across_depth:
                lengths[:2] = lengths[1::-1]
            return kind.section(*lengths)
        if self.kind == "prism" and across_depth:
            return block(self.sizes["depth"], height_of(self.shape()))
        return DRAWN[self.kind].section(self.points)

    def _size(self, key: str) -> Quantity:
        name = f"{key.replace('_', ' ')} of the {self.name}"
        return Number(self.sizes[key], self.sizes_u_mm).mm(name)

    def _mass(self, shape: Shape) -> Quantity:
        if self.mass is None and self.amount is not None:
            amount = self.amount.plain(f"{shape.material.value.symbol} of the {self.name}")
            return shape.mass_kg(amount, shape.material)
        return self._weighed()

    def _weighed(self) -> Quantity:
        if self.mass is None:
            raise InputError(f"The {self.name} has no mass; weigh it, and give the grams.")
        return self.mass.g(f"mass of the {self.name}")


@dataclass(frozen=True)
class BaseSheet:
    """Where the body touches the board."""

    touches: str = "circle"
    """A key of `BASES`."""
    sizes: Sizes = field(default_factory=lambda: {"radius": 36.5})
    sizes_u_mm: float = 0.2
    bevel_mm: float = 0.0
    tips: Side = Side.RIGHT

    def contact(self) -> Contact:
        """The contact, for the solver."""
        lengths = [
            Number(self.sizes[key], self.sizes_u_mm).mm(f"{key.replace('_', ' ')} of the base")
            for key in BASES[self.touches]
        ]
        bevel = self.bevel_mm * MILLIMETRE.in_si
        first, last = lengths[0], lengths[-1]
        match self.touches:
            case "circle":
                return Contact.circle(first, bevel)
            case "ring":
                return Contact.ring(first, last, bevel)
            case _:
                return Contact.rectangle(first, last, bevel)


@dataclass(frozen=True)
class RodSheet:
    """An upright thin rod on the body's axis."""

    mass: Number = Number(8.0, 0.1)
    length: Number = Number(100.0, 0.5)
    foot_mm: float = 0.0

    def rod(self) -> Rod:
        """The rod, for the solver."""
        foot = self.foot_mm * MILLIMETRE.in_si
        return Rod(self.mass.g("mass of the rod"), self.length.mm("length of the rod"), foot)

    def section(self) -> Section:
        """The rod cut through, in its place."""
        return tuple(piece.moved(0.0, self.foot_mm) for piece in upright(self.length.value))


@dataclass(frozen=True)
class LumpSheet:
    """A lump threaded on the rod."""

    mass: Number = Number(60.0, 0.1)
    length_mm: float = 16.0
    radius_mm: float = 12.0
    place: Number = Number(60.0, 0.5)
    """Of its centre above the base."""

    def lump(self) -> Lump:
        """The lump, for the solver."""
        length, radius = self.length_mm * MILLIMETRE.in_si, self.radius_mm * MILLIMETRE.in_si
        return Lump(self.mass.g("mass of the lump"), length, radius)

    def place_m(self) -> Quantity:
        """Where it is set, metres."""
        return self.place.mm("place of the lump")

    def section(self) -> Section:
        """The lump cut through, in its place."""
        low = self.place.value - self.length_mm / 2
        return tuple(piece.moved(0.0, low) for piece in block(2 * self.radius_mm, self.length_mm))


@dataclass(frozen=True)
class BodySheet:
    """A body, with a rod and a lump or without."""

    name: str
    parts: tuple[PartSheet, ...]
    base: BaseSheet = BaseSheet()
    height: Number | None = None
    """Of the whole, base to top; parts cannot reach above it."""
    rod: RodSheet | None = None
    lump: LumpSheet = LumpSheet()

    def body(self) -> Body:
        """The body without rod and lump."""
        height = None if self.height is None else self.height.mm("height of the body")
        parts = tuple(part.part(self.base.tips) for part in self.parts)
        return Body(self.name, parts, self.base.contact(), height)

    def rig(self) -> Rig | None:
        """The body with its rod, where it has one."""
        return None if self.rod is None else Rig(self.body(), self.rod.rod(), self.base.tips)

    def whole(self) -> Body:
        """The body with all that is in it."""
        rig = self.rig()
        return self.body() if rig is None else rig.laden(self.lump.lump(), self.lump.place_m())

    def sections(self) -> list[tuple[str, Section]]:
        """Each part cut through, in its place, with its name."""
        tips = self.base.tips
        named = [(part.name, part.section(tips)) for part in self.parts]
        if self.rod is not None:
            named += [("rod", self.rod.section()), ("lump", self.lump.section())]
        return named


def in_mm(length_m: Quantity) -> float:
    """The plain number of millimetres."""
    return float(nominal_value(length_m)) / MILLIMETRE.in_si
