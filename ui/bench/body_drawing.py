"""A body in section, upright with its lengths, and on the board at the brink with its forces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import cos, pi, sin

from uncertainties import nominal_value

from solver.bodies import Body, Side
from solver.quantities import DEGREE, GRAVITY_M_S2, Quantity
from ui.bench.drawing import AXIS, BOARD, FILL, OUTLINE, THIN, WEIGHT_LINE, Drawing, Frame, spread
from ui.bench.sections import Section, Spot
from ui.bench.sheet import BodySheet, in_mm
from ui.theme import INK, PLUM, QUIET

LABEL_APART_PX = 18.0
LETTER_PX = 7.4
"""Of a letter's width, on the average."""
FORCE_PX = 62.0
Place = Callable[[Spot], Spot]
"""Carries a spot of the body to where it is drawn."""


def as_drawn(sheet: BodySheet) -> list[tuple[str, Section]]:
    """The sections with the pivot on the right, whichever side the body tips over."""
    if sheet.base.tips in (Side.RIGHT, Side.BACK):
        return sheet.sections()
    return [(name, tuple(p.mirrored() for p in pieces)) for name, pieces in sheet.sections()]


def lean_over(pivot: Spot, angle_rad: float) -> Place:
    """Turns the body clockwise about its pivot, which becomes the origin."""
    c, s = cos(angle_rad), sin(angle_rad)

    def place(spot: Spot) -> Spot:
        x, z = spot[0] - pivot[0], spot[1] - pivot[1]
        return x * c + z * s, z * c - x * s

    return place


def still(spot: Spot) -> Spot:
    """Leaves the body where it is."""
    return spot


def draw_section(
    drawing: Drawing, sections: Sequence[tuple[str, Section]], place: Place = still
) -> None:
    """The parts cut through: solids filled, sheets and wires as lines."""
    pieces = [piece for _, section in sections for piece in section]
    for piece in sorted(pieces, key=lambda piece: not piece.filled):
        spots = [place(spot) for spot in piece.points]
        drawing.line(spots, OUTLINE, FILL if piece.filled else "none")


def spots_of(sections: Sequence[tuple[str, Section]]) -> list[Spot]:
    """All corners of the sections."""
    return [spot for _, section in sections for piece in section for spot in piece.points]


def reach_mm(body: Body, sheet: BodySheet) -> float:
    """How far the pivot is from the axis, along the way the body tips."""
    axis, _ = sheet.base.tips.value
    return in_mm(body.contact.reach_m[axis])


def centre_mm(body: Body, sheet: BodySheet) -> Spot:
    """The centre of the whole, with the pivot on the right."""
    axis, sense = sheet.base.tips.value
    x, z = body.moments.centre_m[axis], body.centre_height_m
    return sense * in_mm(x), in_mm(z)


def upright(sheet: BodySheet, body: Body) -> str:
    """The body standing, each part named at its centre, with r and x."""
    sections, reach, g = as_drawn(sheet), reach_mm(body, sheet), centre_mm(body, sheet)
    spots = [*spots_of(sections), (-reach, 0.0), (reach, in_mm(body.top_m))]
    longest = max(len(part.name) for part in body.parts)
    pad = (132.0, 48.0 + LETTER_PX * longest, 62.0, 26.0)
    frame = replace(Frame.round(spots), pad_px=pad)
    drawing = Drawing(frame, f"{sheet.name} in section, its centre {g[1]:.1f} mm above the base")
    px = 1 / drawing.scale
    drawing.line([(frame.left - 16 * px, 0.0), (frame.right + 16 * px, 0.0)], BOARD)
    draw_section(drawing, sections)
    drawing.line([(0.0, -14 * px), (0.0, frame.high + 18 * px)], AXIS)
    _name_parts(drawing, sheet, body, frame.right + 24 * px)
    _lengths(drawing, g, reach, frame.left - 30 * px, px)
    drawing.centre(g)
    drawing.dot((reach, 0.0), PLUM)
    return drawing.svg()


