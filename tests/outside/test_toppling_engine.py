"""The brink by MuJoCo: a body on an incline stays just below it and goes just above.

Let go at once, a body presses its lower rim in and tips up to 0.03° early (measured),
so these are held to twice that.
"""

from math import atan, radians

import pytest

from solver.toppling import brink_angle
from tests.outside.incline import let_go

STEP_RAD = radians(0.06)
BODIES = [(0.020, 0.100), (0.036, 0.160), (0.030, 0.060), (0.050, 0.050), (0.060, 0.045)]


@pytest.mark.parametrize(("r", "x"), BODIES)
def test_a_rough_incline_below_and_above_the_brink(r, x):
    brink, rough = brink_angle(r, x), 3 * r / x
    assert let_go(r, x, rough, brink - STEP_RAD) == "stays"
    assert let_go(r, x, rough, brink + STEP_RAD) == "topples"


@pytest.mark.parametrize(("r", "x"), BODIES[:2])
def test_a_round_base_below_and_above_the_brink(r, x):
    brink = brink_angle(r, x)
    assert let_go(r, x, 1.0, brink - STEP_RAD, "round") == "stays"
    assert let_go(r, x, 1.0, brink + STEP_RAD, "round") == "topples"


@pytest.mark.parametrize("scale", [0.5, 2.0])
def test_the_size_of_the_body_does_not_matter(scale):
    brink = brink_angle(0.03, 0.06)
    r, x = 0.03 * scale, 0.06 * scale
    assert let_go(r, x, 2.0, brink - STEP_RAD) == "stays"
    assert let_go(r, x, 2.0, brink + STEP_RAD) == "topples"


@pytest.mark.parametrize(("share", "outcome"), [(0.97, "slides"), (1.03, "topples")])
@pytest.mark.parametrize(("r", "x"), BODIES[:3])
def test_the_friction_boundary(r, x, share, outcome):
    """With μ below r/x the body slides at atan μ, above it topples at the brink."""
    mu = share * r / x
    first = min(atan(mu), brink_angle(r, x))
    assert let_go(r, x, mu, first - radians(0.1)) == "stays"
    assert let_go(r, x, mu, first + radians(0.1)) == outcome
