"""A body on its side over a table's edge at the point of tipping, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin

import numpy as np

from solver.edge_balance import End
from ui.bench.drawing import FILL, OUTLINE, THIN, WEIGHT_LINE, Drawing, Frame
from ui.bench.sections import Section, Spot, block
from ui.theme import INK, PLUM, SHADE, TEAL

STOUT = 0.3
"""Half width over length of a body of which only the length is known."""


def plain_outline(length_mm: float) -> list[tuple[str, Section]]:
    """A body of which only the length is known."""
    return [("body", block(2 * STOUT * length_mm, length_mm))]


def drawn(
    sections: Sequence[tuple[str, Section]],
    length_mm: float,
    centre_mm: float,
    edge_mm: float,
    end: End = End.BASE,
) -> str:
    """The body with its centre over the end of the flat, that end over the edge."""
    from_end = centre_mm if end is End.BASE else length_mm - centre_mm
    overhang = from_end - edge_mm
    half = max(abs(x) for _, section in sections for piece in section for x, _ in piece.points)

    def place(spot: Spot) -> Spot:
        along = spot[1] if end is End.BASE else length_mm - spot[1]
        return overhang - along, half + spot[0]

    size = max(length_mm, 2 * half)
    left, low = overhang - length_mm - 0.16 * size, -0.42 * size
    room = (0.0, 0.24 * size, 0.0, 0.24 * size)
    frame = Frame.round([(left, low), (overhang, 2 * half)], room)
    words = f"The {end} hangs over the edge by {overhang:.1f} mm at the point of tipping"
    drawing = Drawing(frame, words)
    _table(drawing, left, low, edge_mm)
    for _, section in sections:
        for piece in section:
            spots = [place(spot) for spot in piece.points]
            drawing.line(spots, OUTLINE, FILL if piece.filled else "none")
    g = (-edge_mm, half)
    drawing.line([(g[0], frame.high), (g[0], low)], WEIGHT_LINE)
    drawing.arrow(g, -pi / 2, 46.0, INK)
    drawing.text(g, "weight", (10.0, 34.0))
    drawing.arrow((g[0], 0.0), pi / 2, 34.0, TEAL)
    drawing.text((g[0], 0.0), "reaction", (-9.0, -20.0), "end", colour=TEAL)
    _lengths(drawing, overhang, half, g, size)
    drawing.centre(g)
    drawing.dot((g[0], 0.0), PLUM)
    return drawing.svg()


def _table(drawing: Drawing, left: float, low: float, edge: float) -> None:
    turns = np.linspace(pi / 2, 0.0, 13)
    round_edge = [(-edge + edge * cos(t), -edge + edge * sin(t)) for t in turns]
    drawing.line([(left, 0.0), *round_edge, (0.0, low), (left, low)], "stroke='none'", SHADE)
    look = f'stroke="{TEAL}" stroke-width="4" stroke-linejoin="round"'
    drawing.line([(left, 0.0), *round_edge, (0.0, low)], look)
    drawing.text((left, low), "table", (12.0, -18.0))


def _lengths(drawing: Drawing, overhang: float, half: float, g: Spot, size: float) -> None:
    below, above = -0.16 * size, 2 * half + 0.12 * size
    drawing.line([(overhang, half), (overhang, below - 0.03 * size)], THIN)
    drawing.dimension(
        (0.0, below), (overhang, below), f"a = {overhang:.1f} mm", (0.0, 16.0), "middle"
    )
    drawing.line([(overhang, half), (overhang, above + 0.03 * size)], THIN)
    words = f"{overhang - g[0]:.1f} mm"
    drawing.dimension((g[0], above), (overhang, above), words, (0.0, -14.0), "middle")
