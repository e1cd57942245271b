"""The axis of a dot plot: round ticks, and where values lie on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Any

from solver.propagation import Span

MOST_TICKS = 7
ROOM = 0.06
"""Beside the outermost ends, as a part of what they span."""


@dataclass(frozen=True)
class Axis:
    """From ``low`` to ``high`` with ticks at whole multiples of ``step``."""

    low: float
    high: float
    step: float

    @classmethod
    def round(cls, ends: Sequence[float]) -> Axis:
        """Round so many values, none of which need differ."""
        low, high = min(ends), max(ends)
        room = ROOM * (high - low) or 0.05 * abs(high) or 1.0
        low, high = low - room, high + room
        return cls(low, high, _step((high - low) / MOST_TICKS))

    def place(self, value: float) -> float:
        """Where a value lies, from 0 at the left end to 1 at the right."""
        return (value - self.low) / (self.high - self.low)

    def span(self, interval: Span) -> list[float]:
        """Where both ends of an interval lie."""
        return [self.place(end) for end in interval]

    def ticks(self) -> list[dict[str, Any]]:
        """Each tick's place and number."""
        first, last = ceil(self.low / self.step), floor(self.high / self.step)
        decimals = max(0, -floor(log10(self.step) + 1e-9))
        values = [n * self.step for n in range(first, last + 1)]
        return [{"at": self.place(v), "text": f"{v:.{decimals}f}"} for v in values]


def _step(least: float) -> float:
    """The next of 1, 2, 5, 10, … times a power of ten."""
    power = 10.0 ** floor(log10(least))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= least * (1 - 1e-9))
