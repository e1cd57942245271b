"""Stories that compete to explain the lean and the slip of one record.

Each says how the body leaned and how it slipped in the same frames: it stood still; it
toppled; it slid; it slid and then toppled. A foot that slips during the fall is part of
toppling. They are compared by Schwarz's criterion (vision.criterion).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, radians

import numpy as np
from numpy.typing import NDArray

from vision.brink import Fitted
from vision.course import Course, spikes
from vision.criterion import bic, log_likelihood
from vision.falling import fit_fall, lean_u_rad
from vision.reading import Rival, Story
from vision.sliding import fit_slide, slip_u_m
from vision.throwing import Throw, fit_throw

Floats = NDArray[np.float64]

UNKNOWNS = {
    Story.STAYS: 0,
    Story.TOPPLES: 1,
    Story.SLIDES: 1,
    Story.SLIDES_THEN_TOPPLES: 4,
}
"""Beyond those that are known beforehand to within a little, whose pulls are counted instead:
the brink; the angle of friction; that, the moment at which it is caught, and how far past
its brink and how fast it is then."""


SPIKE_RAD, SPIKE_M = radians(0.5), 0.002
RESTED = 5
"""Frames at the beginning of a record whose median slip is that at rest."""


@dataclass(frozen=True)
class Contest:
    """The stories of a record, and how they compare."""

    fall: Fitted
    slide: Fitted
    throw: Throw | None
    rivals: tuple[Rival, ...]
    """The best first."""

    @property
    def best(self) -> Story:
        """The story with the smallest criterion."""
        return self.rivals[0].story

    @property
    def nothing_went(self) -> bool:
        """Whether the body was seen neither to topple nor to slide."""
        return self.fall.brink is None and self.slide.brink is None

    @property
    def other(self) -> Rival:
        """The best of those with another outcome."""
        return next(rival for rival in self.rivals if rival.story.outcome is not self.best.outcome)


def compete(course: Course) -> Contest:
    """Compare the stories of a course in which the body was seen in every frame."""
    fall, slide = fit_fall(course), fit_slide(course)
    throw = fit_throw(course) if slide.brink is not None else None
    record = _Record(course, fall, slide)
    stands, falls = record.lean(None), record.lean(fall)
    rests, slips = record.slip(None), record.slip(slide)
    found = {
        Story.STAYS: stands + rests,
        Story.TOPPLES: falls + record.slip(None, foot=fall),
        Story.SLIDES: stands + slips,
    }
    if throw is not None:
        found[Story.SLIDES_THEN_TOPPLES] = record.lean(throw) + record.slip(slide, foot=throw)
    scores = {
        story: bic(likelihood, UNKNOWNS[story], record.frames)
        for story, likelihood in found.items()
    }
    least = min(scores.values())
    ranked = sorted(scores, key=scores.__getitem__)
    return Contest(fall, slide, throw, tuple(Rival(s, scores[s] - least) for s in ranked))


class _Record:
    """The frames that all stories are held to: leans from before anything was seen to go
    until the body is beyond what is fitted, slips until that or until they are. Frames in
    which another edge was taken for the body's are left out."""

    def __init__(self, course: Course, fall: Fitted, slide: Fitted) -> None:
        falls, slides = np.flatnonzero(fall.window), np.flatnonzero(slide.window)
        begin = min(falls[0], slides[0])
        end = falls[-1] if fall.brink is not None else max(falls[-1], slides[-1])
        slip_end = min(slides[-1], end) if slide.brink is not None else end
        self._course = course
        self._leans = _sound(course.time_s, course.lean_rad, begin, end, SPIKE_RAD)
        self._slips = _sound(course.time_s, course.slip_m, begin, slip_end, SPIKE_M)
        self.frames = int(end + 1 - begin)

    def lean(self, story: Fitted | Throw | None) -> float:
        """Log-likelihood of the leans, the body standing where there is no story."""
        off = self._course.lean_rad - self._whole(story)
        return _told(off[self._leans], lean_u_rad(self._course)[self._leans], story)

    def slip(self, story: Fitted | None, foot: Fitted | Throw | None = None) -> float:
        """Log-likelihood of the slips, the body at rest where there is no story; its foot
        may slip by as much as it leans, where the slips ask for it by the same criterion."""
        slip = self._course.slip_m - np.median(self._course.slip_m[self._slips][:RESTED])
        u = slip_u_m(replace(self._course, slip_m=slip))[self._slips]
        off = (slip - self._whole(story))[self._slips]
        kept = _told(off, u, story)
        leans = self._whole(foot)[self._slips]
        if not leans.any():
            return kept
        share = float(np.sum(leans * off / u**2) / np.sum(leans**2 / u**2))
        return max(kept, _told(off - share * leans, u, story) - log(self.frames) / 2)

    def _whole(self, story: Fitted | Throw | None) -> Floats:
        """What a story says in every frame: nothing before its window, no more after it."""
        whole = np.zeros(len(self._course.time_s))
        if story is not None:
            whole[story.window] = story.model
            whole[np.flatnonzero(story.window)[-1] + 1 :] = story.model[-1]
        return whole


def _sound(time_s: Floats, values: Floats, begin: int, end: int, least: float) -> NDArray[np.int64]:
    """The frames from ``begin`` to ``end`` whose values are no spikes."""
    part = slice(begin, end + 1)
    return begin + np.flatnonzero(~spikes(time_s[part], values[part], least))


def _told(off: Floats, u: Floats, story: Fitted | Throw | None) -> float:
    pulls2 = story.pulls2 if isinstance(story, Fitted) else 0.0
    return log_likelihood(off, u) - pulls2 / 2
