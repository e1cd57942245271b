"""Readings from formulae, and a bench that hands them out at once: for pages and commands."""

from __future__ import annotations

from concurrent.futures import Future
from math import radians
from pathlib import Path

import cv2
import numpy as np
from uncertainties import UFloat, ufloat

from ui.answer import unreadable
from vision.reading import (
    ClipFacts,
    ClipReading,
    ClipSetup,
    EvidencePicture,
    MotionSeries,
    Outcome,
    Rival,
    Story,
)

ONSET_S, RATE_HZ, LAST_S = 8.0, 30.0, 9.0


def brink_deg(angle_deg: float = 20.0, u_deg: float = 0.2) -> UFloat:
    """A brink angle (rad) whose variance comes half from the start, half from the brink."""
    part = radians(u_deg) / 2**0.5
    return radians(angle_deg) + ufloat(0, part, "start tilt") + ufloat(0, part, "brink")


def toppling(angle_rad: UFloat | None = None, by_hand: bool = False) -> ClipReading:
    """A body that topples at 8 s."""
    return _reading(Outcome.TOPPLES, brink_deg() if angle_rad is None else angle_rad, by_hand)


def sliding() -> ClipReading:
    """A body that slides at 8 s, at the angle whose tangent is 0.36."""
    return _reading(Outcome.SLIDES, ufloat(np.arctan(0.36), radians(0.3), "brink"))


def staying() -> ClipReading:
    """A body that stays on a board raised to 20°."""
    return _reading(Outcome.STAYS, None)


def lost() -> ClipReading:
    """A clip that was decoded, but in which no body was found."""
    facts = ClipFacts(64, 48, 271, LAST_S, RATE_HZ)
    blank = unreadable("No body was found. Mark it by hand.", 1.5)
    return ClipReading(**{**vars(blank), "facts": facts})


def series() -> MotionSeries:
    """A steady rise to 20°; the body leans after the onset and is lost in the last frame."""
    time = np.arange(0.0, LAST_S, 1 / RATE_HZ)
    lean = np.where(time > ONSET_S, radians(5) * (time - ONSET_S) ** 2, 0.0)
    lean[-1] = np.nan
    small = np.full(time.shape, radians(0.05))
    return MotionSeries(
        frame=np.arange(len(time)),
        time_s=time,
        tilt_rad=radians(20.0) * time / ONSET_S,
        tilt_u_rad=small,
        lean_rad=lean,
        lean_u_rad=small,
        slip_m=np.zeros_like(time),
        slip_u_m=np.full(time.shape, 1e-4),
    )


def _reading(outcome: Outcome, angle_rad: UFloat | None, by_hand: bool = False) -> ClipReading:
    moments = ("start", "largest tilt", "end") if angle_rad is None else ("start", "brink", "after")
    onset = None if angle_rad is None else ONSET_S
    return ClipReading(
        outcome=outcome,
        facts=ClipFacts(64, 48, 270, LAST_S, RATE_HZ),
        angle_rad=angle_rad,
        onset_s=onset,
        onset_frame=None if onset is None else 240,
        largest_tilt_rad=ufloat(radians(20.0), radians(0.1)),
        reasons=("It was seen to do so.",),
        series=series(),
        pictures=tuple(
            EvidencePicture(moment, 120 * i, 4.0 * i, _png(60 * i), PLANE)
            for i, moment in enumerate(moments)
        ),
        by_hand=by_hand,
        seconds_taken=1.25,
        evidence=_evidence(outcome),
    )


def _evidence(outcome: Outcome) -> tuple[Rival, ...]:
    """The outcome's own story before the two others."""
    best = Story(outcome)
    others = [story for story in (Story.STAYS, Story.TOPPLES, Story.SLIDES) if story is not best]
    return (Rival(best, 0.0), Rival(others[0], 231.4), Rival(others[1], 252.9))


PLANE = ((40.3, -2.7, 1 / 3), (-1.9, -31.7, 40.1), (0.07, -0.11, 1.0))
"""As of a board seen from a little off square."""


def _png(grey: int) -> bytes:
    _, png = cv2.imencode(".png", np.full((48, 64, 3), grey, np.uint8))
    return png.tobytes()


class StandInTicket:
    """A ticket that is done when told."""

    def __init__(self, path: Path, reading: ClipReading, done: bool = True) -> None:
        self.path, self.done, self.share = path, done, 1.0 if done else 0.42
        self._reading = reading

    def reading(self) -> ClipReading:
        return self._reading


class StandInBench:
    """Hands out one reading for every clip, and remembers what was asked."""

    workers = 2

    def __init__(self, reading: ClipReading, done: bool = True) -> None:
        self.reading, self.done = reading, done
        self.asked: list[tuple[Path, ClipSetup]] = []
        self.tickets: list[StandInTicket] = []

    def measure(self, path: Path, setup: ClipSetup) -> StandInTicket:
        self.asked.append((path, setup))
        self.tickets.append(StandInTicket(path, self.reading, self.done))
        return self.tickets[-1]

    def submit(self, task, *args):  # type: ignore[no-untyped-def]
        future: Future[object] = Future()
        try:
            future.set_result(task(*args))
        except Exception as error:
            future.set_exception(error)
        return future

    def close(self) -> None:
        """Nothing to stop."""
