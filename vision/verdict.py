"""What the motion says: topples, slides or stays, and at what angle."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from vision.brink import FEWEST, Brink, brink_by_hand
from vision.budget import Picture
from vision.course import Course
from vision.criterion import DISTINCT
from vision.falling import likely_rate
from vision.reading import MotionSeries, Outcome, Rival, Story
from vision.refine import Motion, led
from vision.rivals import Contest, compete
from vision.scene import CAMERA, LEAN, SLIP, TILT
from vision.unsettled import unsettled
from vision.why import BARELY, BOARD_LOST, LOST, NOT_A_BODY, by_hand, too_wide, undecided, why

Floats = NDArray[np.float64]

WIDEST_RAD = radians(3.0)
LAST_S = 1.0
SEEN_SHARE, AS_BEFORE = 0.4, 0.6
ABOUT_S, LED_SHARE = 0.5, 0.5
FARTHEST_M = 5.0
"""No board that a hand lifts carries a body so far from its hinge."""
FALLS_TIMES = 0.5, 2.5
"""A lean that grows at less or more of the rate of a body of that size is none."""


class UncertainError(Exception):
    """The motion does not support an outcome; the message says why and what to do."""


@dataclass(frozen=True)
class Verdict:
    """The outcome with what supports it."""

    outcome: Outcome
    angle_rad: UFloat | None
    onset_s: float | None
    largest_tilt_rad: UFloat
    reasons: tuple[str, ...]
    series: MotionSeries
    evidence: tuple[Rival, ...]


def judge(
    motion: Motion,
    radius_m: float,
    start_tilt: UFloat,
    onset_s: float | None = None,
    body_gone: bool = False,
) -> Verdict:
    """Decide the outcome of a followed clip.

    Parameters
    ----------
    motion : the fitted motion
    radius_m : of the rim that touches the board
    start_tilt : of the board in the first frames, radians
    onset_s : a brink set by hand
    body_gone : whether following ended because the body was taken to have fallen

    Raises
    ------
    UncertainError
        Where the motion supports none.
    """
    course = course_of(motion, radius_m)
    seen = course.where(np.isfinite(course.lean_rad) & np.isfinite(course.slip_m))
    if len(seen.time_s) < FEWEST:
        raise UncertainError(LOST)
    if not (motion.scene.radius > 0 and abs(course.place_m) < FARTHEST_M):
        raise UncertainError(NOT_A_BODY)
    contest = compete(seen)
    if onset_s is not None:
        outcome, brink = _by_hand(contest, course, onset_s)
        reasons = by_hand(onset_s)
    elif contest.nothing_went and (body_gone or not _followed_to_the_end(motion, course)):
        raise UncertainError(LOST)
    else:
        outcome, brink = _outcome(contest, seen)
        if brink is not None and not _board_seen(motion, brink):
            raise UncertainError(BOARD_LOST)
        reasons = why(outcome, brink, contest, seen)
    picture, highest_s = Picture(motion), _highest_s(course, brink)
    largest = picture.tilt(highest_s, start_tilt)
    angle = picture.angle(brink, start_tilt) if brink else None
    if angle is not None and not 2 * angle.std_dev < WIDEST_RAD:
        raise UncertainError(too_wide(outcome, WIDEST_RAD))
    told = largest if angle is None else angle
    told_s = brink.onset_s if brink else highest_s
    return Verdict(
        outcome=outcome,
        angle_rad=angle,
        onset_s=brink.onset_s if brink else None,
        largest_tilt_rad=largest,
        reasons=(*reasons, *unsettled(picture, told_s, told.std_dev)),
        series=_series(motion, course),
        evidence=contest.rivals,
    )


def _outcome(contest: Contest, course: Course) -> tuple[Outcome, Brink | None]:
    """Raises `UncertainError` where the stories are not told apart, or none was seen to go."""
    best = contest.best
    if contest.other.behind < DISTINCT:
        raise UncertainError(undecided(best, contest.other))
    brinks = {Outcome.TOPPLES: contest.fall.brink, Outcome.SLIDES: contest.slide.brink}
    if best is Story.STAYS:
        if contest.nothing_went:
            return Outcome.STAYS, None
        raise UncertainError(NOT_A_BODY)
    brink = brinks[best.outcome]
    if brink is None:
        raise UncertainError(BARELY)
    if best is Story.TOPPLES and not _falls_as_a_body(brink, course):
        raise UncertainError(NOT_A_BODY)
    return best.outcome, brink


def _board_seen(motion: Motion, brink: Brink) -> bool:
    """Whether in most frames about a brink an edge of the board was found."""
    about = np.abs(motion.time_s - brink.onset_s) < ABOUT_S
    return bool(np.mean(led(motion.scene, motion.edges)[about]) > LED_SHARE)


def _by_hand(contest: Contest, course: Course, onset_s: float) -> tuple[Outcome, Brink | None]:
    """The brink a person set: of sliding where the body was seen to slide first."""
    first_s, last_s = float(course.time_s[0]), float(course.time_s[-1])
    if not first_s <= onset_s <= last_s:
        raise UncertainError(
            f"The brink was set at {onset_s:.2f} s, but the board was followed from "
            f"{first_s:.2f} to {last_s:.2f} s. Set it within that time."
        )
    slid = contest.best.outcome is Outcome.SLIDES and contest.slide.brink is not None
    outcome = Outcome.SLIDES if slid else Outcome.TOPPLES
    return outcome, brink_by_hand(course, onset_s)


def _highest_s(course: Course, brink: Brink | None) -> float:
    """When the board was tilted most with the body still at rest."""
    rested = course.time_s <= (brink.onset_s if brink else np.inf)
    return float(course.time_s[np.argmax(np.where(rested, course.tilt_rad, -np.inf))])


def _falls_as_a_body(brink: Brink, course: Course) -> bool:
    """Whether a lean grew about as fast as gravity makes it grow."""
    if brink.rate_per_s is None:
        return True
    likely = likely_rate(course.radius_m, course.height_m, brink.angle_rad)
    return FALLS_TIMES[0] * likely < brink.rate_per_s < FALLS_TIMES[1] * likely


def _followed_to_the_end(motion: Motion, course: Course) -> bool:
    """Whether the body was seen in the last second as well as before.

    Where it stood and is no more, an edge of something else may be taken for one of its
    outlines now and then, but not for both as often.
    """
    outlines = [k for k, line in enumerate(motion.scene.lines) if line.is_outline]
    found = motion.edges.found[:, outlines].mean(axis=1)
    last = course.time_s > course.time_s[-1] - LAST_S
    seen = np.isfinite(course.lean_rad)
    return bool(
        np.mean(seen[last]) > SEEN_SHARE and np.mean(found[last]) > AS_BEFORE * np.mean(found)
    )


def course_of(motion: Motion, radius_m: float) -> Course:
    """The motion in metres, by the body's radius."""
    metres = radius_m / motion.scene.radius
    u = np.sqrt(np.einsum("nkk->nk", motion.covariance))
    return Course(
        time_s=motion.time_s,
        tilt_rad=motion.own[:, TILT],
        tilt_u_rad=u[:, TILT],
        lean_rad=motion.own[:, LEAN],
        lean_u_rad=u[:, LEAN],
        slip_m=motion.own[:, SLIP] * metres,
        slip_u_m=u[:, SLIP] * metres,
        radius_m=radius_m,
        height_m=motion.scene.body_height * metres,
        place_m=float(motion.scene.shared[CAMERA]) * metres,
        turn_u_rad=motion.turn_u_rad,
    )


def _series(motion: Motion, course: Course) -> MotionSeries:
    return MotionSeries(
        frame=motion.index,
        time_s=course.time_s,
        tilt_rad=course.tilt_rad,
        tilt_u_rad=course.tilt_u_rad,
        lean_rad=course.lean_rad,
        lean_u_rad=course.lean_u_rad,
        slip_m=course.slip_m,
        slip_u_m=course.slip_u_m,
    )
