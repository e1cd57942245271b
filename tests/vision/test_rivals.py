"""Each story is found in motion of its own kind, and in no other's."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.scenes.scene import Lift, Scene
from tests.vision.courses import FLAT, course_of, with_lean
from vision.course import Course
from vision.criterion import DISTINCT
from vision.reading import Outcome, Story
from vision.rivals import Contest, compete

LIFTS = {
    "steady": Lift(),
    "in jerks": Lift(jerk=0.8),
    "paused": Lift(pauses=((12.0, 2.0), (22.3, 1.5)), jerk=0.2),
    "fast": Lift(rate_deg_s=9.0, jerk=0.2),
}
SLIPPERY = replace(FLAT, friction=0.3)
BRINK_S = 7.6
"""When the steady lift's body goes."""


def _settled(contest: Contest, story: Story) -> bool:
    return contest.best is story and contest.other.behind > DISTINCT


def _steps(course: Course, step_m: float, at_s: tuple[float, ...]) -> Course:
    """The course with a body that creeps by so much at some moments, each in a tenth of a
    second."""
    crept = sum(step_m / (1 + np.exp(-(course.time_s - s) / 0.03)) for s in at_s)
    return replace(course, slip_m=course.slip_m + crept)


@pytest.mark.parametrize("rate_hz", [15.0, 30.0, 120.0])
@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_a_body_that_topples(lift, rate_hz):
    contest = compete(course_of(Scene(lift=lift, seed=2), frames_per_second=rate_hz))
    assert _settled(contest, Story.TOPPLES)
    assert contest.throw is None


@pytest.mark.parametrize("rate_hz", [15.0, 30.0, 120.0])
@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_a_body_that_slides(lift, rate_hz):
    scene = Scene(lift=lift, board=SLIPPERY, seed=2)
    assert _settled(compete(course_of(scene, frames_per_second=rate_hz)), Story.SLIDES)


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_a_body_that_stays(lift):
    course = course_of(Scene(lift=replace(lift, most_deg=19, lowered_again=True), seed=2))
    contest = compete(course)
    assert _settled(contest, Story.STAYS) and contest.nothing_went


@settings(max_examples=12)
@given(st.floats(0.5, 5.0), st.floats(1.0, 8.5), st.floats(0.1, 0.3))
def test_a_body_that_rocks_and_settles_stays(rock_deg, at_s, wide_s):
    course = course_of(Scene(lift=Lift(most_deg=20), seed=5))
    rock = radians(rock_deg) * np.exp(-np.square((course.time_s - at_s) / wide_s))
    rock[course.time_s > course.time_s[-1] - 0.3] = 0.0
    assert _settled(compete(with_lean(course, rock)), Story.STAYS)


@settings(max_examples=12)
@given(st.floats(0.25, 2.0), st.integers(1, 4), st.floats(0.15, 0.8))
def test_a_body_that_creeps_in_jerks_before_it_topples(step_mm, steps, before_s):
    """Up to 8 mm in all: stick and slip is no slide, which would not have stopped again."""
    at_s = tuple(BRINK_S - before_s - 0.5 * k for k in range(steps))
    contest = compete(_steps(course_of(Scene(seed=6)), step_mm / 1000, at_s))
    assert _settled(contest, Story.TOPPLES)


@pytest.mark.parametrize("by_mm", [-4.0, 2.0, 6.0])
def test_a_foot_that_slips_during_the_fall_is_part_of_toppling(by_mm):
    course = course_of(Scene(lift=Lift(jerk=0.2), seed=3))
    slips = by_mm / 1000 * np.clip((course.lean_rad - radians(1)) / radians(7), 0, None)
    assert _settled(compete(replace(course, slip_m=course.slip_m + slips)), Story.TOPPLES)


@pytest.mark.parametrize("seed", range(6))
def test_a_slip_that_only_wanders_is_no_slide(seed):
    """As a camera leaves it whose place is not quite right: up to a few millimetres."""
    course = course_of(Scene(lift=Lift(most_deg=19), seed=4))
    wander = np.cumsum(np.random.default_rng(seed).normal(0, 1.5e-4, len(course.time_s)))
    assert np.ptp(wander) > 0.001
    assert _settled(compete(replace(course, slip_m=course.slip_m + wander)), Story.STAYS)


@pytest.mark.parametrize("scene", [Scene(seed=7), Scene(board=SLIPPERY, seed=7)])
def test_single_frames_of_false_edges_settle_nothing(scene):
    plain = course_of(scene)
    lean, slip = plain.lean_rad.copy(), plain.slip_m.copy()
    for k in range(40, len(lean) - 15, 17):
        lean[k], slip[k] = lean[k] + radians(12), slip[k] - 0.03
    spiked, clean = compete(replace(plain, lean_rad=lean, slip_m=slip)), compete(plain)
    assert spiked.best is clean.best
    assert spiked.other.behind > DISTINCT


def test_a_fall_that_is_only_begun_is_not_told_from_standing():
    """Cut where it leans by about a fifth of a degree."""
    course = course_of(Scene(lift=Lift(jerk=0.1), seed=3), lean_u_deg=0.3)
    begun = int(np.argmax(course.time_s > BRINK_S - 0.05))
    contest = compete(course.where(np.arange(len(course.time_s)) < begun))
    assert contest.nothing_went
    assert contest.other.behind < 4 * DISTINCT
    later = compete(course)
    assert later.other.behind > contest.other.behind


def test_the_stories_are_ranked_and_the_best_is_not_behind():
    contest = compete(course_of(Scene(seed=8)))
    behind = [rival.behind for rival in contest.rivals]
    assert behind[0] == 0.0 and behind == sorted(behind)
    assert contest.other.story.outcome is not contest.best.outcome


@pytest.mark.parametrize(
    ("story", "outcome"),
    [
        (Story.STAYS, Outcome.STAYS),
        (Story.TOPPLES, Outcome.TOPPLES),
        (Story.SLIDES, Outcome.SLIDES),
        (Story.SLIDES_THEN_TOPPLES, Outcome.SLIDES),
    ],
)
def test_what_a_story_comes_to(story, outcome):
    assert story.outcome is outcome
