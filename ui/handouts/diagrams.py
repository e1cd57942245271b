"""Drawings for paper: the set-up from the side and from above, the triangle at the brink."""

from __future__ import annotations

from math import atan2, cos, pi, sin
from xml.etree import ElementTree

from ui.bench.body_drawing import Place, lean_over
from ui.bench.drawing import AXIS, BOARD, FILL, OUTLINE, THIN, WEIGHT_LINE, Drawing, Frame
from ui.bench.sections import Spot
from ui.theme import INK, PLUM, QUIET, SHADE

SVG = "http://www.w3.org/2000/svg"
ElementTree.register_namespace("", SVG)
TYPEFACE = "Libertinus Serif"
"""Typst brings it along."""
LETTER_PX = 17.0
LARGE_PX, ABOVE_PX = 24.0, 21.0

RADIUS, HEIGHT, CENTRE = 34.0, 112.0, 64.0
"""A tin to draw, millimetres."""
EDGE = f'stroke="{INK}" stroke-width="1.6" stroke-linejoin="round"'
PAD = f'stroke="{QUIET}" stroke-width="1.6" stroke-dasharray="3 3"'


def svg_for_paper(svg: str, letter_px: float = LETTER_PX) -> str:
    """A drawing of the page as an SVG file of its own, in the hand-outs' type."""
    root = ElementTree.fromstring(svg)
    root.attrib.pop("style", None)
    root.set("xmlns", SVG)
    root.set("font-family", TYPEFACE)
    root.set("font-size", f"{letter_px}")
    return ElementTree.tostring(root, encoding="unicode")


def for_paper(drawing: Drawing, letter_px: float = LETTER_PX) -> str:
    """A drawing likewise, without idle room beside it."""
    left, right, *_ = drawing.frame.pad_px
    first, last = (drawing.px((end, 0.0))[0] for end in (drawing.frame.left, drawing.frame.right))
    root = ElementTree.fromstring(svg_for_paper(drawing.svg(), letter_px))
    width, height = last + right - first + left, drawing.height_px
    root.set("viewBox", f"{first - left:.1f} 0 {width:.1f} {height:.1f}")
    return ElementTree.tostring(root, encoding="unicode")


def triangle() -> str:
    """The body at the brink with its letters: r, x, θ and φ, and no number."""
    angle = atan2(RADIUS, CENTRE)
    place = lean_over((RADIUS, 0.0), angle)
    foot, top = _along_board(angle, 92.0), _along_board(angle, -2.9 * RADIUS)
    corners = [place(spot) for spot in _outline()]
    frame = Frame.round([*corners, foot, top], (4.0, 10.0, 16.0, 10.0))
    drawing = Drawing(frame, "A tin on a raised board at the brink of toppling")
    drawing.line([(frame.left, foot[1]), (foot[0] + 8, foot[1])], THIN)
    drawing.line([top, foot], BOARD)
    drawing.line(corners, OUTLINE, FILL)
    g, middle = place((0.0, CENTRE)), place((0.0, 0.0))
    drawing.line([middle, place((0.0, HEIGHT + 14))], AXIS)
    drawing.line([(0.0, foot[1] - 6), (0.0, g[1])], WEIGHT_LINE)
    _brink_letters(drawing, place, foot, angle)
    drawing.arrow(g, -pi / 2, 52.0, INK)
    drawing.centre(g)
    drawing.dot((0.0, 0.0), PLUM)
    return for_paper(drawing, LARGE_PX)


def _brink_letters(drawing: Drawing, place: Place, foot: Spot, angle: float) -> None:
    g = place((0.0, CENTRE))
    drawing.arc(foot, 60.0, pi, pi - angle)
    drawing.text(foot, "θ", (-70 * cos(angle / 2), -70 * sin(angle / 2) + 2), "middle")
    drawing.arc(g, 36.0, -pi / 2, -pi / 2 - angle)
    half = -pi / 2 - angle / 2
    drawing.text(g, "φ", (52 * cos(half), -52 * sin(half) + 3), "middle")
    drawing.text(place((-6.0, CENTRE * 0.42)), "x", (-4.0, 0.0), "end", bold=True)
    drawing.text(place((RADIUS / 2, 0.0)), "r", (-8.0, 16.0), "middle", bold=True)
    drawing.text(g, "G", (14.0, -8.0))
    drawing.text((0.0, 0.0), "pivot", (12.0, -10.0))
    drawing.text((0.0, 0.45 * foot[1]), "weight's line", (-10.0, 12.0), "end")


