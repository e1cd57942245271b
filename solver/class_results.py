"""From the angles a class measured to what they say: centre heights, friction by surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from uncertainties import umath

from solver.pooling import Repeat, grouped
from solver.quantities import Quantity, an_angle
from solver.shared import sharing
from solver.toppling import centre_height


def heights(radius_m: Quantity, angles_rad: Sequence[Repeat]) -> tuple[Repeat, ...]:
    """Centre heights (m) of one body from its brink angles: ``x = r / tan(angle)``.

    All share the radius, and the repeats of a group its table and phone (`as_filmed`).
    Raises `LengthError` and `AngleError` as `solver.toppling.centre_height` does.
    """
    return tuple(
        replace(each, value=centre_height(radius_m, each.value)) for each in as_filmed(angles_rad)
    )


def frictions(angles_rad: Sequence[Repeat]) -> tuple[Repeat, ...]:
    """Coefficients of friction of one surface, the tangents of the angles of first slip.

    Raises `AngleError` for an angle not within (0°, 90°).
    """
    return tuple(
        replace(each, value=umath.tan(an_angle(each.value, "tilt at first slip")))
        for each in as_filmed(angles_rad)
    )


def as_filmed(angles_rad: Sequence[Repeat]) -> tuple[Repeat, ...]:
    """The angles in their order; what one table and one phone give to repeats is one source."""
    tied = {group: iter(sharing(values)) for group, values in grouped(angles_rad).items()}
    return tuple(replace(each, value=next(tied[each.group])) for each in angles_rad)
