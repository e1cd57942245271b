"""A quarter-circle protractor, true to scale: where its marks lie on paper.

Its centre is laid on the hinge and its foot on the table; the board's lower
edge crosses the scale at the tilt. Millimetres from the centre, x along the
table and y up.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any

RADIUS_MM = 150.0
HALVES = range(0, 181)
"""Marks at every half degree."""
CHECK_MM = 50.0


@dataclass(frozen=True)
class Mark:
    """A radial mark on the scale."""

    angle_deg: float
    inner_mm: float
    outer_mm: float

    def ends(self, hinge_right: bool) -> tuple[float, float, float, float]:
        """x and y of the inner end, then of the outer."""
        way = -1 if hinge_right else 1
        across, up = way * cos(radians(self.angle_deg)), sin(radians(self.angle_deg))
        inner, outer = self.inner_mm, self.outer_mm
        return inner * across, inner * up, outer * across, outer * up


def marks() -> list[Mark]:
    """Long marks at tens, middling at fives, short at ones, shorter still at halves."""
    return [Mark(half / 2, RADIUS_MM - _length_mm(half), RADIUS_MM) for half in HALVES]


def _length_mm(half: int) -> float:
    for step, length in ((20, 13.0), (10, 9.5), (2, 6.0)):
        if half % step == 0:
            return length
    return 3.0


def rays() -> list[Mark]:
    """Faint lines from near the centre, to sight along."""
    return [Mark(float(angle), 28.0, RADIUS_MM - 26.0) for angle in range(10, 90, 10)]


def drawn(hinge_right: bool) -> dict[str, Any]:
    """The marks as the template draws them."""
    return {
        "hinge_right": hinge_right,
        "radius": RADIUS_MM,
        "check": CHECK_MM,
        "marks": [{"ends": m.ends(hinge_right), "long": m.angle_deg % 10 == 0} for m in marks()],
        "rays": [ray.ends(hinge_right) for ray in rays()],
        "labels": [_label(angle, hinge_right) for angle in range(0, 91, 5)],
    }


def _label(angle_deg: int, hinge_right: bool) -> dict[str, Any]:
    """The number of a mark, inside it; those at the ends stand clear of the straight lines."""
    ten = angle_deg % 10 == 0
    distance = RADIUS_MM - (18.5 if ten else 13.0)
    aside = {0: 1.5, 90: -2.0}.get(angle_deg, 0.0)
    x, y, *_ = Mark(angle_deg + aside, distance, distance).ends(hinge_right)
    return {"x": x, "y": y, "text": f"{angle_deg}", "ten": ten}
