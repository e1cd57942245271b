"""Why an outcome, in plain sentences; and why none."""

from __future__ import annotations

from math import degrees

import numpy as np

from vision.brink import Brink
from vision.course import Course
from vision.criterion import DISTINCT
from vision.reading import Outcome, Rival, Story
from vision.rivals import Contest
from vision.sliding import SURE_TIMES

CREPT_M = 0.002
LONG_BEFORE_S, JUST_BEFORE_S = (3.0, 1.5), (0.4, 0.1)
"""Before the brink, from and to."""
NAMED = {
    Story.STAYS: "standing still",
    Story.TOPPLES: "toppling",
    Story.SLIDES: "sliding",
    Story.SLIDES_THEN_TOPPLES: "sliding and then toppling",
}
PLAIN = "Film it against a plain background that differs from it, or mark its outline by hand."
LOST = f"The body was lost from sight before anything happened to it. {PLAIN}"
BOARD_LOST = (
    "The board's edges were lost from sight about the moment the body went. Film the whole board "
    "from closer, with more light and more pixels, and keep hands off its near edge."
)
NOT_A_BODY = (
    "Something was seen to move, but not as a toppling or sliding body of this size does: "
    f"another edge was taken for its outline. {PLAIN}"
)
BARELY = (
    "The body began to go, but was not seen to rest before and to go on after. Keep the whole "
    "board in the picture, and film from a second before the lift until the body has gone."
)


def undecided(best: Story, rival: Rival) -> str:
    """Why two stories are not told apart, and what to do."""
    return (
        f"The motion does not tell {NAMED[best]} from {NAMED[rival.story]} (difference of "
        f"information criterion {rival.behind:.0f}; {DISTINCT:.0f} would decide). Film from "
        "closer, with more light and more frames a second, and go on until the body has gone."
    )


def too_wide(outcome: Outcome, widest_rad: float) -> str:
    """That the angle is not known well enough to be told, and what to do."""
    return (
        f"The body {outcome}, but the picture does not fix the angle to within "
        f"{degrees(widest_rad):.0f}°. Film from a pile of books rather than from the hand, "
        "closer, and with the whole board in the picture."
    )


def by_hand(onset_s: float) -> tuple[str, ...]:
    """The reason for a brink that a person set."""
    return (f"A person set the brink at {onset_s:.2f} s.",)


def why(
    outcome: Outcome,
    brink: Brink | None,
    contest: Contest,
    course: Course,
) -> tuple[str, ...]:
    """Reasons for an outcome: what was seen, how well it is explained, what came after."""
    seen = _seen(outcome, brink, course)
    if brink is None:
        return seen, _evidence(contest)
    beside = _afterwards if outcome is Outcome.SLIDES else _crept
    return (seen, _evidence(contest), *beside(contest, course, brink))


def _seen(outcome: Outcome, brink: Brink | None, course: Course) -> str:
    if brink is None:
        largest_deg = degrees(float(np.max(course.tilt_rad)))
        return (
            f"The body neither leaned nor slipped: the board was followed up to "
            f"{largest_deg:.1f}° and the body stood on it throughout."
        )
    when, angle = f"{brink.onset_s:.2f} s", f"{degrees(brink.angle_rad):.1f}°"
    if outcome is Outcome.SLIDES:
        furthest = 1000 * float(np.max(course.slip_m))
        return (
            f"The body slipped down the board before it leaned. It began at {when}, at an angle "
            f"of friction of {angle}, and went on for at least {furthest:.0f} mm."
        )
    return (
        "The body leaned past the board and did not settle back. "
        f"It went at {when}; its static brink is {angle}."
    )


def _evidence(contest: Contest) -> str:
    """By how much the others explain the motion worse."""
    best = contest.best
    others = [rival for rival in contest.rivals if rival.story.outcome is not best.outcome]
    behind = [f"{rival.behind:.0f}" for rival in others]
    behind[0] = f"difference of Schwarz's information criterion {behind[0]}"
    worse = " or ".join(
        f"{NAMED[rival.story]} ({words})" for rival, words in zip(others, behind, strict=True)
    )
    return (
        f"{NAMED[best].capitalize()} explains lean and slip far better than {worse}; "
        f"{DISTINCT:.0f} would decide."
    )


def _afterwards(contest: Contest, course: Course, slid: Brink) -> tuple[str, ...]:
    """That a body toppled after it slid."""
    if contest.best is not Story.SLIDES_THEN_TOPPLES or contest.throw is None:
        return ()
    caught_s = contest.throw.caught_s
    at_rest = np.median(course.slip_m[course.time_s < slid.onset_s])
    slid_mm = 1000 * (np.interp(caught_s, course.time_s, course.slip_m) - at_rest)
    return (
        f"Afterwards it toppled, at {caught_s:.2f} s, having slid {slid_mm:.0f} mm. Whether it was "
        "at rest and what it turned about there, an edge, a seam or a stop, is not known: this is "
        "no static brink and says nothing about x.",
    )


def _crept(_: Contest, course: Course, brink: Brink) -> tuple[str, ...]:
    """That a body shifted down the board before it toppled."""
    before, then = (
        course.where(course.window(brink.onset_s - begin_s, brink.onset_s - end_s))
        for begin_s, end_s in (LONG_BEFORE_S, JUST_BEFORE_S)
    )
    if not len(before.slip_m) or not len(then.slip_m):
        return ()
    crept_m = float(np.median(then.slip_m) - np.median(before.slip_m))
    u_m = max(float(np.median(part.slip_u_m)) for part in (before, then))
    if crept_m < max(CREPT_M, SURE_TIMES * u_m):
        return ()
    return (
        f"It had crept {1000 * crept_m:.0f} mm down the board before. If it came to rest against "
        "an edge or a stop, it turned about that, and x does not follow from this angle.",
    )
