"""The measured motion, cut to some of its frames."""

from __future__ import annotations

import numpy as np
import pytest

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import course_of
from vision.course import first_kept, last_below


def test_a_course_in_some_of_its_frames():
    course = course_of(Scene(lift=Lift(most_deg=8)))
    late = course.where(course.time_s > 2)
    assert late.time_s[0] > 2 and len(late.lean_rad) == len(late.time_s)
    assert late.radius_m == course.radius_m
    assert np.array_equal(late.tilt_rad, course.tilt_rad[course.time_s > 2])


def test_a_window_has_both_its_ends():
    course = course_of(Scene(lift=Lift(most_deg=8)))
    window = course.window(course.time_s[10], course.time_s[20])
    assert np.array_equal(np.flatnonzero(window), np.arange(10, 21))


@pytest.mark.parametrize(
    ("values", "kept"), [([0, 2, 0, 2, 2], 3), ([2, 2], 0), ([0, 2, 0], None), ([2, np.nan], None)]
)
def test_from_where_values_stay_above_a_level(values, kept):
    assert first_kept(np.array(values, dtype=float), 1.0) == kept


def test_where_values_were_last_below_a_level():
    values = np.array([0.0, 2.0, 0.0, 2.0])
    assert last_below(values, 1.0, 4) == 2
    assert last_below(values, 1.0, 2) == 0
    assert last_below(values + 5, 1.0, 4) == 0
