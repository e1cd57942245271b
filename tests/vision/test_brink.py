"""What fits of the brink have in common: the scan, the brink by hand, what was not seen."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import course_of
from vision.brink import (
    AFTER_S,
    BEFORE_S,
    FEWEST,
    HAND_U_S,
    SCAN_RAD,
    about_the_largest_tilt,
    brink_by_hand,
    fit_from_scan,
    least_seen,
)


@settings(max_examples=25)
@given(st.floats(-2.4, 0.6), st.floats(0.5, 3.0))
def test_a_scan_finds_the_lowest_of_several_valleys(true_deg, ripple):
    """Valleys two degrees apart: a fit from where the scan began would stay in its own."""

    def residuals(unknown):
        off = degrees(unknown[0] - radians(20)) - true_deg
        return np.array([off, ripple * np.sin(np.pi * off / 2)])

    fit = fit_from_scan(residuals, [radians(20)], [radians(0.1)])
    assert degrees(fit.x[0]) - 20 == pytest.approx(true_deg, abs=0.01)


def test_a_brink_by_hand_is_the_tilt_there():
    """As unsure as a tenth of a second is of a lift at 3° a second."""
    course = course_of(Scene(lift=Lift()))
    brink = brink_by_hand(course, 4.0)
    true = np.interp(4.0, course.time_s, course.tilt_rad)
    assert brink.angle_rad == pytest.approx(true, abs=radians(0.03))
    assert degrees(brink.u_rad) == pytest.approx(3.0 * HAND_U_S, rel=0.1)
    assert brink.onset_s == 4.0 and brink.rate_per_s is None


@pytest.mark.parametrize("share", [0.0, 0.4, 0.9])
def test_the_least_that_would_have_been_seen(share):
    """The nearest of all ramps that show, as trying them one by one finds it."""
    tilt = np.linspace(0, 1, 50)

    def model(brink):
        return np.maximum(tilt - brink, 0.0)

    def off(tried):
        return (share * tilt - tried) / 0.1

    least = least_seen(model, off, 1.0, 0.05)
    shown = [m for m in map(model, 1.0 - SCAN_RAD * np.arange(600)) if np.max(m) > 0.05]
    costs = [np.sum(np.sqrt(1 + np.square(off(m))) - 1) for m in shown]
    assert np.array_equal(least, shown[int(np.argmin(costs))])


def test_where_none_would_have_been_seen_the_least_is_the_one_that_goes_farthest():
    def model(brink):
        return np.full(5, -brink)

    least = least_seen(model, lambda tried: tried, 1.0, 1e9)
    assert np.max(least) >= max(np.max(model(1.0 - k * SCAN_RAD)) for k in range(600))


def test_where_a_body_that_stays_would_have_gone():
    course = course_of(Scene(lift=Lift(most_deg=15, lowered_again=True)))
    window = about_the_largest_tilt(course)
    times, highest_s = course.time_s[window], course.time_s[np.argmax(course.tilt_rad)]
    assert times[0] == pytest.approx(highest_s - BEFORE_S, abs=0.04)
    assert times[-1] == pytest.approx(highest_s + AFTER_S, abs=0.04)


def test_a_window_has_its_fewest_frames_even_where_the_body_was_hardly_seen():
    course = course_of(Scene(lift=Lift(most_deg=15)))
    rare = course.where(np.arange(len(course.time_s)) % 20 == 0)
    assert len(rare.time_s) <= FEWEST + 2
    assert about_the_largest_tilt(rare).sum() >= min(FEWEST, len(rare.time_s))
    early = replace(course, tilt_rad=course.tilt_rad[::-1].copy())
    assert about_the_largest_tilt(early).sum() >= FEWEST
