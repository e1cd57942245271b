"""A drawing to scale as SVG: millimetres in, one palette, never colour alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from math import atan2, cos, degrees, hypot, pi, sin
from typing import TypeAlias

from ui.bench.sections import Spot
from ui.theme import AMBER, INK, PAPER, PLUM, QUIET, TEAL

WIDTH_PX = 440
TALLEST_PX = 430
MARGIN_PX = 14
TEXT_PX = 14.5
FILL = "#F7E6C8"
"""Solid material cut through."""

BOARD = f'stroke="{TEAL}" stroke-width="5" stroke-linecap="round"'
OUTLINE = f'stroke="{AMBER}" stroke-width="2.4" stroke-dasharray="7 4" stroke-linejoin="round"'
WEIGHT_LINE = (
    f'stroke="{PLUM}" stroke-width="2.8" stroke-dasharray="0.1 6.5" stroke-linecap="round"'
)
THIN = f'stroke="{QUIET}" stroke-width="1.2"'
AXIS = f'stroke="{QUIET}" stroke-width="1.2" stroke-dasharray="12 4 2 4"'


Pad: TypeAlias = tuple[float, float, float, float]


@dataclass(frozen=True)
class Frame:
    """What of the plane is drawn, millimetres; the paper's pixels keep its proportions."""

    left: float
    right: float
    low: float
    high: float
    pad_px: Pad = (MARGIN_PX, MARGIN_PX, MARGIN_PX, MARGIN_PX)
    """Left, right, below and above: room for words, the same at any scale."""

    @classmethod
    def round(cls, spots: Iterable[Spot], room: Pad = (0, 0, 0, 0)) -> Frame:
        """Round some spots, with so many millimetres left, right, below and above."""
        xs, zs = zip(*spots, strict=True)
        left, right, below, above = room
        return cls(min(xs) - left, max(xs) + right, min(zs) - below, max(zs) + above)

    @property
    def px_per_mm(self) -> float:
        """The scale that fits."""
        left, right, below, above = self.pad_px
        across = (WIDTH_PX - left - right) / (self.right - self.left)
        return min(across, (TALLEST_PX - below - above) / (self.high - self.low))


