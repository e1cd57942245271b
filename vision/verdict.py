"""What the motion says: topples, slides or stays, and at what angle."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees, radians

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from vision.brink import (
    Brink,
    Course,
    brink_by_hand,
    likely_rate,
    sliding_brink,
    toppling_brink,
)
from vision.budget import angle_with_budget, tilt_with_budget
from vision.reading import MotionSeries, Outcome
from vision.refine import Motion
from vision.scene import CAMERA, LEAN, SLIP, TILT

Floats = NDArray[np.float64]

WIDEST_RAD = radians(3.0)
LAST_S = 1.0
SEEN_SHARE, AS_BEFORE = 0.4, 0.6
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


def judge(
    motion: Motion, radius_m: float, start_tilt: UFloat, onset_s: float | None = None
) -> Verdict:
    """Decide the outcome of a followed clip; ``onset_s`` is a brink set by hand.

    Raises
    ------
    UncertainError
        Where the motion supports none.
    """
    course = course_of(motion, radius_m)
    outcome, brink = _outcome(course) if onset_s is None else _by_hand(course, onset_s)
    if brink is None and not _followed_to_the_end(motion, course):
        raise UncertainError(
            "The body was lost from sight before anything happened to it. Film it against a "
            "plain background that differs from it, or mark its outline by hand."
        )
    if brink is not None and not _falls_as_a_body(brink, course):
        raise UncertainError(
            "Something was seen to lean, but not as a toppling body of this size does: another "
            "edge was taken for its outline. Film it against a plain background that differs "
            "from it, or mark its outline by hand."
        )
    rested = course.time_s <= (brink.onset_s if brink else np.inf)
    highest = int(np.argmax(np.where(rested, course.tilt_rad, -np.inf)))
    largest = tilt_with_budget(motion, highest, start_tilt)
    angle = angle_with_budget(motion, brink, start_tilt) if brink else None
    if angle is not None and not 2 * angle.std_dev < WIDEST_RAD:
        raise UncertainError(
            f"The body {outcome}, but the picture does not fix the angle to within "
            f"{degrees(WIDEST_RAD):.0f}°. Film from a pile of books rather than from the hand, "
            "closer, and with the whole board in the picture."
        )
    return Verdict(
        outcome=outcome,
        angle_rad=angle,
        onset_s=brink.onset_s if brink else None,
        largest_tilt_rad=largest,
        reasons=(
            _why(outcome, brink, course, degrees(largest.nominal_value))
            if onset_s is None
            else f"A person set the brink at {onset_s:.2f} s.",
        ),
        series=_series(motion, course),
    )


def _outcome(course: Course) -> tuple[Outcome, Brink | None]:
    topples, slides = toppling_brink(course), sliding_brink(course)
    if slides is not None and (topples is None or slides.onset_s < topples.onset_s):
        return Outcome.SLIDES, slides
    if topples is not None:
        return Outcome.TOPPLES, topples
    return Outcome.STAYS, None


def _by_hand(course: Course, onset_s: float) -> tuple[Outcome, Brink]:
    """The brink a person set: of sliding where the body was seen to slide first."""
    first_s, last_s = float(course.time_s[0]), float(course.time_s[-1])
    if not first_s <= onset_s <= last_s:
        raise UncertainError(
            f"The brink was set at {onset_s:.2f} s, but the board was followed from "
            f"{first_s:.2f} to {last_s:.2f} s. Set it within that time."
        )
    seen, _ = _outcome(course)
    outcome = Outcome.SLIDES if seen is Outcome.SLIDES else Outcome.TOPPLES
    return outcome, brink_by_hand(course, onset_s)


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
    found = np.isfinite(motion.edges.points[:, outlines]).all(axis=(2, 3)).mean(axis=1)
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


def _why(outcome: Outcome, brink: Brink | None, course: Course, largest_deg: float) -> str:
    if brink is None:
        return (
            f"The body neither leaned nor slipped: the board was followed up to "
            f"{largest_deg:.1f}° and the body stood on it throughout."
        )
    when, angle = f"{brink.onset_s:.2f} s", f"{degrees(brink.angle_rad):.1f}°"
    if outcome is Outcome.SLIDES:
        furthest = 1000 * float(np.nanmax(course.slip_m))
        return (
            f"The body slipped down the board before it leaned. It began at {when}, at an angle "
            f"of friction of {angle}, and went on for at least {furthest:.0f} mm."
        )
    return (
        "The body leaned past the board and did not settle back. "
        f"It went at {when}; its static brink is {angle}."
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
