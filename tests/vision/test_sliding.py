"""The angle of friction found in simulated slides whose friction is known."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees

import numpy as np
import pytest

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import FLAT, course_of, sliding_brink, toppling_brink, u_deg
from vision.sliding import SEEN_M, fit_slide


@pytest.mark.parametrize("friction", [0.2, 0.3, 0.38])
def test_the_angle_of_friction_of_a_slide(friction):
    scene = Scene(board=replace(FLAT, friction=friction), lift=Lift(jerk=0.1), seed=3)
    course = course_of(scene)
    assert toppling_brink(course) is None
    brink = sliding_brink(course)
    error_deg = degrees(brink.angle_rad - atan(friction))
    assert abs(error_deg) < 0.2
    assert abs(error_deg) < 3 * u_deg(brink)
    assert brink.rate_per_s is None


def test_a_slide_in_jerks():
    """How high the centre rides shifts the balance as the board is jerked; a slide is held
    to 1.5°."""
    scene = Scene(board=replace(FLAT, friction=0.3), lift=Lift(jerk=0.8), seed=3)
    brink = sliding_brink(course_of(scene))
    assert degrees(brink.angle_rad - atan(0.3)) == pytest.approx(0, abs=1.0)


def test_a_body_that_topples_does_not_slide():
    assert sliding_brink(course_of(Scene(lift=Lift(jerk=0.3)))) is None


def test_too_little_slip_to_speak_of():
    course = course_of(Scene(lift=Lift(most_deg=20)))
    creeps = replace(course, slip_m=course.slip_m + 0.003 * (course.time_s > 4))
    assert sliding_brink(creeps) is None


def test_of_a_body_that_rests_the_least_slide_that_would_have_been_seen():
    course = course_of(Scene(lift=Lift(most_deg=15, lowered_again=True)))
    slide = fit_slide(course)
    assert slide.brink is None and slide.pulls2 == 0.0
    assert np.max(slide.model) > SEEN_M
    # A tenth of a degree further up, the body would hardly have slipped at all.
    assert np.max(slide.model) < 60 * SEEN_M


@pytest.mark.parametrize("less_deg", [0.0, 1.0])
def test_what_the_fit_gives_away_is_counted(less_deg):
    course = course_of(Scene(board=replace(FLAT, friction=0.3), lift=Lift(jerk=0.1), seed=3))
    slide = fit_slide(course)
    off = course.slip_m[slide.window] - slide.model
    assert slide.pulls2 >= 0.0
    assert np.std(off) < 4e-4
