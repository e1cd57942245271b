"""Slide or topple: on an incline raised slowly, and under a push.

Forces act on a body of mass m, centre height x, whose pivot is r from below
its centre, on a surface of static friction coefficient μ tilted by α. A push
P acts at a point h above the surface and b behind the pivot, raised by β from
the surface. With d = +1 for a push down the slope,
−1 up it:

    slides   at P = m g (μ cos α − d sin α) / (cos β + μ sin β)
    topples  at P = m g (r cos α − d x sin α) / (h cos β + b sin β)

by resolving along the surface and at right angles to it, and by moments about
the pivot. All SI. The body is at rest and about to move: what it does once it
slides is another matter.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from math import cos, inf, isclose, pi, sin

from scipy.stats import norm
from uncertainties import nominal_value, std_dev, umath

from solver.bodies import Body, Side
from solver.errors import AngleError, LengthError
from solver.quantities import (
    DEGREE,
    GRAVITY_M_S2,
    RATIO,
    Quantity,
    a_length,
    a_mass,
    an_angle,
    in_range,
)
from solver.repeats import Repeats, mean_of
from solver.toppling import base_radius, brink_angle

SURE = 0.975
"""The chance from which a verdict is given without its alternative."""


class Motion(StrEnum):
    """How a body leaves its rest."""

    SLIDES = "slides"
    TOPPLES = "topples"
    STAYS = "stays"


@dataclass(frozen=True)
class Verdict:
    """What happens first, and how sure that is."""

    likely: Motion
    """The likelier; `Motion.STAYS` where no force whatever does either."""
    chance: float
    """Of the likelier, from the uncertainties of all that went in, 0.5 to 1."""
    exact: bool = False
    """Whether every number was given without uncertainty, so the chance says little."""

    @property
    def sure(self) -> bool:
        """Whether the chance is high enough to leave the alternative unsaid."""
        return self.chance >= SURE

    def __str__(self) -> str:
        if self.likely is Motion.STAYS:
            return "It neither slides nor topples, however hard it is pushed."
        other = Motion.TOPPLES if self.likely is Motion.SLIDES else Motion.SLIDES
        if self.exact and self.sure:
            return f"It {self.likely} first, if every number given is exact."
        if self.sure:
            return f"It {self.likely} first (chance {_percent(self.chance)})."
        return (
            f"Too close to call: it {self.likely} first with a chance of "
            f"{_percent(self.chance)}, and {other} first with {_percent(1 - self.chance)}."
        )


def _percent(chance: float) -> str:
    return "over 99 %" if chance > 0.995 else f"{100 * chance:.0f} %"


def _verdict(to_slide: Quantity, to_topple: Quantity) -> Verdict:
    """The smaller of two efforts wins.

    Each effort is a sum of products of the inputs, so their difference is
    taken as normal with the uncertainty that linear propagation gives it.
    """
    lead = to_topple - to_slide
    gap, u = nominal_value(lead), std_dev(lead)
    slides = float(norm.cdf(gap / u)) if u else _exact_chance(to_slide, to_topple)
    if slides >= 0.5:
        return Verdict(Motion.SLIDES, slides, exact=u == 0)
    return Verdict(Motion.TOPPLES, 1 - slides, exact=u == 0)


def _exact_chance(to_slide: float, to_topple: float) -> float:
    """Certain either way, but for a tie, which rounding must not decide."""
    return 0.5 if isclose(to_slide, to_topple, rel_tol=1e-12) else float(to_slide < to_topple)


@dataclass(frozen=True)
class Stand:
    """A body at rest on a surface, its centre on its axis."""

    radius_m: Quantity
    """From the axis to the pivot: r."""
    centre_height_m: Quantity
    friction: Quantity
    """Coefficient of static friction between base and surface: μ."""
    mass_kg: Quantity = 1.0
    """Needed for forces in newtons only; which comes first does not depend on it."""
    top_m: Quantity | None = None
    """Height of the body; given, no centre or push may be above it."""

    def __post_init__(self) -> None:
        top = inf if self.top_m is None else nominal_value(self.top_m)
        base_radius(self.radius_m)
        a_length(self.centre_height_m, "height of the centre", high=top)
        a_mass(self.mass_kg, "mass of the body")
        in_range(self.friction, "coefficient of friction", RATIO)

    @classmethod
    def of(cls, body: Body, friction: Quantity, side: Side = Side.RIGHT) -> Stand:
        """A body standing on a surface, to be tipped about the pivot on that side."""
        return cls(body.arm_m(side), body.centre_height_m, friction, body.mass_kg, body.top_m)

    @property
    def slide_rad(self) -> Quantity:
        """The tilt at which it would slide, if it had not toppled: ``tan = μ``."""
        return umath.atan(self.friction)

    @property
    def brink_rad(self) -> Quantity:
        """The tilt at which it would topple, if it had not slid: ``tan = r/x``."""
        return brink_angle(self.radius_m, self.centre_height_m)

    def raised(self) -> Verdict:
        """What it does first when the surface is slowly raised: μ against r/x."""
        return _verdict(self.friction * self.centre_height_m, self.radius_m)


class Way(IntEnum):
    """Which way the push drives the body; on a level surface either will do."""

    DOWN = 1
    UP = -1


@dataclass(frozen=True)
class Push:
    """A push or pull in the plane of the slope's steepest line."""

    height_m: Quantity
    """Of the point where it acts, above the surface: h."""
    angle_rad: float = 0.0
    """By which it is raised from the surface: β; negative presses down."""
    behind_m: Quantity | None = None
    """Distance of that point behind the pivot: b. Needed where β is not 0."""
    way: Way = Way.DOWN

    @classmethod
    def horizontal(
        cls, height_m: Quantity, tilt_rad: float, behind_m: Quantity, way: Way = Way.DOWN
    ) -> Push:
        """A push that is horizontal although the surface is tilted."""
        return cls(height_m, way * tilt_rad, behind_m, way)


