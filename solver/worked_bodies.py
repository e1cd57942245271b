"""The working of toppling, bodies and balances, as a student would write it.

Every function takes what its result is computed from and returns a `Working`
whose last step gives that result, with its uncertainty.
"""

from __future__ import annotations

from collections.abc import Sequence

from solver.bodies import Body, Side
from solver.edge_balance import Balance, End, Overhang, balanced_centre
from solver.notation import Letter, Symbol
from solver.quantities import (
    DEGREE,
    GRAM,
    INERTIA,
    KILOGRAM,
    METRE,
    MILLIMETRE,
    RATIO,
    Quantity,
)
from solver.working import Step, Working, mean_step, measured_as, solve, total

RADIUS = Letter("r", "distance of the pivot from below the centre", MILLIMETRE)
HEIGHT = Letter("x", "height of the centre above the base", MILLIMETRE)
TILT = Letter("theta", "tilt of the board at the brink", DEGREE)
AT_CENTRE = Letter("phi", "angle at the centre, between axis and line of the weight", DEGREE)
MASS = Letter("m", "mass of the whole", GRAM)

SIMILAR = (
    "The weight acts at right angles to the level, and the body's axis stands at right angles "
    "to the board. From the board to the vertical is 90° less the tilt; from the board to the "
    "axis is 90°; so what is left between axis and vertical is the tilt. The triangle under "
    "the board and the triangle of pivot, middle of the base and centre both have this angle "
    "and a right angle: they are similar."
)
BRINK = (
    "At the brink the line of the weight passes through the pivot. In the triangle of pivot, "
    "middle of the base and centre, r is opposite the angle at the centre and x is beside it."
)


def height_from_tilt(radius_m: Quantity, tilt_rad: Quantity) -> Working:
    """Centre height from a brink angle."""
    equation = "phi = degrees(90) - (degrees(90) - theta)"
    angle = solve(SIMILAR, equation, [TILT.at(tilt_rad)], AT_CENTRE)
    height = solve(BRINK, "x = r / tan(phi)", [RADIUS.at(radius_m), angle.result], HEIGHT)
    return Working("Centre height from the brink angle", (angle, height))


def tilt_from_height(radius_m: Quantity, centre_height_m: Quantity) -> Working:
    """Brink angle from a centre height."""
    known = [RADIUS.at(radius_m), HEIGHT.at(centre_height_m)]
    return Working("Brink angle from the centre height", brink_steps(known))


def brink_steps(known: Sequence[Symbol]) -> tuple[Step, Step]:
    """The brink angle from symbols r and x: at the centre first, then of the board."""
    angle = solve(BRINK, "phi = atan(r / x)", known, AT_CENTRE)
    equation = "theta = degrees(90) - (degrees(90) - phi)"
    return angle, solve(SIMILAR, equation, [angle.result], TILT)


def brink_of(body: Body, side: Side = Side.RIGHT) -> Working:
    """Mass, centre and brink angle of a body, from its parts."""
    mass, height = _centre_steps(body)
    radius = RADIUS.at(body.arm_m(side))
    title = f"Where the centre of the {body.name} lies, and when it topples"
    return Working(title, (mass, height, *brink_steps([radius, height.result])))


def _centre_steps(body: Body) -> tuple[Step, Step]:
    masses = [
        Letter("m", f"mass of the {part.name}", GRAM, str(i)).at(part.moments.amount)
        for i, part in enumerate(body.parts, start=1)
    ]
    heights = [
        Letter("x", f"height of the {part.name}'s centre", MILLIMETRE, str(i)).at(
            part.moments.centre_m[2]
        )
        for i, part in enumerate(body.parts, start=1)
    ]
    mass = solve(
        "The mass of the whole is the sum of its parts.", f"m = {total(masses)}", masses, MASS
    )
    products = " + ".join(f"m_{i} * x_{i}" for i in range(1, len(masses) + 1))
    height = solve(
        "The weight of the whole has the same moment as the weights of its parts together.",
        f"x = ({products}) / m",
        [*masses, *heights, mass.result],
        HEIGHT,
    )
    return mass, height


def inertia_of(body: Body, side: Side = Side.RIGHT) -> Working:
    """The moment of inertia about the pivot."""
    axis, _ = side.value
    own = body.moments.spread_m2[axis] + body.moments.spread_m2[2]
    step = solve(
        "By the parallel axis theorem the moment of inertia about the pivot is that about the "
        "centre and the mass times the square of the centre's distance from the pivot.",
        "I = m * (k**2 + r**2 + x**2)",
        [
            Letter("m", "mass of the whole", KILOGRAM).at(body.mass_kg),
            Letter("k", "radius of gyration about the centre", METRE).at(own**0.5),
            Letter("r", RADIUS.meaning, METRE).at(body.arm_m(side)),
            Letter("x", HEIGHT.meaning, METRE).at(body.centre_height_m),
        ],
        Letter("I", "moment of inertia about the pivot", INERTIA),
    )
    return Working(f"Moment of inertia of the {body.name} about its pivot", (step,))


def balance_of(balance: Balance, readings: Sequence[Overhang]) -> Working:
    """The centre height by balancing on an edge."""
    centre = balanced_centre(balance, readings)
    known = [
        Letter("L", "length of the body", MILLIMETRE).at(balance.length_m),
        Letter("rho", "radius of the table's edge", MILLIMETRE).at(balance.edge_radius_m),
    ]
    steps, terms, counts = [], [], []
    for end, term in ((End.BASE, "(a_base + rho)"), (End.TOP, "(L - a_top - rho)")):
        values = [reading.overhang_m for reading in readings if reading.end is end]
        if not values:
            continue
        step = mean_step(
            Letter("a", f"overhang with the {end} over the edge", MILLIMETRE, end), values
        )
        count = Letter("n", f"readings with the {end} over the edge", RATIO, end)
        known += [step.result, count.at(float(len(values)))]
        steps.append(step)
        terms.append(term)
        counts.append(count.name)
    equation = terms[0]
    if len(terms) > 1:
        weighted = " + ".join(f"{n} * {term}" for n, term in zip(counts, terms, strict=True))
        equation = f"({weighted}) / ({' + '.join(counts)})"
    height = solve(
        "At the point of tipping the centre is over the line where the flat of the table ends, "
        "which is the edge's own radius behind its outermost face.",
        f"x = {equation}",
        known,
        HEIGHT,
    )
    return Working("Centre height by balancing on an edge", (*steps, measured_as(height, centre)))
