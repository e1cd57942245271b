"""A school protractor laid on a brink frame, as SVG over the picture.

It is drawn through the plane it lies in: the plane the board turns in where that is
known, else flat on the picture. Its numbers are written twice, many small and few large
ones; `SIZES` shows the few where the page is narrow.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from html import escape
from math import cos, dist, radians, sin

import cv2
from numpy import uint8
from numpy.typing import NDArray

from ui.checking.lie import Lie
from ui.theme import INK, PAPER, PLUM, QUIET, TEAL
from vision.reading import Point

JPEG_QUALITY = 85
REACH = 0.66
"""Radius of the protractor in lengths of the board's line."""
MARGIN = 0.11
"""Of the picture round the protractor, in radii."""
LONG, MIDDLE, SHORT = 0.085, 0.06, 0.035
YOURS = "your reading"


@dataclass(frozen=True)
class Numbers:
    """How the two scales are numbered; lengths in radii."""

    name: str
    step_deg: int
    height: float
    outer: float
    """Where the scale that begins at the lifted end stands."""
    inner: float


MANY = Numbers("protractor-many", 10, 0.06, 0.87, 0.72)
FEW = Numbers("protractor-few", 20, 0.105, 0.83, 0.6)
SIZES = f"""
<style>
.{FEW.name} {{ display: none; }}
@media (max-width: 640px) {{
  .{FEW.name} {{ display: inline; }}
  .{MANY.name} {{ display: none; }}
}}
</style>
"""


@dataclass(frozen=True)
class Protractor:
    """A half disc on a picture."""

    lie: Lie

    @cached_property
    def radius_px(self) -> float:
        """Of its rim on the whole, for widths and sizes of letters."""
        rim = [dist(self.lie.centre, self.spot(angle, 1.0)) for angle in (0, 90, 180)]
        return sum(rim) / len(rim)

    def spot(self, angle_deg: float, radii: float) -> Point:
        """On the picture, at an angle from the base line and so many radii out."""
        turn, reach = radians(angle_deg), REACH * radii
        return self.lie.pixel(reach * cos(turn), reach * sin(turn))

    def view(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of what is shown: the half disc and a margin."""
        xs, ys = zip(*(self.spot(angle, 1.0) for angle in range(-8, 189, 4)), strict=True)
        left, right = _span(xs, MARGIN * self.radius_px, self.lie.width)
        top, bottom = _span(ys, MARGIN * self.radius_px, self.lie.height)
        return left, top, right - left, bottom - top


def _span(values: Sequence[float], gap: float, size: int) -> tuple[float, float]:
    """From the least to the greatest with a gap, as far as the picture reaches."""
    low, high = min(values), max(values)
    return min(low, max(low - gap, 0.0)), max(high, min(high + gap, float(size)))


def protractor_svg(
    picture: NDArray[uint8], protractor: Protractor, reading_deg: float | None = None
) -> str:
    """The picture with the protractor on it, and the student's reading where one is given."""
    left, top, width, height = protractor.view()
    lie = protractor.lie
    _, jpeg = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    data = "data:image/jpeg;base64," + b64encode(jpeg.tobytes()).decode()
    title = "A protractor laid on the brink frame, its centre on the hinge"
    marks = [*_body(protractor), *_marks(protractor)]
    if lie.seen_deg is not None:
        marks += _board(protractor, lie.seen_deg)
    if reading_deg is not None:
        marks += _reading(protractor, reading_deg)
    marks += [mark for numbers in (MANY, FEW) for mark in _scales(protractor, numbers)]
    return (
        f'<svg viewBox="{left:.1f} {top:.1f} {width:.1f} {height:.1f}" role="img" '
        f'aria-label="{escape(title)}" style="width:100%;max-width:760px;display:block;'
        f'margin-bottom:0.5rem;border-radius:6px;background:{PAPER}" '
        f'font-family="Source Sans, sans-serif" font-weight="600"><title>{escape(title)}</title>'
        f'<image href="{data}" width="{lie.width}" height="{lie.height}"/>'
        f"{''.join(marks)}</svg>"
    )


def _body(on: Protractor) -> Iterator[str]:
    """The half disc with its base line, and its centre."""
    rim = " ".join(_xy(on.spot(angle, 1)) for angle in range(0, 181, 2))
    yield (
        f'<polygon points="{rim}" fill="{PAPER}" fill-opacity="0.62" stroke="{INK}" '
        f'stroke-width="{_px(on, 0.006)}"/>'
    )
    (x, y), size = on.lie.centre, _px(on, 0.02)
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" fill="{PLUM}" stroke="{PAPER}"/>'


def _marks(on: Protractor) -> Iterator[str]:
    """A mark at every degree."""
    for angle in range(0, 181):
        length = LONG if angle % 10 == 0 else MIDDLE if angle % 5 == 0 else SHORT
        yield _line(on, angle, 1 - length, 1.0, INK, 0.004)


def _scales(on: Protractor, numbers: Numbers) -> Iterator[str]:
    """Outside numbers from the lifted end, inside from the other."""
    yield f'<g class="{numbers.name}">'
    for angle in range(0, 181, numbers.step_deg):
        inset = {0: 2.5, 180: -2.5}.get(angle, 0.0) * numbers.height / MANY.height
        yield _words(on, angle + inset, numbers.outer, f"{angle}", INK, numbers.height)
        yield _words(on, angle + inset, numbers.inner, f"{180 - angle}", QUIET, numbers.height)
    yield "</g>"


def _board(on: Protractor, seen_deg: float) -> Iterator[str]:
    """The board's line, from the centre on, so that it crosses the scales."""
    yield _line(on, seen_deg, 0.0, 1.06, PAPER, 0.024)
    yield _line(on, seen_deg, 0.0, 1.06, TEAL, 0.012)


def _reading(on: Protractor, angle_deg: float) -> Iterator[str]:
    """Where the student's number lies on the outer scale, named below the base line."""
    dash = f'stroke-dasharray="{_px(on, 0.04)} {_px(on, 0.025)}"'
    yield _line(on, angle_deg, 0.06, 1.06, PAPER, 0.026)
    yield _line(on, angle_deg, 0.06, 1.06, INK, 0.012, dash)
    words = f"{YOURS}: {angle_deg:g}° (dashed)"
    for numbers, height in ((MANY, 1.25 * MANY.height), (FEW, FEW.height)):
        label = _words(on, -90, 0.15, words, INK, height, halo=0.35)
        yield f'<g class="{numbers.name}">{label}</g>'


def _line(
    on: Protractor, angle: float, near: float, far: float, colour: str, width: float, dash: str = ""
) -> str:
    (x1, y1), (x2, y2) = on.spot(angle, near), on.spot(angle, far)
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{_px(on, width)}" {dash}/>'
    )


def _words(
    on: Protractor,
    angle: float,
    radii: float,
    words: str,
    colour: str,
    height: float,
    halo: float = 0.16,
) -> str:
    (x, y), size = on.spot(angle, radii), height * on.radius_px
    return (
        f'<text x="{x:.1f}" y="{y + 0.35 * size:.1f}" font-size="{size:.1f}" fill="{colour}" '
        f'text-anchor="middle" paint-order="stroke" stroke="{PAPER}" '
        f'stroke-width="{halo * size:.1f}" stroke-linejoin="round">{escape(words)}</text>'
    )


def _px(on: Protractor, radii: float) -> str:
    return f"{radii * on.radius_px:.2f}"


def _xy(spot: Point) -> str:
    return f"{spot[0]:.1f},{spot[1]:.1f}"
