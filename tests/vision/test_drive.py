"""The board's tilt and its derivatives, from noisy frames of a known lift."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from vision.course import Course
from vision.drive import smooth_drive


def _measured_lift(tilt: np.ndarray, time_s: np.ndarray, noise_rad: float) -> Course:
    noise = np.random.default_rng(6).normal(0, noise_rad, len(time_s))
    still = np.zeros_like(time_s)
    return Course(
        time_s, tilt + noise, still + noise_rad, still, still, still, still, 0.036, 0.2, 0.14, still
    )


@pytest.mark.parametrize("uneven", [0.0, 0.4])
def test_the_drive_is_smooth_and_true(uneven):
    """A known swinging lift: its rate within 2 %, its acceleration within a fifth."""
    rng = np.random.default_rng(5)
    time_s = np.arange(0, 6, 1 / 30) + rng.uniform(-uneven, uneven, 180) / 30
    time_s = time_s - time_s[0]
    w, size, rate = 2 * np.pi * 0.5, radians(0.4), radians(3)
    course = _measured_lift(rate * time_s + size * np.sin(w * time_s), time_s, radians(0.01))
    window = (time_s > 1.5) & (time_s < 4.5)
    drive = smooth_drive(course, window)
    grid = time_s[window][0] + drive.step_s * np.arange(len(drive.tilt_rad))
    true = rate * grid + size * np.sin(w * grid)
    assert drive.tilt_rad == pytest.approx(true, abs=radians(0.012))
    assert np.std(drive.rate_rad_s - rate - size * w * np.cos(w * grid)) < 0.02 * rate
    off = drive.acceleration_rad_s2 + size * w**2 * np.sin(w * grid)
    assert np.std(off) < 0.2 * size * w**2


def test_one_frame_of_a_false_edge_does_not_shake_the_board():
    time_s = np.arange(0, 4, 1 / 30)
    course = _measured_lift(0.05 * time_s, time_s, radians(0.01))
    window = (time_s >= 1.0) & (time_s <= 3.0)
    tilt = course.tilt_rad.copy()
    tilt[60] += radians(0.5)
    calm, spiked = (
        smooth_drive(course, window),
        smooth_drive(replace(course, tilt_rad=tilt), window),
    )
    assert spiked.tilt_rad == pytest.approx(calm.tilt_rad, abs=radians(0.01))
    assert np.std(spiked.acceleration_rad_s2) < 2 * np.std(calm.acceleration_rad_s2) + 0.01


def test_the_drive_covers_the_window():
    time_s = np.arange(0, 4, 1 / 30)
    course = _measured_lift(0.05 * time_s, time_s, radians(0.01))
    window = (time_s >= 1.0) & (time_s <= 3.0)
    drive = smooth_drive(course, window)
    covered = drive.step_s * (len(drive.tilt_rad) - 1)
    assert covered == pytest.approx(2.0, abs=2 * drive.step_s)
    assert len(drive.rate_rad_s) == len(drive.acceleration_rad_s2) == len(drive.tilt_rad)
