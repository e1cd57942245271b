"""The reaction of the surface: what the limits of sliding and toppling must make of it."""

from math import inf, isfinite, radians

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from solver.contact import reaction, reaction_raised
from solver.errors import InputError
from solver.friction import Push, Stand, Way, push

stands = st.builds(
    Stand, st.floats(0.02, 0.1), st.floats(0.01, 0.2), st.floats(0.2, 1.2), st.floats(0.05, 3.0)
)
pushes = st.builds(
    Push,
    st.floats(0.02, 0.2),
    st.floats(-0.4, 0.4),
    st.floats(0.0, 0.1),
    st.sampled_from(list(Way)),
)
slopes = st.floats(0.0, radians(5))


@given(stands, pushes, slopes)
def test_at_the_point_of_sliding_friction_is_mu_times_the_normal(
    stand: Stand, how: Push, tilt: float
) -> None:
    force = push(stand, how, tilt).slide_n
    assume(isfinite(force))
    held = reaction(stand, force, how, tilt)
    assert held is not None
    assert held.friction_n == pytest.approx(stand.friction * held.normal_n, rel=1e-9)


@given(stands, pushes, slopes)
def test_at_the_point_of_toppling_the_reaction_acts_at_the_pivot(
    stand: Stand, how: Push, tilt: float
) -> None:
    force = push(stand, how, tilt).topple_n
    assume(isfinite(force))
    held = reaction(stand, force, how, tilt)
    if held is not None:
        assert held.behind_m == pytest.approx(0.0, abs=1e-9)


@given(stands)
def test_at_rest_on_the_level_the_reaction_is_the_weight_below_the_centre(stand: Stand) -> None:
    held = reaction_raised(stand, 0.0)
    assert held.normal_n == pytest.approx(stand.mass_kg * 9.81)
    assert held.friction_n == 0
    assert held.behind_m == pytest.approx(stand.radius_m)


def test_at_the_brink_the_reaction_acts_at_the_pivot() -> None:
    stand = Stand(0.03, 0.06, 0.9)
    assert reaction_raised(stand, stand.brink_rad).behind_m == pytest.approx(0.0, abs=1e-12)


def test_a_push_that_lifts_the_body_off_leaves_no_reaction() -> None:
    assert reaction(Stand(0.03, 0.06, 0.5), 20.0, Push(0.05, radians(80), 0.02)) is None


def test_a_force_that_no_one_can_push_with_is_refused() -> None:
    with pytest.raises(InputError, match="force of the push"):
        reaction(Stand(0.03, 0.06, 0.5), inf, Push(0.05))