class Drawing:
    """Collects the marks of one drawing."""

    def __init__(self, frame: Frame, title: str) -> None:
        self.frame, self.title = frame, title
        self.scale = frame.px_per_mm
        left, right, below, above = frame.pad_px
        self.height_px = (frame.high - frame.low) * self.scale + below + above
        spare = WIDTH_PX - left - right - (frame.right - frame.left) * self.scale
        self._left_px, self._top_px = left + spare / 2, above
        self._marks: list[str] = []

    def svg(self) -> str:
        """The drawing, as wide as its place on the page allows."""
        size = f'viewBox="0 0 {WIDTH_PX} {self.height_px:.1f}"'
        style = f"width:100%;max-width:{1.25 * WIDTH_PX:.0f}px;display:block;margin:0 auto"
        font = f'font-family="Source Sans, sans-serif" font-size="{TEXT_PX}"'
        name = _one_line(self.title)
        return (
            f'<svg {size} style="{style}" role="img" aria-label="{name}" {font} fill="{INK}">'
            f"<title>{name}</title>{''.join(self._marks)}</svg>"
        )

    def px(self, spot: Spot) -> Spot:
        """From millimetres to the paper."""
        x = self._left_px + (spot[0] - self.frame.left) * self.scale
        return x, self._top_px + (self.frame.high - spot[1]) * self.scale

    def line(self, spots: Sequence[Spot], look: str, filled: str = "none") -> None:
        """A line through spots; closed where it is filled."""
        points = " ".join("{:.2f},{:.2f}".format(*self.px(spot)) for spot in spots)
        kind = "polyline" if filled == "none" else "polygon"
        self._marks.append(f'<{kind} points="{points}" fill="{filled}" {look}/>')

    def dot(self, spot: Spot, colour: str, radius_px: float = 5.5) -> None:
        """A round mark, the same size at any scale."""
        x, y = self.px(spot)
        self._marks.append(
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius_px}" fill="{colour}" '
            f'stroke="{PAPER}" stroke-width="1.5"/>'
        )

    def centre(self, spot: Spot, radius_px: float = 8.0) -> None:
        """The sign for a centre of mass: a circle with two quarters dark."""
        x, y, r = *self.px(spot), radius_px
        self._marks.append(
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{r}" fill="{PAPER}" stroke="{INK}" '
            f'stroke-width="1.6"/>'
            f'<path d="M{x:.2f},{y:.2f} h{r} a{r},{r} 0 0 0 {-r},{-r} z '
            f'M{x:.2f},{y:.2f} h{-r} a{r},{r} 0 0 0 {r},{r} z" fill="{INK}"/>'
        )

    def text(
        self,
        spot: Spot,
        words: str,
        shift_px: Spot = (0.0, 0.0),
        anchor: str = "start",
        colour: str = INK,
        bold: bool = False,
    ) -> None:
        """Words at a spot, with paper behind the letters so that lines do not cross them."""
        x, y = self.px(spot)
        x, y = x + shift_px[0], y + shift_px[1] + 0.35 * TEXT_PX
        weight = ' font-weight="600"' if bold else ""
        self._marks.append(
            f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" fill="{colour}"{weight} '
            f'stroke="{PAPER}" stroke-width="4" paint-order="stroke">{_one_line(words)}</text>'
        )

    def arrow(self, tail: Spot, angle_rad: float, length_px: float, colour: str) -> Spot:
        """An arrow from a spot, its angle from the horizontal; the tip, px from the tail."""
        dx, dy = length_px * cos(angle_rad), -length_px * sin(angle_rad)
        x, y = self.px(tail)
        head = 11.0 if length_px > 22 else length_px / 2
        self._segment(
            (x, y),
            (x + dx * (1 - 0.6 * head / length_px), y + dy * (1 - 0.6 * head / length_px)),
            colour,
        )
        self._head((x + dx, y + dy), atan2(dy, dx), head, colour)
        return dx, dy

    def dimension(self, start: Spot, end: Spot, words: str, shift_px: Spot, anchor: str) -> None:
        """A thin line with heads at both ends and words beside its middle."""
        (x1, y1), (x2, y2) = self.px(start), self.px(end)
        self.line([start, end], THIN)
        turn = atan2(y2 - y1, x2 - x1)
        if hypot(x2 - x1, y2 - y1) > 14:
            self._head((x2, y2), turn, 7.0, QUIET)
            self._head((x1, y1), turn + pi, 7.0, QUIET)
        self.text(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), words, shift_px, anchor)

    def arc(self, corner: Spot, radius_px: float, start_rad: float, end_rad: float) -> None:
        """The arc that marks an angle at a corner."""
        x, y = self.px(corner)
        x1, y1 = x + radius_px * cos(start_rad), y - radius_px * sin(start_rad)
        x2, y2 = x + radius_px * cos(end_rad), y - radius_px * sin(end_rad)
        large = int(abs(degrees(end_rad - start_rad)) > 180)
        sweep = int(end_rad < start_rad)
        self._marks.append(
            f'<path d="M{x1:.2f},{y1:.2f} A{radius_px},{radius_px} 0 {large} {sweep} '
            f'{x2:.2f},{y2:.2f}" fill="none" stroke="{INK}" stroke-width="1.4"/>'
        )

    def _segment(self, start: Spot, end: Spot, colour: str) -> None:
        self._marks.append(
            f'<line x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}" '
            f'stroke="{colour}" stroke-width="3"/>'
        )

    def _head(self, tip: Spot, turn: float, size: float, colour: str) -> None:
        wings = [
            (tip[0] - size * cos(turn + side), tip[1] - size * sin(turn + side))
            for side in (0.38, -0.38)
        ]
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (tip, *wings))
        self._marks.append(f'<polygon points="{points}" fill="{colour}"/>')


def _one_line(words: str) -> str:
    """Words as text of the drawing, whatever they hold; a blank line would end the drawing."""
    return escape(" ".join(words.split()))


def spread(wanted: Sequence[float], apart: float) -> list[float]:
    """Positions as near as may be to those wanted, in the same order, so far apart.

    Each run of crowded positions is centred on what its members want.
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    runs: list[list[int]] = []
    for i in order:
        runs.append([i])
        while len(runs) > 1 and _first(runs[-1], wanted, apart) < (
            _first(runs[-2], wanted, apart) + apart * len(runs[-2])
        ):
            runs[-2:] = [runs[-2] + runs[-1]]
    placed = list(wanted)
    for run in runs:
        start = _first(run, wanted, apart)
        for n, i in enumerate(run):
            placed[i] = start + n * apart
    return placed


def _first(run: Sequence[int], wanted: Sequence[float], apart: float) -> float:
    return sum(wanted[i] - n * apart for n, i in enumerate(run)) / len(run)
