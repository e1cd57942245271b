"""Reasons in sentences: what was seen, how it compares, what came after, and why not."""

from __future__ import annotations

import re
from dataclasses import replace
from math import radians

import numpy as np
import pytest

from tests.outside.test_outcome_engine import TIN as SHORT_TIN
from tests.scenes.engine import by_engine
from tests.scenes.lift import tilt_program
from tests.scenes.scene import Lift, Scene
from tests.vision.courses import FLAT, course_of
from vision import why as words
from vision.course import Course
from vision.reading import Outcome, Rival, Story
from vision.rivals import compete
from vision.why import too_wide, undecided, why


def _told(course: Course) -> tuple[str, ...]:
    contest = compete(course)
    outcome = contest.best.outcome
    fitted = {Outcome.TOPPLES: contest.fall, Outcome.SLIDES: contest.slide}.get(outcome)
    return why(outcome, fitted and fitted.brink, contest, course)


@pytest.fixture(scope="module")
def caught() -> Course:
    """A tin that slides 40 mm down to a stop, and goes over."""
    board = replace(FLAT, friction=0.25, stop_at_m=0.07, stop_height_m=0.004)
    scene = Scene(body=SHORT_TIN, board=board, lift=Lift(rate_deg_s=4.0), seed=3)
    return course_of(scene, by_engine(scene, tilt_program(scene.lift, 3)))


def test_a_body_that_topples():
    contest = compete(course_of(Scene(seed=2)))
    seen, evidence = _told(course_of(Scene(seed=2)))
    assert "did not settle back" in seen
    behind = {rival.story: f"{rival.behind:.0f}" for rival in contest.rivals}
    assert evidence.startswith("Toppling explains lean and slip far better than ")
    assert (
        f"standing still (difference of Schwarz's information criterion {behind['stays']})"
        in (evidence)
        or f"standing still ({behind['stays']})" in evidence
    )
    assert behind["slides"] in evidence and evidence.endswith("10 would decide.")


def test_a_body_that_stays():
    seen, evidence = _told(course_of(Scene(lift=Lift(most_deg=15, lowered_again=True))))
    assert "15.0°" in seen and "stood on it throughout" in seen
    assert evidence.startswith("Standing still explains")


def test_a_body_that_slides_and_topples_afterwards(caught):
    seen, evidence, after = _told(caught)
    assert "slipped down the board before it leaned" in seen
    assert evidence.startswith("Sliding and then toppling explains")
    assert "than sliding" not in evidence
    assert re.search("having slid (38|39|40) mm", after) and "no static brink" in after


def test_a_body_that_only_slides_has_nothing_to_add():
    scene = Scene(board=replace(FLAT, friction=0.3), lift=Lift(jerk=0.1), seed=3)
    assert len(_told(course_of(scene))) == 2


@pytest.mark.parametrize(("crept_mm", "spoken_of"), [(0.0, False), (1.0, False), (4.0, True)])
def test_a_body_that_crept_before_it_toppled(crept_mm, spoken_of):
    course = course_of(Scene(seed=2))
    crept = crept_mm / 1000 / (1 + np.exp(-(course.time_s - 6.6) / 0.03))
    reasons = _told(replace(course, slip_m=course.slip_m + crept))
    assert any("crept 4 mm" in reason for reason in reasons) is spoken_of


def test_a_creep_that_may_be_none_is_not_spoken_of():
    """Where the body's foot was hardly seen just before it went."""
    course = course_of(Scene(seed=2))
    crept = 0.004 / (1 + np.exp(-(course.time_s - 6.6) / 0.03))
    unsure = np.where(course.time_s > 6.0, 2e-3, course.slip_u_m)
    reasons = _told(replace(course, slip_m=course.slip_m + crept, slip_u_m=unsure))
    assert not any("crept" in reason for reason in reasons)


def test_why_two_stories_are_not_told_apart():
    said = undecided(Story.TOPPLES, Rival(Story.SLIDES, 4.2))
    assert "does not tell toppling from sliding" in said
    assert "criterion 4; 10 would decide" in said and "Film" in said


def test_every_refusal_says_what_to_do():
    refusals = [
        words.LOST, words.NOT_A_BODY, words.BARELY, too_wide(Outcome.TOPPLES, radians(3)),
        *(undecided(story, Rival(Story.STAYS, 1.0)) for story in Story),
    ]  # fmt: skip
    for said in refusals:
        assert "Film" in said or "film" in said
        assert said[0].isupper() and said.endswith(".")


def test_every_story_has_a_name():
    assert set(words.NAMED) == set(Story)
    assert len(set(words.NAMED.values())) == len(Story)
