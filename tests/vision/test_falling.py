"""The brink of toppling found in simulated courses whose brink is known."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes.engine import by_engine
from tests.scenes.lift import tilt_program
from tests.scenes.motion import truth_of
from tests.scenes.scene import Body, Lift, Scene
from tests.vision.courses import (
    FLAT,
    course_of,
    rocked,
    simulated,
    sliding_brink,
    toppling_brink,
    u_deg,
    with_lean,
)
from vision.brink import Brink
from vision.falling import (
    RATE_U,
    RIM_UNEVEN_M,
    SEEN_RAD,
    fit_fall,
    likely_rate,
)

LIFTS = {
    "steady": Lift(),
    "a little unsteady": Lift(jerk=0.3),
    "slow": Lift(rate_deg_s=1.0, jerk=0.1),
    "fast": Lift(rate_deg_s=8.0, jerk=0.2),
    "paused below and just past the brink": Lift(pauses=((12.0, 2.0), (22.3, 1.5)), jerk=0.2),
}


def _topples(scene: Scene, **measured) -> tuple[Brink, float]:
    """The brink and its error in degrees."""
    brink = toppling_brink(course_of(scene, **measured))
    assert brink is not None
    return brink, degrees(brink.angle_rad - scene.body.brink_rad)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_the_brink_of_a_lift(lift, seed):
    """Within 0.1°; at 8°/s a frame is a quarter of a degree, and 0.15° is asked for."""
    brink, error_deg = _topples(Scene(lift=lift, seed=seed))
    assert abs(error_deg) < (0.15 if lift.rate_deg_s > 5 else 0.1)
    assert abs(error_deg) < max(0.03, 3.5 * u_deg(brink))
    assert brink.misfit < 1.5
    assert brink.rate_per_s == pytest.approx(8.3, rel=2.5 * RATE_U)


@pytest.mark.parametrize("seed", range(4))
def test_a_lift_in_jerks_is_less_sure_and_says_so(seed):
    """The rate wanders by 80 %: 0.2°, within three of its own uncertainties."""
    brink, error_deg = _topples(Scene(lift=Lift(jerk=0.8), seed=seed))
    assert abs(error_deg) < min(0.2, 3 * u_deg(brink))
    assert brink.tremor_u_rad > 0


@pytest.mark.parametrize(
    "body",
    [
        Body(radius_m=0.05, height_m=0.105, centre_height_m=0.055),
        Body(radius_m=0.024, height_m=0.29, centre_height_m=0.136),
        Body(radius_m=0.03, height_m=0.12, centre_height_m=0.05),
    ],
    ids=["42 deg", "10 deg", "31 deg"],
)
def test_squat_and_slender_bodies(body):
    most_deg = degrees(body.brink_rad) + 14
    board = replace(FLAT, friction=2.0)
    brink, error_deg = _topples(Scene(body=body, board=board, lift=Lift(most_deg=most_deg)))
    assert abs(error_deg) < 0.1
    assert abs(error_deg) < 3.5 * u_deg(brink)


@pytest.mark.parametrize("seed", range(2))
def test_the_brink_of_mujocos_motion(seed):
    scene = Scene(lift=Lift(jerk=0.3), seed=seed)
    motion = by_engine(scene, tilt_program(scene.lift, seed))
    _, error_deg = _topples(scene, motion=motion)
    assert abs(error_deg) < 0.1


def test_looking_for_the_first_lean_would_be_far_too_late():
    """What this room is for: 1° of lean is seen half a degree past the brink."""
    scene = Scene(lift=Lift(jerk=0.2))
    course = course_of(scene)
    seen = degrees(course.tilt_rad[np.argmax(course.lean_rad > radians(1))])
    assert seen - degrees(scene.body.brink_rad) > 0.5
    assert abs(_topples(scene)[1]) < 0.1


@pytest.mark.parametrize("rocks", [True, False])
def test_errors_are_no_larger_than_stated(rocks):
    """And as large, where bodies rock on rims that are as uneven as they are taken to be."""
    scores, uneven = [], np.random.default_rng(8)
    for seed in range(12):
        scene = Scene(lift=Lift(rate_deg_s=4.0, jerk=0.3), seed=50 + seed)
        rocking = rocks * abs(uneven.normal(0, RIM_UNEVEN_M / (2 * scene.body.radius_m)))
        fitted = toppling_brink(course_of(scene, rocked(scene, rocking)))
        scores.append(degrees(fitted.angle_rad - scene.body.brink_rad) / u_deg(fitted))
    spread = np.sqrt(np.mean(np.square(scores)))
    assert (0.6 if rocks else 0.1) < spread < 1.6
    assert np.abs(scores).max() < 3.5


def test_the_moment_is_when_the_board_passes_the_brink():
    scene = Scene(lift=Lift(jerk=0.2))
    truth = truth_of(scene, simulated(scene))
    brink, _ = _topples(scene)
    # A tenth of a degree at 3°/s.
    assert brink.onset_s == pytest.approx(truth.passes_s, abs=0.04)


def test_frame_rates_and_uneven_times():
    for rate in (24.0, 60.0, 240.0):
        _, error_deg = _topples(Scene(lift=Lift(jerk=0.2)), frames_per_second=rate)
        assert abs(error_deg) < 0.1
    course = course_of(Scene(lift=Lift(jerk=0.2)), frames_per_second=90.0)
    kept = np.random.default_rng(4).random(len(course.time_s)) < 0.35
    brink = toppling_brink(course.where(kept))
    assert degrees(brink.angle_rad - Scene().body.brink_rad) == pytest.approx(0, abs=0.1)


def test_frames_in_which_the_body_was_not_seen_are_passed_over():
    course = course_of(Scene(lift=Lift(jerk=0.2)))
    lean, slip = course.lean_rad.copy(), course.slip_m.copy()
    lean[::4], slip[::4] = np.nan, np.nan
    brink = toppling_brink(replace(course, lean_rad=lean, slip_m=slip))
    assert degrees(brink.angle_rad - Scene().body.brink_rad) == pytest.approx(0, abs=0.1)


def test_a_camera_that_leaves_a_lean_of_a_fifth_of_a_degree_does_little_harm():
    course = course_of(Scene(lift=Lift(jerk=0.2)))
    tilted = with_lean(course, np.full(len(course.time_s), radians(0.2)))
    apart = toppling_brink(tilted).angle_rad - toppling_brink(course).angle_rad
    assert abs(degrees(apart)) < 0.05


def test_a_body_that_stays_has_no_brink():
    course = course_of(Scene(lift=Lift(most_deg=15, lowered_again=True)))
    assert toppling_brink(course) is None
    assert sliding_brink(course) is None


@pytest.mark.parametrize("rock_deg", [1.0, 4.0])
def test_a_body_that_rocks_and_settles_back_has_not_toppled(rock_deg):
    course = course_of(Scene(lift=Lift(most_deg=20)))
    rock = radians(rock_deg) * np.exp(-np.square((course.time_s - 4.0) / 0.2))
    assert toppling_brink(with_lean(course, rock)) is None


def test_a_rock_before_the_fall_does_not_count():
    scene = Scene(lift=Lift(jerk=0.2))
    course = course_of(scene)
    rock = radians(4.0) * np.exp(-np.square((course.time_s - 3.0) / 0.15))
    brink = toppling_brink(with_lean(course, rock))
    assert degrees(brink.angle_rad - scene.body.brink_rad) == pytest.approx(0, abs=0.1)


@settings(max_examples=30)
@given(st.floats(0.02, 0.06), st.floats(1.0, 6.0), st.floats(0.35, 0.7))
def test_the_rate_lies_between_a_tubes_and_a_solids(radius, slenderness, share):
    """k² = m g l / I with I of a tube and of a solid cylinder (standard tables)."""
    height = slenderness * radius
    centre = share * height
    reach = sqrt(radius**2 + centre**2)

    def rate(radial: float) -> float:
        about_rim = height**2 / 12 + radial * radius**2 + reach**2
        return sqrt(9.81 * reach / about_rim)

    likely = likely_rate(radius, height, atan(radius / centre))
    assert rate(1 / 2) < likely < rate(1 / 4)
    assert rate(1 / 4) / rate(1 / 2) < 1 + 2 * RATE_U


@pytest.mark.parametrize("rocking_deg", [-0.05, 0.05, 0.1])
def test_a_body_that_rocks_as_it_sets_off_hardly_shifts_its_brink(rocking_deg):
    """Set off with speed in hand, a body goes as if its brink were the rocking earlier."""
    scene = Scene(lift=Lift(rate_deg_s=4.0))
    fitted = toppling_brink(course_of(scene, rocked(scene, radians(rocking_deg))))
    off = degrees(fitted.angle_rad - scene.body.brink_rad)
    assert abs(off) < 0.7 * abs(rocking_deg) + 0.03
    assert abs(off) < 2 * degrees(fitted.u_rad)


def test_half_a_degree_of_brink_is_told_apart():
    """Two tins whose centres differ by 2 mm in 90."""
    low = Scene(body=Body(centre_height_m=0.090), lift=Lift(jerk=0.1))
    high = Scene(body=Body(centre_height_m=0.092), lift=Lift(jerk=0.1))
    apart = _topples(low)[0].angle_rad - _topples(high)[0].angle_rad
    assert sin(apart) > 0
    true = low.body.brink_rad - high.body.brink_rad
    assert degrees(apart) == pytest.approx(degrees(true), abs=0.1)


def test_of_a_body_that_stands_the_least_fall_that_would_have_been_seen():
    course = course_of(Scene(lift=Lift(most_deg=15, lowered_again=True)))
    fall = fit_fall(course)
    assert fall.brink is None
    assert np.max(fall.model) > SEEN_RAD
    assert len(fall.model) == np.count_nonzero(fall.window)
