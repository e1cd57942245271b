"""Shapes drawn by an outline: turned round the axis, or carried along it.

Sizes are metres, plain or with uncertainty. An outline that cannot be drawn
raises `LengthError`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import pi
from typing import TypeAlias

from scipy.integrate import quad
from uncertainties import nominal_value

from solver.errors import LengthError
from solver.moments import Moments, Vector, together
from solver.quantities import Quantity, a_length
from solver.shapes import Material, Shape, band_moments, frustum_moments, round_moments

Point: TypeAlias = tuple[Quantity, Quantity]
"""Of a profile ``(height_m, radius_m)``; of a cross-section ``(x_m, z_m)``."""


def turned(profile: Sequence[Point]) -> Shape:
    """The solid of revolution of straight lines from the base up, exactly.

    Raises `LengthError` where the first height is not 0, heights fall, a
    radius is negative, or the solid has no volume.
    """
    _check(profile)
    bands = [
        frustum_moments(radius, next_radius, top - foot).moved((0.0, 0.0, foot))
        for (foot, radius), (top, next_radius) in pairwise(profile)
        if nominal_value(top - foot) > 0 and nominal_value(radius + next_radius) > 0
    ]
    if not bands:
        raise LengthError("The profile turns on its own axis; give it a radius above 0.")
    return Shape(together(bands), profile[-1][0], Material.SOLID, fills_axis=True)


def turned_shell(profile: Sequence[Point]) -> Shape:
    """The thin surface of revolution of straight lines from the base up, exactly.

    Two points at one height make a flat annulus or disc. Raises as `turned`.
    """
    _check(profile)
    bands = [
        band_moments(radius, next_radius, top - foot).moved((0.0, 0.0, foot))
        for (foot, radius), (top, next_radius) in pairwise(profile)
        if nominal_value(radius + next_radius) > 0 and (foot, radius) != (top, next_radius)
    ]
    return Shape(together(bands), profile[-1][0], Material.SHEET)


def _check(profile: Sequence[Point]) -> None:
    if len(profile) < 2:
        raise LengthError("A profile needs at least two points of height and radius.")
    a_length(profile[0][0], "height of the profile's first point", 0.0, 0.0, "[]")
    a_length(profile[-1][0], "height of the profile's last point")
    for (foot, _), (top, _) in pairwise(profile):
        a_length(top, "height of a profile point", nominal_value(foot), ends="[)")
    for _, radius in profile:
        a_length(radius, "radius of a profile point", ends="[)")
    a_length(max(nominal_value(r) for _, r in profile), "largest radius of the profile")


def revolved(radius_at: Callable[[float], float], height_m: float) -> Shape:
    """The solid of revolution of any profile, by numerical integration.

    ``radius_at`` gives the radius, metres, at a height between 0 and
    ``height_m``. Raises `LengthError` where the solid has no volume.
    """
    a_length(height_m, "height of the solid")

    def integral(power: int, lever: int) -> float:
        return float(quad(lambda z: radius_at(z) ** power * z**lever, 0.0, height_m)[0])

    area = a_length(integral(2, 0), "integral of the squared radius")
    centre = integral(2, 1) / area
    along = integral(2, 2) / area - centre**2
    moments = round_moments(pi * area, centre, integral(4, 0) / (4 * area), along)
    return Shape(moments, height_m, Material.SOLID, fills_axis=True)


def prism(corners: Sequence[Point], depth_m: Quantity) -> Shape:
    """A solid prism lying along y, its cross-section a polygon in the x-z plane.

    The lowest corner is set on the plane z = 0. Raises `LengthError` where
    there are fewer than three corners, the sides cross, or the area is nil.
    Source: area and moments of a polygon by Green's theorem.
    """
    a_length(depth_m, "depth of the prism")
    if len(corners) < 3:
        raise LengthError("A prism's cross-section needs at least three corners.")
    sides = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    if _crosses([tuple(nominal_value(c) for p in side for c in p) for side in sides]):
        raise LengthError("The sides of the cross-section cross; give its corners in order.")
    floor = min((z for _, z in corners), key=nominal_value)
    height = max((z for _, z in corners), key=nominal_value) - floor
    triangles = [_triangle(a, b) for a, b in sides]
    if abs(nominal_value(sum(t.amount for t in triangles))) == 0:
        raise LengthError("The cross-section has no area; its corners lie on one line.")
    flat = together(triangles)
    area = flat.amount if nominal_value(flat.amount) > 0 else -flat.amount
    spread = (flat.spread_m2[0], depth_m**2 / 12, flat.spread_m2[2])
    solid = Moments(area * depth_m, flat.centre_m, spread).moved((0.0, 0.0, -floor))
    return Shape(solid, height, Material.SOLID)


def _triangle(a: Point, b: Point) -> Moments:
    """The triangle from the origin to one side, negative where it runs clockwise."""
    area = (a[0] * b[1] - b[0] * a[1]) / 2
    centre: Vector = ((a[0] + b[0]) / 3, 0.0, (a[1] + b[1]) / 3)
    x, z = ((a[i] ** 2 + b[i] ** 2 - a[i] * b[i]) / 18 for i in (0, 1))
    return Moments(area, centre, (x, 0.0, z))


def _crosses(sides: list[tuple[float, ...]]) -> bool:
    """Whether any two sides ``(x1, z1, x2, z2)`` pass through each other."""

    def turn(ax: float, az: float, bx: float, bz: float, px: float, pz: float) -> float:
        return (bx - ax) * (pz - az) - (bz - az) * (px - ax)

    return any(
        turn(*s, *t[:2]) * turn(*s, *t[2:]) < 0 and turn(*t, *s[:2]) * turn(*t, *s[2:]) < 0
        for i, s in enumerate(sides)
        for t in sides[:i]
    )