def _name_parts(drawing: Drawing, sheet: BodySheet, body: Body, column: float) -> None:
    axis, sense = sheet.base.tips.value
    centres = [
        (sense * in_mm(part.moments.centre_m[axis]), in_mm(part.moments.centre_m[2]))
        for part in body.parts
    ]
    apart = LABEL_APART_PX / drawing.scale
    heights = spread([max(z, 0.8 * apart) for _, z in centres], apart)
    for part, spot, height in zip(body.parts, centres, heights, strict=True):
        drawing.line([spot, (column, height)], THIN)
        drawing.dot(spot, QUIET, 3.5)
        drawing.text((column, height), part.name, (4.0, 0.0))


def _lengths(drawing: Drawing, g: Spot, reach: float, column: float, px: float) -> None:
    drawing.line([(column - 4 * px, g[1]), g], THIN)
    drawing.dimension((column, 0.0), (column, g[1]), f"x = {g[1]:.1f} mm", (-7.0, 0.0), "end")
    below = -32 * px
    drawing.line([g, (g[0], below - 4 * px)], WEIGHT_LINE)
    drawing.line([(reach, 0.0), (reach, below - 4 * px)], THIN)
    words = f"r = {reach - g[0]:.1f} mm"
    drawing.dimension((g[0], below), (reach, below), words, (0.0, 15.0), "middle")


def at_brink(sheet: BodySheet, body: Body) -> str:
    """The body on the raised board, the line of its weight through the pivot."""
    sections, reach = as_drawn(sheet), reach_mm(body, sheet)
    angle = float(nominal_value(body.brink_rad(sheet.base.tips)))
    place = lean_over((reach, 0.0), angle)
    g = place(centre_mm(body, sheet))
    spots = [*map(place, spots_of(sections)), (0.0, 0.0), g]
    size = max(max(z for _, z in spots), max(x for x, _ in spots) - min(x for x, _ in spots))
    ahead, behind = 0.6 * size, 2 * reach + 0.3 * size
    foot = (ahead * cos(angle), -ahead * sin(angle))
    top = (-behind * cos(angle), behind * sin(angle))
    ground = [(foot[0] - 1.05 * size, foot[1]), foot]
    frame = Frame.round([*spots, foot, top, *ground], (0, 0.06 * size, 0.1 * size, 0.08 * size))
    title = f"{sheet.name} at the brink, the board at {DEGREE.show(angle, 3)}"
    drawing = Drawing(frame, title)
    drawing.line(ground, THIN)
    drawing.line([top, foot], BOARD)
    _mark_tilt(drawing, foot, angle)
    draw_section(drawing, sections, place)
    x, _ = centre_mm(body, sheet)
    tip = 1.1 * max([z for _, z in spots_of(sections)] or [in_mm(body.centre_height_m)])
    drawing.line([place((x, 0.0)), place((x, tip))], AXIS)
    drawing.line([(0.0, frame.low + 0.02 * size), (0.0, g[1])], WEIGHT_LINE)
    _mark_centre_angle(drawing, g, angle)
    _weight_and_reaction(drawing, g, body.mass_kg)
    drawing.centre(g)
    drawing.dot((0.0, 0.0), PLUM)
    return drawing.svg()


def _mark_tilt(drawing: Drawing, foot: Spot, angle: float) -> None:
    radius = 46.0
    drawing.arc(foot, radius, pi, pi - angle)
    half = pi - angle / 2
    shift = ((radius + 8) * cos(half), -(radius + 8) * sin(half))
    drawing.text(foot, f"θ = {DEGREE.show(angle, 3)}", shift, "end")


def _mark_centre_angle(drawing: Drawing, g: Spot, angle: float) -> None:
    radius = 34.0
    drawing.arc(g, radius, -pi / 2, -pi / 2 - angle)
    half = -pi / 2 - angle / 2
    shift = ((radius + 11) * cos(half), -(radius + 11) * sin(half))
    drawing.text(g, "θ", shift, "middle")


def _weight_and_reaction(drawing: Drawing, g: Spot, mass_kg: Quantity) -> None:
    newtons = nominal_value(mass_kg) * GRAVITY_M_S2
    gap = g[1] * drawing.scale
    length = max(24.0, min(FORCE_PX, 0.42 * gap))
    drawing.arrow(g, -pi / 2, length, INK)
    drawing.text(g, f"weight {newtons:.2f} N", (12.0, 0.55 * length))
    drawing.arrow((0.0, 0.0), pi / 2, length, INK)
    drawing.text((0.0, 0.0), "reaction", (12.0, -0.45 * length))
