"""A body caught as it slides: the moment and the lean of its fall."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

import numpy as np
import pytest

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import course_of
from vision.course import Course
from vision.falling import likely_rate
from vision.throwing import fit_throw

CAUGHT_S = 4.03


def _caught(speed_rad_s: float, past_rad: float, rate_off: float = 1.0) -> Course:
    """A standing body, caught at that speed and so far past its brink, and followed to 12°."""
    course = course_of(Scene(lift=Lift(most_deg=25)))
    tilt = float(np.interp(CAUGHT_S, course.time_s, course.tilt_rad))
    k = rate_off * likely_rate(course.radius_m, course.height_m, tilt)
    since = k * np.maximum(course.time_s - CAUGHT_S, 0.0)
    turned = past_rad * (np.cosh(since) - 1) + speed_rad_s / k * np.sinh(since)
    lean = np.where(since > 0, turned - (course.tilt_rad - tilt), 0.0)
    seen = np.cumsum(lean > radians(12)) < 2
    return replace(course, lean_rad=course.lean_rad + lean).where(seen)


@pytest.mark.parametrize(
    ("speed", "past_deg"), [(0.5, 0.0), (1.5, -5.0), (0.2, 4.0)], ids=["level", "below", "beyond"]
)
def test_the_moment_it_is_caught(speed, past_deg):
    course = _caught(speed, radians(past_deg))
    throw = fit_throw(course)
    assert throw.caught_s == pytest.approx(CAUGHT_S, abs=0.05)
    off = course.lean_rad[throw.window] - throw.model
    assert degrees(np.sqrt(np.mean(np.square(off)))) < 0.1


def test_a_body_that_falls_faster_than_likely_is_fitted_all_the_same():
    throw = fit_throw(_caught(0.5, 0.0, rate_off=1.06))
    assert throw.caught_s == pytest.approx(CAUGHT_S, abs=0.05)


def test_before_it_is_caught_it_stands():
    course = _caught(0.5, 0.0)
    throw = fit_throw(course)
    before = course.time_s[throw.window] < throw.caught_s
    assert np.all(throw.model[before] == 0.0)


def test_a_body_that_does_not_go_is_not_caught():
    assert fit_throw(course_of(Scene(lift=Lift(most_deg=15)))) is None
