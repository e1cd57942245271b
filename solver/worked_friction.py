"""The working of slide or topple, as a student would write it."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from uncertainties import nominal_value

from solver.friction import Push, Slide, Stand, Way, friction_by_surface, push
from solver.notation import Letter, Symbol
from solver.quantities import (
    DEGREE,
    FREE_FALL,
    GRAVITY_M_S2,
    KILOGRAM,
    MILLIMETRE,
    NEWTON,
    RATIO,
    Quantity,
)
from solver.worked_bodies import HEIGHT, RADIUS, brink_steps
from solver.working import Step, Working, mean_step, measured_as, solve

FRICTION = Letter("mu", "coefficient of static friction", RATIO)
SLIDING = Letter("alpha", "tilt at which it begins to slide", DEGREE, "slide")
SLIDE_PRINCIPLE = (
    "About to slide, friction is at its limit, μ times the normal reaction. Along the surface "
    "the weight pulls with m g sin α, and across it presses with m g cos α."
)


def friction_from_tilt(angle_rad: Quantity, surface: str = "the surface") -> Working:
    """The coefficient of friction from the tilt at which a body begins to slide."""
    known = [SLIDING.at(angle_rad)]
    step = solve(SLIDE_PRINCIPLE, "mu = tan(alpha_slide)", known, FRICTION)
    return Working(f"Friction on {surface}", (step,))


def friction_of(surface: str, angles_rad: Sequence[Quantity]) -> Working:
    """The mean coefficient of friction of one surface from several slides."""
    mean = friction_by_surface(Slide(surface, angle) for angle in angles_rad)[surface]
    singles = [
        solve(
            SLIDE_PRINCIPLE,
            f"mu_{i} = tan(alpha_{i})",
            [Letter("alpha", f"tilt at which it began to slide, clip {i}", DEGREE, str(i)).at(a)],
            Letter("mu", f"coefficient of friction from clip {i}", RATIO, str(i)),
        )
        for i, a in enumerate(angles_rad, start=1)
    ]
    step = mean_step(FRICTION, [single.result.value for single in singles])
    return Working(f"Friction on {surface}", (*singles, measured_as(step, mean)))


def raised(stand: Stand) -> Working:
    """Slide or topple when the surface is slowly raised."""
    slide = solve(SLIDE_PRINCIPLE, "alpha_slide = atan(mu)", [FRICTION.at(stand.friction)], SLIDING)
    brink = brink_steps([RADIUS.at(stand.radius_m), HEIGHT.at(stand.centre_height_m)])
    conclusion = f"The smaller angle comes first. {stand.raised()}"
    return Working("Slide or topple on a raised board", (slide, *brink), conclusion)


def pushed(stand: Stand, how: Push, tilt_rad: float = 0.0) -> Working:
    """The least forces to slide and to topple, and the crossing height."""
    result = push(stand, how, tilt_rad)
    known = _known(stand, how, tilt_rad)
    hold, grip, stay, lever = _terms(how, tilt_rad)
    steps: list[Step] = []
    if isfinite(nominal_value(result.slide_n)):
        steps.append(
            solve(
                "About to slide, friction is at its limit: resolve along the surface and across "
                "it, with friction μ times the normal reaction.",
                f"P_slide = m * g * {hold} / {grip}" if grip else f"P_slide = m * g * {hold}",
                known,
                Letter("P", "least force to slide", NEWTON, "slide"),
            )
        )
    if isfinite(nominal_value(result.topple_n)):
        steps.append(
            solve(
                "About to topple, normal reaction and friction act at the pivot: take moments "
                "about it.",
                f"P_topple = m * g * {stay} / {lever}",
                known,
                Letter("P", "least force to topple", NEWTON, "topple"),
            )
        )
    if result.crossing_m is not None:
        steps.append(_crossing(known, how, tilt_rad))
    return Working("Slide or topple under a push", tuple(steps), str(result.verdict))


def _crossing(known: Sequence[Symbol], how: Push, tilt_rad: float) -> Step:
    hold, grip, stay, _ = _terms(how, tilt_rad)
    equation = f"h_cross = {stay} / {hold}"
    if grip:
        equation = f"h_cross = ({stay} * {grip} - {hold} * b * sin(beta)) / ({hold} * cos(beta))"
    return solve(
        "At the crossing height both forces are the same: set them equal and solve for h. "
        "Pushed below it the body slides first, above it the body topples first.",
        equation,
        known,
        Letter("h", "height at which both forces are the same", MILLIMETRE, "cross"),
    )


def _terms(how: Push, tilt_rad: float) -> tuple[str, str, str, str]:
    """Hold, grip, stay and lever of `solver.friction`; without what is nil.

    The grip of a push along the surface is 1, given as an empty text.
    """
    sign = "-" if how.way is Way.DOWN else "+"
    hold, stay = "mu", "r"
    if tilt_rad:
        hold = f"(mu * cos(alpha) {sign} sin(alpha))"
        stay = f"(r * cos(alpha) {sign} x * sin(alpha))"
    if not how.angle_rad:
        return hold, "", stay, "h"
    return hold, "(cos(beta) + mu * sin(beta))", stay, "(h * cos(beta) + b * sin(beta))"


def _known(stand: Stand, how: Push, tilt_rad: float) -> list[Symbol]:
    behind = 0.0 if how.behind_m is None else how.behind_m
    return [
        FRICTION.at(stand.friction),
        RADIUS.at(stand.radius_m),
        HEIGHT.at(stand.centre_height_m),
        Letter("m", "mass of the body", KILOGRAM).at(stand.mass_kg),
        Letter("g", "acceleration of free fall", FREE_FALL).at(GRAVITY_M_S2),
        Letter("h", "height of the push above the surface", MILLIMETRE).at(how.height_m),
        Letter("b", "distance of the push behind the pivot", MILLIMETRE).at(behind),
        Letter("alpha", "tilt of the surface", DEGREE).at(tilt_rad),
        Letter("beta", "angle of the push above the surface", DEGREE).at(how.angle_rad),
    ]