@dataclass(frozen=True)
class Pushed:
    """What a push does, as it grows from nothing."""

    slide_n: Quantity
    """The least force that makes it slide; infinite where none does."""
    topple_n: Quantity
    """The least force that makes it topple; infinite where none does."""
    crossing_m: Quantity | None
    """The height below which it slides first; None where it cannot slide."""
    verdict: Verdict


def push(stand: Stand, how: Push, tilt_rad: float = 0.0) -> Pushed:
    """The least forces, the crossing height, and what happens at the push's height.

    Raises `AngleError` where the body does not rest on the slope by itself or
    the push points away from the surface's steepest line, and `LengthError`
    where the push is above the body.
    """
    _check_rest(stand, tilt_rad)
    top = inf if stand.top_m is None else nominal_value(stand.top_m)
    a_length(how.height_m, "height of the push", high=top, ends="[]")
    an_angle(how.angle_rad, "angle of the push above the surface", low=-pi / 2)
    if how.angle_rad != 0 and how.behind_m is None:
        raise LengthError(
            "A push at an angle to the surface needs the distance of its point behind the pivot."
        )
    weight_n = stand.mass_kg * GRAVITY_M_S2
    across, along = cos(tilt_rad), how.way * sin(tilt_rad)
    level, lift = cos(how.angle_rad), sin(how.angle_rad)
    behind = 0.0 if how.behind_m is None else how.behind_m
    hold = stand.friction * across - along
    grip = level + stand.friction * lift
    stay = stand.radius_m * across - stand.centre_height_m * along
    lever = how.height_m * level + behind * lift
    crossing = (stay * grip / hold - behind * lift) / level
    return Pushed(
        _least_force(weight_n * hold, grip),
        _least_force(weight_n * stay, lever),
        crossing if nominal_value(grip) > 0 else None,
        _first(hold, grip, stay, lever),
    )


def _least_force(resistance: Quantity, leverage: Quantity) -> Quantity:
    return resistance / leverage if nominal_value(leverage) > 0 else inf


def _first(hold: Quantity, grip: Quantity, stay: Quantity, lever: Quantity) -> Verdict:
    """Which is reached first: P grip = hold (slides) or P lever = stay (topples)."""
    if nominal_value(grip) <= 0 and nominal_value(lever) <= 0:
        return Verdict(Motion.STAYS, 1.0)
    return _verdict(hold * lever, stay * grip)


def _check_rest(stand: Stand, tilt_rad: float) -> None:
    limits = {
        "slides": nominal_value(stand.slide_rad),
        "topples": nominal_value(stand.brink_rad),
    }
    motion, limit = min(limits.items(), key=lambda item: item[1])
    if not 0 <= tilt_rad < limit:
        raise AngleError(
            f"At a tilt of {DEGREE.show(tilt_rad)} there is nothing to push: the body "
            f"{motion} by itself at {DEGREE.show(limit)}. Give a tilt from 0° to below that."
        )


@dataclass(frozen=True)
class Slide:
    """The tilt at which a body began to slide, on which surface."""

    surface: str
    angle_rad: Quantity


def friction_by_surface(slides: Iterable[Slide]) -> dict[str, Repeats]:
    """The coefficient of static friction of each surface, ``μ = tan(angle)``.

    Surfaces are in the order first met. Raises `AngleError`.
    """
    by_surface: defaultdict[str, list[Quantity]] = defaultdict(list)
    for slide in slides:
        an_angle(slide.angle_rad, f"angle of sliding on {slide.surface}")
        by_surface[slide.surface].append(umath.tan(slide.angle_rad))
    return {surface: mean_of(values) for surface, values in by_surface.items()}
