"""A school protractor laid on a brink frame, as SVG over the picture.

It lies flat on the picture: it reads the angle that the picture shows, which is the
board's own only where the camera looked square on.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import cos, radians, sin

import cv2
from numpy import uint8
from numpy.typing import NDArray

from ui.checking.picture_lines import Lie
from ui.theme import INK, PAPER, PLUM, QUIET, TEAL
from vision.reading import Point

JPEG_QUALITY = 85
REACH = 0.62
"""Radius of the protractor in lengths of the board's line."""
MARGIN = 0.12
LABELS = 0.06
"""Height of the numbers in radii."""
LONG, MIDDLE, SHORT = 0.085, 0.06, 0.035
OUTER, INNER = 0.87, 0.72
"""Where the numbers of the two scales stand, in radii."""
YOURS = "your reading"


@dataclass(frozen=True)
class Protractor:
    """A half disc on a picture."""

    lie: Lie
    radius_px: float

    @classmethod
    def on(cls, lie: Lie) -> Protractor:
        """As large as the board allows."""
        return cls(lie, REACH * lie.board.length)

    def spot(self, angle_deg: float, radii: float) -> Point:
        """On the picture, at an angle from the base line and so many radii out."""
        lie = self.lie
        turn = radians(lie.base_deg + (angle_deg if lie.rightwards else -angle_deg))
        reach = radii * self.radius_px
        return lie.centre[0] + reach * cos(turn), lie.centre[1] - reach * sin(turn)

    def view(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of what is shown: the half disc, and the board."""
        spots = [self.spot(angle, 1.0) for angle in range(-8, 189, 4)]
        xs, ys = zip(*spots, self.lie.board.lower, self.lie.board.upper, strict=True)
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
    marks = [*_body(protractor), *_scales(protractor), *_board(protractor)]
    if reading_deg is not None:
        marks += _reading(protractor, reading_deg)
    return (
        f'<svg viewBox="{left:.1f} {top:.1f} {width:.1f} {height:.1f}" role="img" '
        f'aria-label="{escape(title)}" style="width:100%;max-width:760px;display:block;'
        f'border-radius:6px;background:{PAPER}" font-family="Source Sans, sans-serif" '
        f'font-weight="600"><title>{escape(title)}</title>'
        f'<image href="{data}" width="{lie.width}" height="{lie.height}"/>'
        f"{''.join(marks)}</svg>"
    )


def _body(on: Protractor) -> Iterator[str]:
    """The half disc, its base line, and its centre."""
    ends = on.spot(0, 1), on.spot(180, 1)
    sweep = 0 if on.lie.rightwards else 1
    arc = f"A{on.radius_px:.1f} {on.radius_px:.1f} 0 0 {sweep} {_xy(ends[1])}"
    yield (
        f'<path d="M{_xy(ends[0])} {arc} Z" fill="{PAPER}" fill-opacity="0.62" stroke="{INK}" '
        f'stroke-width="{_px(on, 0.006)}"/>'
    )
    (x, y), size = on.lie.centre, _px(on, 0.02)
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" fill="{PLUM}" stroke="{PAPER}"/>'


def _scales(on: Protractor) -> Iterator[str]:
    """Marks at every degree; outside numbers from the lifted end, inside from the other."""
    for angle in range(0, 181):
        length = LONG if angle % 10 == 0 else MIDDLE if angle % 5 == 0 else SHORT
        yield _line(on, angle, 1 - length, 1.0, INK, 0.004)
    for angle in range(0, 181, 10):
        inset = {0: 2.5, 180: -2.5}.get(angle, 0.0)
        yield _words(on, angle + inset, OUTER, f"{angle}", INK)
        yield _words(on, angle + inset, INNER, f"{180 - angle}", QUIET)


def _board(on: Protractor) -> Iterator[str]:
    """The board's line, from the centre on, so that it crosses the scales."""
    (x1, y1), (x2, y2) = on.lie.centre, on.spot(on.lie.seen_deg, 1.08)
    for colour, width in ((PAPER, 0.024), (TEAL, 0.012)):
        yield (
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
            f'stroke-width="{_px(on, width)}" stroke-linecap="round"/>'
        )


def _reading(on: Protractor, angle_deg: float) -> Iterator[str]:
    """Where the student's number lies on the outer scale."""
    dash = f'stroke-dasharray="{_px(on, 0.04)} {_px(on, 0.025)}"'
    yield _line(on, angle_deg, 0.06, 1.06, PAPER, 0.026)
    yield _line(on, angle_deg, 0.06, 1.06, INK, 0.012, dash)
    yield _words(on, angle_deg, 0.5, f"{YOURS}: {angle_deg:g}°", INK, plate=True)


def _line(
    on: Protractor, angle: float, near: float, far: float, colour: str, width: float, dash: str = ""
) -> str:
    (x1, y1), (x2, y2) = on.spot(angle, near), on.spot(angle, far)
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{_px(on, width)}" {dash}/>'
    )


def _words(
    on: Protractor, angle: float, radii: float, words: str, colour: str, plate: bool = False
) -> str:
    (x, y), size = on.spot(angle, radii), LABELS * on.radius_px * (1.25 if plate else 1.0)
    halo = size * (0.35 if plate else 0.16)
    return (
        f'<text x="{x:.1f}" y="{y + 0.35 * size:.1f}" font-size="{size:.1f}" fill="{colour}" '
        f'text-anchor="middle" paint-order="stroke" stroke="{PAPER}" stroke-width="{halo:.1f}" '
        f'stroke-linejoin="round">{escape(words)}</text>'
    )


def _px(on: Protractor, radii: float) -> str:
    return f"{radii * on.radius_px:.2f}"


def _xy(spot: Point) -> str:
    return f"{spot[0]:.1f} {spot[1]:.1f}"
