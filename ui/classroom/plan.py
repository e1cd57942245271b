"""The plan: a CSV table that gives each clip its group, body, surface and repeat.

The first line names the columns; ``clip`` must be there, the rest may be left out
or left empty, and is then guessed from the clip's name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TypeVar

from uncertainties import nominal_value, std_dev

from solver.errors import InputError
from solver.quantities import DEGREE, MILLIMETRE, Quantity
from ui.classroom.names import LARGEST_REPEAT, same_name, tidy_label
from ui.classroom.plan_table import Cells, PlanError, table_of
from ui.inputs import RADIUS_U_M, Rim, rim_radius, start_tilt
from ui.words import unit_doubt

MOST_TOLD = 12
"""Problems told at once."""

T = TypeVar("T")


@dataclass(frozen=True)
class PlanRow:
    """One clip's line; None where the plan does not say."""

    line: int
    """In the file, counted from 1."""
    clip: str
    group: str | None
    body: str | None
    surface: str | None
    repeat: int | None
    radius_m: Quantity | None
    """Of the body's rim, with its standard uncertainty."""
    start_tilt_rad: float | None


@dataclass(frozen=True)
class Plan:
    """A plan that can be followed."""

    rows: tuple[PlanRow, ...]
    doubts: tuple[str, ...]
    """Plain sentences on what may be a slip, such as a radius in cm."""

    def unplanned(self, clips: Sequence[str]) -> tuple[str, ...]:
        """The clips the plan does not name."""
        named = {row.clip for row in self.rows}
        return tuple(clip for clip in clips if clip not in named)


def read_plan(content: bytes, name: str, clips: Sequence[str]) -> Plan:
    """The plan in a file called ``name``, for clips of these names.

    Raises `PlanError` with every line that is wrong: clips that are not there or
    are given twice, unknown columns, numbers that are none, a body with two radii.
    """
    table = list(table_of(content, name))
    problems: list[str] = []
    rows: list[PlanRow] = []
    for line, cells in table:
        try:
            rows.append(_row(line, cells, clips))
        except InputError as error:
            problems.append(f"line {line}: {error}")
    problems += _clashes(rows)
    if problems:
        raise PlanError(_told(name, problems))
    doubts = [
        f"{name}, line {row.line}: {doubt}"
        for row in rows
        if row.radius_m is not None and (doubt := unit_doubt(row.radius_m))
    ]
    return Plan(tuple(rows), tuple(doubts))


def _told(name: str, problems: Sequence[str]) -> str:
    first = [f"{name}, {problem}" for problem in problems[:MOST_TOLD]]
    if len(problems) > MOST_TOLD:
        first.append(f"… and {len(problems) - MOST_TOLD} more lines of {name} like these.")
    return "\n".join(first)


def _row(line: int, cells: Cells, clips: Sequence[str]) -> PlanRow:
    given = {column: " ".join(cell.split()) for column, cell in cells.items()}
    clip = cells.get("clip", "")
    _check_clip(clip, clips)
    return PlanRow(
        line=line,
        clip=clip,
        group=tidy_label(given.get("group", "")) or None,
        body=given.get("body") or None,
        surface=given.get("surface") or None,
        repeat=_if_given(given.get("repeat"), _repeat),
        radius_m=_radius(given),
        start_tilt_rad=_if_given(given.get("start_tilt_deg"), _start),
    )


def _check_clip(clip: str, clips: Sequence[str]) -> None:
    if not clip:
        raise PlanError("no clip is named. Give its file name, or delete the line.")
    if clip not in clips:
        near = get_close_matches(clip, clips, 1)
        hint = f"Is it '{near[0]}'?" if near else "Put it there, or delete the line."
        raise PlanError(f"there is no clip '{clip}'. {hint}")


def _radius(given: Cells) -> Quantity | None:
    radius, spread = given.get("radius_mm"), given.get("radius_u_mm")
    if not radius:
        if spread:
            raise PlanError("there is a radius_u_mm, but no radius_mm. Give both, or neither.")
        return None
    mm = MILLIMETRE.in_si
    u_m = RADIUS_U_M if not spread else _number(spread, "radius_u_mm") * mm
    return rim_radius(Rim.RADIUS, _number(radius, "radius_mm") * mm, u_m)


def _start(typed: str) -> float:
    tilt_rad = _number(typed, "start_tilt_deg") * DEGREE.in_si
    start_tilt(tilt_rad)
    return tilt_rad


def _repeat(typed: str) -> int:
    if typed.isdecimal() and 1 <= int(typed) <= LARGEST_REPEAT:
        return int(typed)
    raise PlanError(f"repeat is '{typed}'; give a whole number from 1 to {LARGEST_REPEAT}.")


def _number(typed: str, column: str) -> float:
    plain = typed.replace(",", ".") if "." not in typed else typed
    try:
        number = float(plain)
    except ValueError:
        number = math.nan
    if math.isfinite(number):
        return number
    unit = column.rpartition("_")[2]
    raise PlanError(f"{column} is '{typed}'; give a plain number in {unit}.")


def _if_given(typed: str | None, read: Callable[[str], T]) -> T | None:
    return read(typed) if typed else None


def _clashes(rows: Sequence[PlanRow]) -> list[str]:
    """Lines that contradict an earlier one."""
    problems: list[str] = []
    first: dict[str, PlanRow] = {}
    radii: list[PlanRow] = []
    for row in rows:
        if row.clip in first:
            problems.append(f"line {row.line}: " + _twice(first[row.clip], row))
        first.setdefault(row.clip, row)
        if row.body is None or row.radius_m is None:
            continue
        other = next((each for each in radii if same_name(each.body or "", row.body)), None)
        if other is None:
            radii.append(row)
        elif not _same_radius(other.radius_m, row.radius_m):
            problems.append(
                f"line {row.line}: '{row.body}' has another radius than on line {other.line}. Give "
                "one radius, or name two bodies."
            )
    return problems


def _same_radius(first: Quantity | None, second: Quantity) -> bool:
    return first is not None and (nominal_value(first), std_dev(first)) == (
        nominal_value(second),
        std_dev(second),
    )


def _twice(first: PlanRow, again: PlanRow) -> str:
    if first.group != again.group:
        return (
            f"'{again.clip}' is given to {again.group or 'no group'}, but line {first.line} gives "
            f"it to {first.group or 'no group'}. A clip has one group: keep one of the lines."
        )
    return f"'{again.clip}' is on line {first.line} already. Keep one of the lines."
