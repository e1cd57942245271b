"""The measured motion, cut to some of its frames."""

from __future__ import annotations

import numpy as np
import pytest

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import course_of
from vision.course import first_kept, frame_noise, last_below, spikes


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


@pytest.mark.parametrize("uneven", [0.0, 0.4])
def test_noise_is_what_changes_from_frame_to_frame(uneven):
    """A smooth motion is none, however the frames are spaced."""
    rng = np.random.default_rng(3)
    time_s = (np.arange(400) + rng.uniform(-uneven, uneven, 400)) / 30
    smooth = 0.3 * np.sin(2 * time_s) + 0.05 * time_s
    assert frame_noise(time_s, smooth + rng.normal(0, 1e-3, 400)) == pytest.approx(1e-3, rel=0.2)
    assert frame_noise(time_s, smooth) < 1e-5


def test_spikes_are_single_frames_far_from_their_neighbours():
    time_s = np.arange(60) / 30
    values = 0.01 * np.random.default_rng(4).normal(size=60) + 0.3 * time_s
    values[[0, 25, 40]] += 1.0
    assert np.array_equal(np.flatnonzero(spikes(time_s, values, 0.1)), [25, 40])
    assert not spikes(time_s, values, 1.5).any()
