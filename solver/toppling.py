"""Brink angle, radius and centre height of a body on a board that is raised.

At the brink the line of the weight passes through the edge the body would turn
about. In the triangle of that edge, the middle of the base and the centre of mass,
``tan(angle) = r / x``. The radius is that of the rim that touches the board, not
of the lid, nor of a bead above the rim. SI throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from uncertainties import nominal_value, umath

from solver.errors import AngleError
from solver.propagation import (
    ALL_NORMAL,
    Floats,
    Linear,
    MonteCarlo,
    Span,
    Spreads,
    agree,
    linear,
    monte_carlo,
    tolerance,
)
from solver.quantities import DEGREE, MILLIMETRE, Quantity, a_length, an_angle
from solver.rounding import FIGURES, rounded, rounded_interval

LARGEST_RADIUS_M = 1.0
RADIUS, ANGLE = "base radius", "brink angle"
"""Names in the budget of sources that have no tag of their own."""


def base_radius(radius_m: Quantity) -> Quantity:
    """The radius itself, above 0 and at most 1 m; else `LengthError`."""
    return a_length(radius_m, "base radius", 0.0, LARGEST_RADIUS_M, "(]")


def radius_from_diameter(diameter_m: Quantity) -> Quantity:
    """The radius of a rim of that diameter; raises `LengthError` above 2 m."""
    return a_length(diameter_m, "base diameter", 0.0, 2 * LARGEST_RADIUS_M, "(]") / 2


def radius_from_circumference(circumference_m: Quantity) -> Quantity:
    """The radius of a rim of that circumference; raises `LengthError` above 2π m."""
    longest = 2 * pi * LARGEST_RADIUS_M
    return a_length(circumference_m, "base circumference", 0.0, longest, "(]") / (2 * pi)


def centre_height(radius_m: Quantity, angle_rad: Quantity) -> Quantity:
    """Height of the centre of mass above the base: ``x = r / tan(angle)``, metres.

    Raises `LengthError` for a radius not within (0, 1] m and `AngleError` for an
    angle not within (0°, 90°).
    """
    return base_radius(radius_m) / umath.tan(an_angle(angle_rad, ANGLE))


def brink_angle(radius_m: Quantity, centre_height_m: Quantity) -> Quantity:
    """Tilt at which the body topples: ``atan(r / x)``, radians.

    Raises `LengthError` for a radius not within (0, 1] m or a height not above 0.
    """
    return umath.atan(base_radius(radius_m) / a_length(centre_height_m, "centre height"))


@dataclass(frozen=True)
class CentreHeight:
    """A centre height with its 95 % interval, by linear propagation and by Monte Carlo."""

    height_m: Quantity
    """With its sources of uncertainty."""
    linear: Linear
    """Metres."""
    monte_carlo: MonteCarlo
    """Metres."""
    tolerance_m: float
    """Half of the last figure of the linear half-width as it is shown."""

    @property
    def differs(self) -> bool:
        """Whether an end of the two intervals differs by more than the tolerance."""
        return not agree(self.linear, self.monte_carlo)

    @property
    def interval_m(self) -> Span:
        """The interval to quote: the linear one where it holds, else that of Monte Carlo."""
        return self.monte_carlo.interval if self.differs else self.linear.interval

    @property
    def caution(self) -> str:
        """A plain sentence where the two differ; else nothing."""
        if not self.differs:
            return ""
        mm, (low_m, high_m) = MILLIMETRE.in_si, self.monte_carlo.interval
        low, high = rounded_interval(low_m / mm, high_m / mm)
        plain = rounded(self.linear.value / mm, self.linear.half_width / mm)
        return (
            f"A plain ± does not fit here: 95 % of the possible centre heights lie between "
            f"{low} mm and {high} mm, which {plain} mm does not say well. Give the two ends, "
            "or measure more closely."
        )


def evaluate_centre_height(
    radius_m: Quantity, angle_rad: Quantity, spreads: Spreads = ALL_NORMAL
) -> CentreHeight:
    """The centre height from a brink angle, with interval and budget.

    ``spreads`` names the sources that are not normal, by their tag: `RECTANGULAR`
    for limits, `student` for a mean of repeats (see `solver.propagation`).

    Raises `LengthError` and `AngleError` as `centre_height` does, and `AngleError`
    where the angle's own 95 % interval reaches 0° or 90°.
    """
    height = centre_height(radius_m, angle_rad)
    _check_angle_is_known(angle_rad, spreads)
    inputs = {RADIUS: radius_m, ANGLE: angle_rad}
    by_slope = linear(height, inputs, spreads)
    by_draws = monte_carlo(_height_of_draws, inputs, spreads)
    return CentreHeight(height, by_slope, by_draws, tolerance(by_slope))


def _check_angle_is_known(angle_rad: Quantity, spreads: Spreads) -> None:
    low, high = linear(angle_rad, {ANGLE: angle_rad}, spreads).interval
    if low > 0.0 and high < pi / 2:
        return
    angle, half = DEGREE.show(nominal_value(angle_rad)), DEGREE.show((high - low) / 2, FIGURES)
    end = "0°" if low <= 0.0 else "90°"
    raise AngleError(
        f"The {ANGLE} is {angle} ± {half}, so it may as well be {end}, and says nothing of the "
        "centre height. Measure it more closely."
    )


def _height_of_draws(radius_m: Floats | float, angle_rad: Floats | float) -> Floats:
    """Draws of the height; where the angle is drawn at 0° or below, it is infinite."""
    with np.errstate(divide="ignore"):
        return np.asarray(radius_m / np.tan(np.clip(angle_rad, 0.0, pi / 2)))
