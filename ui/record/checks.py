"""What may be written in each field; a message says what was wrong and what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from math import pi
from typing import Any

from solver.edge_balance import End
from solver.errors import InputError
from solver.quantities import a_length, an_angle
from solver.toppling import base_radius
from ui.inputs import start_tilt
from ui.record.schema import LONGEST_NAME

LONGEST_TEXT = 4000
LARGEST_REPEAT = 999
LONGEST_KEEPING_DAYS = 3650

Check = Callable[[Any], Any]


def checked(**fields: Any) -> dict[str, Any]:
    """The fields as they are kept. Raises `InputError` for one that is not possible."""
    return {
        name: CHECKS[name](value) if name in CHECKS else value for name, value in fields.items()
    }


def _line(what: str) -> Check:
    """A name on one line, blanks tidied."""

    def check(typed: str) -> str:
        line = " ".join(_text(what, LONGEST_NAME)(typed).split())
        if not line:
            raise InputError(f"The {what} is empty. Type one.")
        return line

    return check


def _text(what: str, longest: int = LONGEST_TEXT) -> Check:
    """Text that can be kept and shown: no stray control characters, and not too long."""

    def check(typed: str) -> str:
        text = "".join(letter if _can_be_kept(letter) else "\ufffd" for letter in typed).strip()
        if len(text) > longest:
            raise InputError(
                f"The {what} has {len(text)} characters; it may have {longest}. Shorten it."
            )
        return text

    return check


def _can_be_kept(letter: str) -> bool:
    return letter.isprintable() or letter in "\n\t"


def _count(what: str, least: int, most: int) -> Check:
    def check(number: int) -> int:
        if isinstance(number, bool) or number != int(number) or not least <= number <= most:
            raise InputError(
                f"The {what} is {number}; it must be a whole number, {least} to {most}."
            )
        return int(number)

    return check


def _length(what: str, most_m: float = 10.0, ends: str = "(]") -> Check:
    return lambda length_m: float(a_length(length_m, what, 0.0, most_m, ends))


def _angle(what: str, low: float, high: float, ends: str = "[]") -> Check:
    return lambda angle_rad: float(an_angle(angle_rad, what, low, high, ends))


def _day(day: date) -> date:
    if not date(1990, 1, 1) <= day <= date(2200, 1, 1):
        raise InputError(f"The lesson's day is {day}; type the year with four figures.")
    return day


def _end(end: str) -> str:
    if end not in list(End):
        raise InputError(f"The end over the edge is {end!r}; it must be base or top.")
    return str(end)


def _start(tilt_rad: float) -> float:
    start_tilt(tilt_rad)
    return float(tilt_rad)


def _unless_none(check: Check) -> Check:
    return lambda value: None if value is None else check(value)


CHECKS: Mapping[str, Check] = {
    "title": _line("lesson's title"),
    "day": _day,
    "keep_days": _unless_none(_count("keeping time in days", 0, LONGEST_KEEPING_DAYS)),
    "label": _line("group's label"),
    "name": _line("name"),
    "note": _text("note"),
    "source": _text("source"),
    "by": _text("label of who read it", LONGEST_NAME),
    "verdict": _text("verdict"),
    "slip": _unless_none(_text("slip")),
    "radius_m": _unless_none(lambda radius_m: float(base_radius(radius_m))),
    "radius_u_m": _length("uncertainty of the radius", ends="[]"),
    "length_m": _unless_none(_length("length of the body")),
    "repeat": _unless_none(_count("repeat number", 1, LARGEST_REPEAT)),
    "start_tilt_rad": _start,
    "overhang_m": _length("overhang"),
    "edge_radius_m": _length("radius of the table's edge", ends="[]"),
    "scale_u_m": _length("uncertainty of the rule's zero", ends="[]"),
    "height_m": _unless_none(_length("centre height")),
    "height_u_m": _length("uncertainty of the centre height", ends="[]"),
    "end": _end,
    "angle_rad": _unless_none(_angle("angle", 0.0, pi / 2, "(]")),
    "largest_tilt_rad": _unless_none(_angle("largest tilt", -pi / 2, pi / 2)),
    "protractor_rad": _angle("protractor reading", -2 * pi, 2 * pi),
    "reads_to_rad": _angle("step of the protractor", 0.0, pi / 2, "(]"),
}
