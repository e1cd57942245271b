"""At what tilts a body was seen to be moving, from the motion a clip was measured to show."""

from __future__ import annotations

from math import radians
from typing import Protocol

import numpy as np

from solver.readings import Moved
from ui.record.rows import Reading
from vision.reading import MotionSeries

VISIBLE_LEAN_RAD = radians(1.0)
VISIBLE_SLIP_M = 0.002
"""A person sees a body move from about here (common practice)."""
STOPS_AFTER_S = 0.5
"""So long a hand goes on lifting after the clip has lost the body (common practice)."""


class KeepsSeries(Protocol):
    """What the record, or a student's view of it, is asked for here."""

    def series(self, reading_id: int) -> MotionSeries | None: ...


def moving_tilts(series: MotionSeries, onset_s: float) -> Moved | None:
    """The board's tilts while the body moved; None where it was not seen to move.

    The clip loses a falling body before the hand stops: the range goes on at the last rate.
    """
    after = series.time_s >= onset_s
    moving = (series.lean_rad > VISIBLE_LEAN_RAD) | (np.abs(series.slip_m) > VISIBLE_SLIP_M)
    seen = np.flatnonzero(after & moving)
    if len(seen) == 0:
        return None
    tilts = series.tilt_rad[seen[0] :]
    last = float(np.nanmax(tilts)) + STOPS_AFTER_S * _rate(series, onset_s)
    return Moved(float(series.tilt_rad[seen[0]]), last)


def _rate(series: MotionSeries, onset_s: float) -> float:
    """How fast the board rose from half a second before the body went, rad/s; not below 0."""
    recent = series.time_s >= onset_s - 0.5
    if recent.sum() < 2:
        return 0.0
    return max(0.0, float(np.polyfit(series.time_s[recent], series.tilt_rad[recent], 1)[0]))


def moved_of(record: KeepsSeries, reading: Reading) -> Moved | None:
    """Likewise, of a reading in the record. Raises what ``record.series`` does."""
    series = None if reading.onset_s is None else record.series(reading.id)
    if series is None or reading.onset_s is None:
        return None
    return moving_tilts(series, reading.onset_s)
