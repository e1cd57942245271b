"""The kinds of part a body can be built from: what is asked, how it is made and drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from uncertainties import nominal_value

from solver.profiles import prism, turned, turned_shell
from solver.quantities import Quantity
from solver.shapes import (
    Material,
    Shape,
    box,
    cone,
    cone_shell,
    cylinder,
    disc,
    frustum,
    frustum_shell,
    hemisphere,
    hemisphere_shell,
    hoop,
    ring,
    rod,
    sphere,
    sphere_shell,
    tube,
)
from ui.bench.sections import (
    Piece,
    Section,
    Spot,
    block,
    dome,
    flat,
    globe,
    ring_walls,
    round_shell,
    round_solid,
    upright,
)


@dataclass(frozen=True)
class Size:
    """One length a shape is asked for."""

    key: str
    """As the body file calls it, without the unit."""
    label: str
    usual_mm: float
    """To begin with."""


RADIUS, HEIGHT = Size("radius", "Radius", 36.5), Size("height", "Height", 110.0)
BOTTOM = Size("bottom_radius", "Radius at the bottom", 40.0)
TOP = Size("top_radius", "Radius at the top", 30.0)
OUTER, INNER = (
    Size("outer_radius", "Outer radius", 36.0),
    Size("inner_radius", "Inner radius", 30.0),
)
WIDTH, DEPTH = Size("width", "Width, the way it tips", 60.0), Size("depth", "Depth", 40.0)
LENGTH = Size("length", "Length", 100.0)

LOW = Size("height", "Height", 20.0)


@dataclass(frozen=True)
class Kind:
    """A kind of part whose shape is known by its sizes."""

    title: str
    sizes: tuple[Size, ...]
    material: Material
    make: Callable[..., Shape]
    """From the sizes, metres, in their order."""
    section: Callable[..., Section]
    """From the sizes, millimetres, in their order."""


KINDS: dict[str, Kind] = {
    "tube": Kind(
        "Thin tube, open at both ends", (RADIUS, HEIGHT), Material.SHEET, tube,
        lambda r, h: round_shell([(r, 0.0), (r, h)]),
    ),
    "disc": Kind("Disc: base or lid", (RADIUS,), Material.SHEET, disc, flat),
    "cylinder": Kind(
        "Solid cylinder", (RADIUS, HEIGHT), Material.SOLID, cylinder,
        lambda r, h: block(2 * r, h),
    ),
    "ring": Kind("Thick ring", (OUTER, INNER, LOW), Material.SOLID, ring, ring_walls),
    "box": Kind(
        "Rectangular block", (WIDTH, DEPTH, HEIGHT), Material.SOLID, box,
        lambda w, _d, h: block(w, h),
    ),
    "cone": Kind(
        "Solid cone", (RADIUS, HEIGHT), Material.SOLID, cone,
        lambda r, h: round_solid([(r, 0.0), (0.0, h)]),
    ),
    "cone_shell": Kind(
        "Cone of sheet", (RADIUS, HEIGHT), Material.SHEET, cone_shell,
        lambda r, h: round_shell([(r, 0.0), (0.0, h)]),
    ),
    "frustum": Kind(
        "Solid frustum", (BOTTOM, TOP, HEIGHT), Material.SOLID, frustum,
        lambda b, t, h: round_solid([(b, 0.0), (t, h)]),
    ),
    "frustum_shell": Kind(
        "Frustum of sheet, open", (BOTTOM, TOP, HEIGHT), Material.SHEET, frustum_shell,
        lambda b, t, h: round_shell([(b, 0.0), (t, h)]),
    ),
    "hemisphere": Kind(
        "Solid hemisphere", (RADIUS,), Material.SOLID, hemisphere,
        lambda r: round_solid(dome(r)),
    ),
    "hemisphere_shell": Kind(
        "Hemisphere of sheet", (RADIUS,), Material.SHEET, hemisphere_shell,
        lambda r: round_shell(dome(r)),
    ),
    "sphere": Kind(
        "Solid sphere", (RADIUS,), Material.SOLID, sphere, lambda r: round_solid(globe(r))
    ),
    "sphere_shell": Kind(
        "Sphere of sheet", (RADIUS,), Material.SHEET, sphere_shell,
        lambda r: round_shell(globe(r)),
    ),
    "rod": Kind("Thin rod, upright", (LENGTH,), Material.WIRE, rod, upright),
    "hoop": Kind("Hoop of wire, flat", (RADIUS,), Material.WIRE, hoop, flat),
}  # fmt: skip


@dataclass(frozen=True)
class DrawnKind:
    """A kind of part whose shape is drawn by points."""

    title: str
    columns: tuple[str, str]
    """What the two numbers of a point are."""
    usual_mm: tuple[Spot, ...]
    material: Material
    make: Callable[[Sequence[tuple[Quantity, Quantity]], float], Shape]
    """From the points and the depth, metres."""
    section: Callable[[Sequence[Spot]], Section]
    has_depth: bool = False


def _across(profile: Sequence[Spot]) -> list[Spot]:
    return [(radius, height) for height, radius in profile]


def _polygon(corners: Sequence[Spot]) -> Section:
    floor = min(z for _, z in corners)
    return (Piece(tuple((x, z - floor) for x, z in corners), filled=True),)


PROFILE = ("height", "radius")
POT = ((0.0, 28.0), (60.0, 36.0), (70.0, 40.0), (80.0, 40.0))

DRAWN: dict[str, DrawnKind] = {
    "turned": DrawnKind(
        "Solid turned from a profile", PROFILE, POT, Material.SOLID,
        lambda points, _: turned(points), lambda points: round_solid(_across(points)),
    ),
    "turned_shell": DrawnKind(
        "Sheet turned from a profile", PROFILE, POT, Material.SHEET,
        lambda points, _: turned_shell(points), lambda points: round_shell(_across(points)),
    ),
    "prism": DrawnKind(
        "Prism from a cross-section", ("x", "z"), ((-30.0, 0.0), (30.0, 0.0), (0.0, 80.0)),
        Material.SOLID, prism, _polygon, has_depth=True,
    ),
}  # fmt: skip

WEIGHED = "weighed"
"""A part that was weighed and whose centre alone is known."""

TITLES: dict[str, str] = {
    WEIGHED: "Weighed part, its centre known",
    **{key: kind.title for key, kind in KINDS.items()},
    **{key: kind.title for key, kind in DRAWN.items()},
}


def material_of(kind: str) -> Material | None:
    """What a part of that kind is made of; None where it is known by its weight alone."""
    if kind == WEIGHED:
        return None
    return KINDS[kind].material if kind in KINDS else DRAWN[kind].material


def height_of(shape: Shape) -> float:
    """The shape's height, millimetres."""
    return float(nominal_value(shape.height_m)) * 1000
