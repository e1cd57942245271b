import subprocess
import sys
from dataclasses import replace
from functools import cache
from math import sqrt

import numpy as np
import pytest

from tests.study.angles import study
from tests.study.score import Score, score
from tests.study.table import coverage, report
from tests.study.trial import random_trial, spotless

TOPPLING, SLIDING = (1, 9), (6,)
"""Numbers of trials of seed 1."""


@cache
def spotless_score(number: int, noise_px: float) -> Score:
    """Of a brisk lift, so that there are few frames."""
    trial = replace(spotless(random_trial(1, number)), noise_px=noise_px)
    drawn = trial.drawn
    brisk = replace(drawn.lift, rate_deg_s=9.0, pauses=())
    thirty = replace(drawn.view, frames_per_second=30.0)
    return score(replace(trial, drawn=replace(drawn, lift=brisk, view=thirty)))


@pytest.mark.parametrize("number", TOPPLING + SLIDING)
def test_a_perfect_picture_gives_the_angle_itself(number: int) -> None:
    """Focal length as expected, no noise: what is left is the reader's own smoothing."""
    clean = spotless_score(number, 1e-3)
    assert clean.outcome == clean.true_outcome
    assert abs(clean.geometry_error) < 0.01
    assert abs(clean.error) < 0.02
    assert abs(clean.plain_error) > 5 * abs(clean.error)


def test_the_three_parts_are_the_whole_error() -> None:
    for number in TOPPLING:
        parts = spotless_score(number, 0.3)
        total = parts.start_error + parts.geometry_error + parts.fall_error
        assert total == pytest.approx(parts.error, abs=1e-9)


def test_no_reading_is_better_than_the_bound_nor_far_worse() -> None:
    ratios = [
        noisy.other_error / noisy.known_start_bound
        for noisy in (spotless_score(number, 0.3) for number in TOPPLING + SLIDING)
    ]
    assert 1 < sqrt(np.mean(np.square(ratios))) < 8


def test_a_trial_is_the_same_whenever_it_is_drawn() -> None:
    assert random_trial(3, 5) == random_trial(3, 5)
    assert random_trial(3, 5) != random_trial(3, 6)


def test_the_command_says_what_it_needs() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.study.angles"], capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "--scenes" in done.stderr and "--drawn" in done.stderr


@pytest.mark.study
def test_the_intervals_hold_the_truth_93_to_97_times_in_a_hundred() -> None:
    scores = list(study(score, seed=7, numbers=range(300), workers=2))
    read = [s for s in scores if s.was_read]
    _, low, high = coverage(sum(s.held for s in read), len(read))
    assert low < 0.97 and high > 0.93, report(scores)
    assert np.mean([s.outcome == s.true_outcome for s in scores]) > 0.95, report(scores)
    assert np.median([abs(s.error) for s in read]) < 0.15, report(scores)
