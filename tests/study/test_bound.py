from dataclasses import replace
from math import radians, sqrt

import numpy as np
import pytest

from tests.scenes.scene import Body
from tests.study.bound import _whitener, angle_bound_rad, rate_per_s
from tests.study.edges import seen
from tests.study.trial import Course, Trial, course_of, random_trial, spotless


@pytest.fixture(scope="module")
def trial() -> Trial:
    return replace(spotless(random_trial(1, 9)), noise_px=0.3)


@pytest.fixture(scope="module")
def course(trial: Trial) -> Course:
    return course_of(trial)


@pytest.mark.parametrize("alike", [0.0, 0.4, 0.9])
def test_a_mean_is_known_as_well_as_its_alike_errors_allow(alike: float) -> None:
    """Of N values of an autoregression of first order the information on the mean is
    ``(N − (N − 2) ρ)/(1 + ρ)``: the sum of the inverse of its correlation matrix."""
    count = 50
    ones = np.ones(2 * count)
    white = _whitener(np.ones((count, 1)), alike) @ ones
    correlation = alike ** np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    assert white @ white == pytest.approx(2 * (count - (count - 2) * alike) / (1 + alike))
    assert white @ white == pytest.approx(2 * np.linalg.inv(correlation).sum())


def test_lost_edges_tell_nothing() -> None:
    u_px = np.ones((4, 2))
    u_px[1, 0] = np.nan
    told = (_whitener(u_px, 0.5) @ np.ones(16)).reshape(4, 2, 2)
    assert np.all(told[1, 0] == 0)
    assert np.all(told[2, 0] == 1), "with nothing before it an edge tells all it has"
    assert np.all(told[2, 1] == pytest.approx(0.5 / sqrt(0.75)))


def test_the_bound_grows_as_the_noise(trial: Trial, course: Course) -> None:
    bounds = [
        angle_bound_rad(trial, course, seen(replace(trial, noise_px=noise_px), course))
        for noise_px in (0.01, 0.02)
    ]
    # So little noise that what is known beforehand does not matter.
    assert bounds[1] == pytest.approx(2 * bounds[0], rel=0.05)


def test_what_is_not_known_of_the_start_adds_to_the_bound(trial: Trial, course: Course) -> None:
    edges, start_u = seen(trial, course), radians(0.1)
    known = angle_bound_rad(trial, course, edges)
    assert angle_bound_rad(trial, course, edges, start_u) == pytest.approx(
        sqrt(known**2 + start_u**2), rel=0.02
    )


def test_more_edges_and_less_likeness_tell_more(trial: Trial, course: Course) -> None:
    def bound(**changes) -> float:
        changed = replace(trial, **changes)
        return angle_bound_rad(changed, course, seen(changed, course))

    few = (True, False, False, False, False, True, True)
    assert bound() < bound(kept=few)
    assert bound() < bound(alike=0.8)


def test_a_rod_on_its_end_falls_at_the_textbook_rate() -> None:
    """A thin uniform rod of length H about its end: ``k² = 3 g / 2 H`` (any text on
    rigid-body dynamics)."""
    rod = Body(radius_m=1e-6, height_m=0.3, centre_height_m=0.15)
    assert rate_per_s(rod) == pytest.approx(sqrt(1.5 * 9.81 / 0.3), rel=1e-6)


def test_a_frame_in_which_no_edge_of_the_board_is_seen_costs_little(
    trial: Trial, course: Course
) -> None:
    edges = seen(trial, course)
    u_px = edges.put_in_u_px.copy()
    u_px[-3] = np.nan
    lost = angle_bound_rad(trial, course, replace(edges, put_in_u_px=u_px))
    assert angle_bound_rad(trial, course, edges) <= lost * (1 + 1e-6)
    assert lost < 1.5 * angle_bound_rad(trial, course, edges)
