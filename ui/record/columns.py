"""The columns of exported tables: their headings with units, and what a cell may hold."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import isfinite
from typing import Any

from solver.edge_balance import End
from solver.errors import InputError
from solver.quantities import DEGREE, MILLIMETRE
from ui.record.cells import guarded
from vision.reading import Outcome, Story

UNITS: Mapping[str, Mapping[str, float]] = {
    "length": {"mm": MILLIMETRE.in_si, "cm": 0.01, "m": 1.0},
    "angle": {"deg": DEGREE.in_si, "rad": 1.0},
    "time": {"s": 1.0, "ms": 1e-3},
    "rate": {"hz": 1.0},
}
"""Units that are read, by what they measure; the first is the one that is written."""
BETWEEN_PARTS = "; "
IN_PARTS = ("parts", "stories")
"""Kinds of columns that hold names, each with a number."""
LARGEST_COUNT = 10**9
FLAGS = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


@dataclass(frozen=True)
class Column:
    """One column."""

    name: str
    """Without its unit."""
    kind: str = "text"
    """``text``, ``lines``, ``parts``, ``stories``, ``count``, ``flag``, ``day``, ``moment``,
    ``number``, ``outcome`` or ``end``."""
    measures: str | None = None
    """A key of `UNITS` for numbers that have one."""
    needed: bool = False

    @property
    def unit(self) -> str | None:
        """The unit that is written."""
        return next(iter(UNITS[self.measures])) if self.measures else None

    @property
    def heading(self) -> str:
        """As it is written: ``radius_mm``."""
        return f"{self.name}_{self.unit}" if self.unit else self.name

    @property
    def units(self) -> Mapping[str, float]:
        """Of each heading that is read, what one of its unit is in SI."""
        if self.measures is None:
            return {self.name: 1.0}
        return {f"{self.name}_{unit}": si for unit, si in UNITS[self.measures].items()}

    def as_json(self, value: Any) -> Any:
        """An SI value as JSON has it, in the unit that is written."""
        if value is None:
            return None
        if self.kind in IN_PARTS:
            return [[str(name), number / self.units[self.heading]] for name, number in value]
        if self.kind == "lines":
            return list(value)
        if self.kind in ("moment", "day"):
            return value.isoformat()
        if self.measures:
            return value / self.units[self.heading]
        return str(value) if self.kind in ("outcome", "end") else value

    def as_cell(self, value: Any) -> str:
        """An SI value as a cell of CSV has it."""
        shown = self.as_json(value)
        if shown is None:
            return ""
        if self.kind in IN_PARTS:
            return guarded(BETWEEN_PARTS.join(f"{name} {number!r}" for name, number in shown))
        if self.kind == "lines":
            return guarded("\n".join(shown))
        if self.kind == "flag":
            return "yes" if shown else "no"
        return guarded(shown) if isinstance(shown, str) else repr(shown)

    def read(self, found: object, in_si: float) -> Any:
        """What a cell or a JSON value says, SI. Raises `InputError` saying what may stand there."""
        try:
            return _READERS[self.kind](found, in_si)
        except (ValueError, TypeError, OverflowError) as error:
            shown = json.dumps(found, ensure_ascii=False, default=str)[:60]
            raise InputError(
                f"{self.heading} is {shown}; it must be {_MAY_BE[self.kind]}."
            ) from error


def _number(value: Any, in_si: float) -> float:
    if isinstance(value, bool):
        raise TypeError("a flag is no number")
    number = float(value.replace("−", "-") if isinstance(value, str) else value)
    if not isfinite(number):
        raise ValueError("not finite")
    return number * in_si


def _count(value: Any, _: float) -> int:
    number = _number(value, 1.0)
    if number != int(number) or not 0 <= number <= LARGEST_COUNT:
        raise ValueError("not whole")
    return int(number)


def _flag(value: Any, _: float) -> bool:
    word = str(value).strip().lower()
    if word not in FLAGS:
        raise ValueError("no flag")
    return FLAGS[word]


def _text(value: Any, _: float) -> str:
    if not isinstance(value, str):
        raise TypeError("not text")
    return value


def _parts(value: Any, in_si: float) -> list[tuple[str, float]]:
    if isinstance(value, str):
        value = [part.strip().rsplit(" ", 1) for part in value.split(";") if part.strip()]
    parts = [(_text(name, 1.0), _number(number, in_si)) for name, number in value]
    if any(number < 0 for _, number in parts):
        raise ValueError("a number is below 0")
    return parts


def _stories(value: Any, in_si: float) -> list[tuple[str, float]]:
    """The best first, whatever their order was."""
    parts = _parts(value, in_si)
    stories = [(str(Story(name.strip().lower())), behind) for name, behind in parts]
    stories.sort(key=lambda story: story[1])
    if len(dict(stories)) < len(stories):
        raise ValueError("a story is there twice")
    if stories and stories[0][1] > 0:
        raise ValueError("no story is the best")
    return stories


def _lines(value: Any, _: float) -> list[str]:
    if isinstance(value, str):
        return [line for line in value.splitlines() if line.strip()]
    return [_text(line, 1.0) for line in value]


def _moment(value: Any, _: float) -> datetime:
    moment = datetime.fromisoformat(_text(value, 1.0).strip())
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def _one_of(names: type[Outcome] | type[End]) -> Callable[[Any, float], str]:
    return lambda value, _: str(names(str(value).strip().lower()))


_READERS: Mapping[str, Callable[[Any, float], Any]] = {
    "text": _text,
    "lines": _lines,
    "parts": _parts,
    "stories": _stories,
    "count": _count,
    "flag": _flag,
    "day": lambda value, _: date.fromisoformat(_text(value, 1.0).strip()),
    "moment": _moment,
    "number": _number,
    "outcome": _one_of(Outcome),
    "end": _one_of(End),
}
_MAY_BE = {
    "text": "text",
    "lines": "lines of text",
    "parts": "names, each with its uncertainty, as 'brink 0.1; start tilt 0.1'",
    "stories": "some of " + ", ".join(Story) + "; each once, with how far it is behind the best, "
    "as 'topples 0; stays 231.4'",
    "count": "a whole number, 0 or more",
    "flag": "yes or no",
    "day": "a day like 2026-11-25",
    "moment": "a time like 2026-11-25T10:30:00+00:00",
    "number": "a number",
    "outcome": "one of " + ", ".join(Outcome),
    "end": "base or top",
}
