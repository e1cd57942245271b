"""Stories told apart in MuJoCo's motion: a stop on the board catches a body that slides."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, radians

import numpy as np
import pytest

from tests.scenes.engine import by_engine
from tests.scenes.lift import tilt_program
from tests.scenes.scene import Body, Lift, Scene
from tests.vision.courses import FLAT, course_of
from vision.criterion import DISTINCT
from vision.reading import Story
from vision.rivals import Contest, compete

TIN = Body(radius_m=0.03, height_m=0.2, centre_height_m=0.085)
"""Topples at 19.4°."""
STANDS_M = 0.14
LIFTS = {
    "steady": Lift(rate_deg_s=4.0),
    "in jerks": Lift(rate_deg_s=4.0, jerk=0.6),
    "paused": Lift(rate_deg_s=4.0, jerk=0.1, pauses=((12.0, 1.0),)),
}


def _moved(lift: Lift, friction: float, stop_after_m: float = 0.0) -> tuple[Contest, float]:
    """The contest of a lift, and when MuJoCo's body had leaned by 1°; the body stands so
    far above a stop of 4 mm."""
    stop_m = STANDS_M - TIN.radius_m - stop_after_m if stop_after_m else 0.0
    board = replace(FLAT, friction=friction, stop_at_m=stop_m, stop_height_m=0.004)
    scene = Scene(body=TIN, board=board, lift=lift, seed=3)
    motion = by_engine(scene, tilt_program(lift, scene.seed))
    gone = int(np.flatnonzero(motion.lean_rad < radians(1.0))[-1])
    return compete(course_of(scene, motion)), float(motion.time_s[gone])


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
@pytest.mark.parametrize("stop_after_m", [0.02, 0.04])
def test_a_body_caught_as_it_slides(stop_after_m, lift):
    """It slides from 14.0° on, and goes over as it meets the stop, or rests there and goes
    over later; a lean takes a few tenths of a second to grow to 1°."""
    contest, goes_s = _moved(lift, 0.25, stop_after_m)
    assert contest.best is Story.SLIDES_THEN_TOPPLES
    assert contest.other.behind > DISTINCT
    assert degrees(contest.slide.brink.angle_rad - atan(0.25)) == pytest.approx(0, abs=0.4)
    assert goes_s - 0.5 < contest.throw.caught_s < goes_s + 0.05


def test_a_body_that_slides_to_a_stop_and_topples_later():
    """After 10 mm it rests against the stop for a second and a half."""
    contest, goes_s = _moved(LIFTS["steady"], 0.25, 0.01)
    assert contest.best is Story.SLIDES_THEN_TOPPLES
    assert contest.other.behind > DISTINCT
    assert degrees(contest.slide.brink.angle_rad - atan(0.25)) == pytest.approx(0, abs=0.4)
    assert goes_s - contest.slide.brink.onset_s > 1.0
    assert goes_s - 0.5 < contest.throw.caught_s < goes_s + 0.05


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_without_a_stop_it_slides(lift):
    contest, _ = _moved(replace(lift, most_deg=17.0), 0.25)
    assert contest.best.outcome == "slides"
    assert contest.other.behind > DISTINCT


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_on_a_rough_board_it_topples(lift):
    contest, _ = _moved(lift, 0.6)
    assert contest.best is Story.TOPPLES
    assert contest.other.behind > DISTINCT
    assert degrees(contest.fall.brink.angle_rad - TIN.brink_rad) == pytest.approx(0, abs=0.2)
