"""Uniform shapes standing on the plane z = 0, their axis along z.

A shape knows its volume (a solid), area (a thin sheet) or length (a thin
wire), and how that is distributed. Sizes are metres, plain or with
uncertainty; each must be positive, else `LengthError`.

Sources: the frustum, its curved surface and the sphere are integrated from
``∫ρ²dz`` and ``∫ρ ds`` as in any mechanics text; the tests integrate them
again with sympy and compare them with meshes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from math import pi

from uncertainties import nominal_value, umath

from solver.errors import LengthError, MassError
from solver.moments import Moments, together
from solver.quantities import PER_AREA, PER_LENGTH, PER_VOLUME, Quantity, a_length, in_range


class Material(Enum):
    """What a shape is made of, valued by the unit its mass is given in per amount."""

    SOLID = PER_VOLUME
    SHEET = PER_AREA
    WIRE = PER_LENGTH


@dataclass(frozen=True)
class Shape:
    """A uniform shape standing on the plane z = 0."""

    moments: Moments
    height_m: Quantity
    material: Material
    fills_axis: bool = False
    """Whether it is a solid round its whole axis, so nothing else fits there."""

    def inverted(self) -> Shape:
        """The shape turned upside down, standing on what was its top."""
        x, y, z = self.moments.centre_m
        turned = replace(self.moments, centre_m=(x, y, self.height_m - z))
        return replace(self, moments=turned)

    def mass_kg(self, per_amount: Quantity, material: Material) -> Quantity:
        """Its mass from a density (kg/m³), a mass per area (kg/m²) or per length (kg/m).

        Raises `MassError` where that is not positive, or is of another
        material than the shape.
        """
        in_range(per_amount, "mass in " + material.value.symbol, material.value)
        if material is not self.material:
            raise MassError(
                f"This shape is a {self.material.name.lower()}: give its mass in "
                f"{self.material.value.symbol}, not in {material.value.symbol}."
            )
        return self.moments.amount * per_amount


def round_moments(amount: Quantity, height: Quantity, across: Quantity, along: Quantity) -> Moments:
    """Moments of a shape that is round about z: centre height, spreads in x and z."""
    return Moments(amount, (0.0, 0.0, height), (across, across, along))


def frustum_moments(bottom: Quantity, top: Quantity, height: Quantity) -> Moments:
    """A solid frustum, from the radius at its foot to that at its top, metres."""
    square = bottom**2 + bottom * top + top**2
    fourth = bottom**4 + bottom**3 * top + bottom**2 * top**2 + bottom * top**3 + top**4
    centre = height * (bottom**2 + 2 * bottom * top + 3 * top**2) / (4 * square)
    second = height**2 * (bottom**2 + 3 * bottom * top + 6 * top**2) / (10 * square)
    volume = pi * height * square / 3
    return round_moments(volume, centre, 3 * fourth / (20 * square), second - centre**2)


def band_moments(bottom: Quantity, top: Quantity, height: Quantity) -> Moments:
    """The curved surface of a frustum, metres; of no height, an annulus or a disc."""
    width = bottom + top
    slant = umath.sqrt(height**2 + (bottom - top) ** 2)
    centre = height * (bottom + 2 * top) / (3 * width)
    second = height**2 * (bottom + 3 * top) / (6 * width)
    return round_moments(pi * width * slant, centre, (bottom**2 + top**2) / 4, second - centre**2)


def frustum(bottom_m: Quantity, top_m: Quantity, height_m: Quantity) -> Shape:
    """A solid frustum of a cone; the radius at one end may be 0."""
    _ends(bottom_m, top_m)
    a_length(height_m, "height of the frustum")
    return Shape(
        frustum_moments(bottom_m, top_m, height_m), height_m, Material.SOLID, fills_axis=True
    )


def frustum_shell(bottom_m: Quantity, top_m: Quantity, height_m: Quantity) -> Shape:
    """The curved surface of a frustum, a thin sheet open at both ends."""
    _ends(bottom_m, top_m)
    a_length(height_m, "height of the frustum")
    return Shape(band_moments(bottom_m, top_m, height_m), height_m, Material.SHEET)


def _ends(bottom: Quantity, top: Quantity) -> None:
    a_length(bottom, "radius at the bottom", ends="[)")
    a_length(top, "radius at the top", ends="[)")
    a_length(bottom + top, "sum of the end radii")


def cylinder(radius_m: Quantity, height_m: Quantity) -> Shape:
    """A solid cylinder."""
    return frustum(a_length(radius_m, "radius"), radius_m, height_m)


def tube(radius_m: Quantity, height_m: Quantity) -> Shape:
    """A thin tube open at both ends."""
    return frustum_shell(a_length(radius_m, "radius"), radius_m, height_m)


def disc(radius_m: Quantity) -> Shape:
    """A thin flat disc: the base of a tin, or its lid."""
    return Shape(band_moments(a_length(radius_m, "radius"), 0.0, 0.0), 0.0, Material.SHEET)


def cone(radius_m: Quantity, height_m: Quantity) -> Shape:
    """A solid cone standing on its base."""
    return frustum(radius_m, 0.0, height_m)


def cone_shell(radius_m: Quantity, height_m: Quantity) -> Shape:
    """The curved surface of a cone standing on its open base."""
    return frustum_shell(radius_m, 0.0, height_m)


def hemisphere(radius_m: Quantity) -> Shape:
    """A solid hemisphere standing on its flat face."""
    r = a_length(radius_m, "radius")
    centre = 3 * r / 8
    moments = round_moments(2 * pi * r**3 / 3, centre, r**2 / 5, r**2 / 5 - centre**2)
    return Shape(moments, r, Material.SOLID, fills_axis=True)


def hemisphere_shell(radius_m: Quantity) -> Shape:
    """A thin hemispherical bowl standing on its open rim."""
    r = a_length(radius_m, "radius")
    return Shape(round_moments(2 * pi * r**2, r / 2, r**2 / 3, r**2 / 12), r, Material.SHEET)


def sphere(radius_m: Quantity) -> Shape:
    """A solid sphere."""
    r = a_length(radius_m, "radius")
    moments = round_moments(4 * pi * r**3 / 3, r, r**2 / 5, r**2 / 5)
    return Shape(moments, 2 * r, Material.SOLID, fills_axis=True)


def sphere_shell(radius_m: Quantity) -> Shape:
    """A thin hollow sphere."""
    r = a_length(radius_m, "radius")
    return Shape(round_moments(4 * pi * r**2, r, r**2 / 3, r**2 / 3), 2 * r, Material.SHEET)


def ring(outer_m: Quantity, inner_m: Quantity, height_m: Quantity) -> Shape:
    """A thick ring: a cylinder with a concentric hole right through."""
    a_length(inner_m, "inner radius")
    a_length(outer_m, "outer radius", low=nominal_value(inner_m))
    return hollowed(cylinder(outer_m, height_m), cylinder(inner_m, height_m))


def hoop(radius_m: Quantity) -> Shape:
    """A thin wire bent to a circle, lying flat."""
    r = a_length(radius_m, "radius")
    return Shape(round_moments(2 * pi * r, 0.0, r**2 / 2, 0.0), 0.0, Material.WIRE)


def rod(length_m: Quantity) -> Shape:
    """A thin straight rod standing on the axis."""
    length = a_length(length_m, "length of the rod")
    return Shape(round_moments(length, length / 2, 0.0, length**2 / 12), length, Material.WIRE)


def box(width_m: Quantity, depth_m: Quantity, height_m: Quantity) -> Shape:
    """A solid rectangular prism, width along x and depth along y."""
    sides = (width_m, depth_m, height_m)
    for side, name in zip(sides, ("width", "depth", "height"), strict=True):
        a_length(side, name)
    x, y, z = (side**2 / 12 for side in sides)
    moments = Moments(width_m * depth_m * height_m, (0.0, 0.0, height_m / 2), (x, y, z))
    return Shape(moments, height_m, Material.SOLID, fills_axis=True)


def hollowed(outer: Shape, cavity: Shape, cavity_base_m: Quantity = 0.0) -> Shape:
    """A solid with a solid of another shape cut out of it.

    ``cavity_base_m`` is the height of the cavity's lowest point. Raises
    `LengthError` where the cavity is taller or larger than what it is cut from.
    """
    tallest = nominal_value(outer.height_m)
    a_length(cavity.height_m, "height of the cavity", high=tallest, ends="(]")
    room = tallest - nominal_value(cavity.height_m)
    a_length(cavity_base_m, "height of the cavity's base", high=room, ends="[]")
    if nominal_value(outer.moments.amount - cavity.moments.amount) <= 0:
        raise LengthError("The cavity is larger than the solid; make the cavity smaller.")
    hole = cavity.moments.with_amount(-cavity.moments.amount)
    moments = together((outer.moments, hole.moved((0.0, 0.0, cavity_base_m))))
    return Shape(moments, outer.height_m, Material.SOLID)