def set_up() -> str:
    """From the side: table, board on its hinge, body, padded tray."""
    angle = 0.30
    place = lean_over((RADIUS, 0.0), angle)
    foot, top = _along_board(angle, 190.0), _along_board(angle, -170.0)
    corners = [place(spot) for spot in _outline()]
    frame = Frame.round([*corners, foot, top], (44.0, 128.0, 46.0, 12.0))
    drawing = Drawing(frame, "The set-up from the side: board, body, hinge, padded tray")
    table = foot[1] - 4
    ends = (frame.left, frame.right)
    drawing.line([(x, table) for x in ends] + [(x, table - 14) for x in ends[::-1]], EDGE, SHADE)
    tray = [(foot[0] + 14, table + 20), (foot[0] + 14, table), (frame.right - 6, table)]
    drawing.line([*tray, (frame.right - 6, table + 20)], EDGE)
    drawing.line([(foot[0] + 18, table + 7), (frame.right - 10, table + 7)], PAD)
    drawing.line([(foot[0] - 2, table), (foot[0] + 9, table), (foot[0] + 9, table + 18)], EDGE)
    drawing.line([top, foot], BOARD)
    drawing.line(corners, OUTLINE, FILL)
    drawing.arrow((top[0] + 4, top[1] - 52), pi / 2, 50.0, INK)
    drawing.arc(foot, 78.0, pi, pi - angle)
    drawing.text(foot, "tilt θ", (-86 * cos(angle / 2), -86 * sin(angle / 2) + 2), "end")
    drawing.text((top[0] + 4, top[1] - 58), "raise slowly", (0.0, 12.0), "middle")
    drawing.text(place((RADIUS, HEIGHT)), "body", (12.0, 4.0))
    drawing.text((foot[0], table - 14), "stop or hinge", (6.0, 16.0), "middle")
    drawing.text((frame.right - 6, table + 20), "padded tray", (0.0, -12.0), "end")
    drawing.text((frame.left, table - 14), "level table", (4.0, 16.0))
    return for_paper(drawing)


def from_above() -> str:
    """From above: the phone on its books, square to the board's long edge."""
    frame = Frame(-215.0, 215.0, -245.0, 60.0)
    drawing = Drawing(frame, "From above: the phone faces the board's long edge squarely")
    board = [(-160.0, -38.0), (160.0, -38.0), (160.0, 38.0), (-160.0, 38.0)]
    drawing.line(board, BOARD, SHADE)
    ring = [(RADIUS * cos(t), RADIUS * sin(t)) for t in [2 * pi * i / 48 for i in range(48)]]
    drawing.line(ring, OUTLINE, FILL)
    for end in (-185.0, 185.0):
        drawing.line([(0.0, -206.0), (end, 44.0)], f'{THIN} stroke-dasharray="5 4"')
    drawing.line([(0.0, -206.0), (0.0, -38.0)], AXIS)
    books = [(-42.0, -240.0), (42.0, -240.0), (42.0, -212.0), (-42.0, -212.0)]
    drawing.line(books, EDGE, SHADE)
    phone = [(-26.0, -212.0), (26.0, -212.0), (26.0, -205.0), (-26.0, -205.0)]
    drawing.line(phone, EDGE, INK)
    drawing.line([(0.0, -50.0), (12.0, -50.0), (12.0, -38.0)], THIN)
    drawing.text((42.0, -226.0), "phone on books", (10.0, 0.0))
    drawing.text((0.0, -120.0), "square to the edge", (10.0, 0.0))
    drawing.text((160.0, -38.0), "hinge", (-8.0, -18.0), "end")
    drawing.text((-160.0, -38.0), "board", (10.0, -18.0))
    return for_paper(drawing, ABOVE_PX)


def _outline() -> list[Spot]:
    return [(-RADIUS, 0.0), (RADIUS, 0.0), (RADIUS, HEIGHT), (-RADIUS, HEIGHT)]


def _along_board(angle: float, distance: float) -> Spot:
    """A spot on the board, so far down the slope from the pivot."""
    return distance * cos(angle), -distance * sin(angle)
