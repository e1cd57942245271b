"""Tables that come in: recognised by their headings, and read line by line."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from solver.errors import InputError
from ui.record.cells import Line, as_text, read_csv
from ui.record.columns import UNITS, Column
from ui.record.errors import ImportRefusedError
from ui.record.exporting import FORMAT, FORMAT_KEY
from ui.record.tables import LESSON, TABLES, Values

MOST_TOLD = 12
"""Problems told at once."""

Row = tuple[str, Values]
"""Where a line is, and its SI values by column name."""


@dataclass(frozen=True)
class Incoming:
    """What a file says, SI."""

    lesson: Values | None = None
    tables: Mapping[str, Sequence[Row]] = field(default_factory=dict)


def read_file(name: str, content: bytes) -> Incoming:
    """A JSON file of a lesson, or a CSV file of one table.

    Raises `ImportRefusedError` with each line that is wrong.
    """
    if name.lower().endswith(".json"):
        return _from_json(content)
    headings, lines = read_csv(content)
    table = _recognised(headings)
    problems: list[str] = []
    rows = _rows(TABLES[table], headings, lines, problems)
    refuse(problems)
    return Incoming(tables={table: rows})


def refuse(problems: Sequence[str]) -> None:
    """Raise `ImportRefusedError` where there are any."""
    if len(problems) > MOST_TOLD:
        more = len(problems) - MOST_TOLD
        raise ImportRefusedError((*problems[:MOST_TOLD], f"And {more} more lines like these."))
    if problems:
        raise ImportRefusedError(tuple(problems))


def _from_json(content: bytes) -> Incoming:
    try:
        whole = json.loads(as_text(content), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise ImportRefusedError((f"The file is no JSON: {error}.",)) from error
    if not isinstance(whole, dict) or whole.get(FORMAT_KEY) != FORMAT:
        raise ImportRefusedError(
            (f"The file is no lesson that Brinkangle exported: it lacks {FORMAT_KEY}: {FORMAT}.",)
        )
    problems: list[str] = []
    lesson = _rows(LESSON, None, _lines("lesson", [whole.get("lesson")], problems), problems)
    tables = {
        table: _rows(columns, None, _lines(table, whole.get(table, []), problems), problems)
        for table, columns in TABLES.items()
    }
    refuse(problems)
    return Incoming(lesson[0][1] if lesson else None, tables)


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _lines(table: str, entries: Any, problems: list[str]) -> list[Line]:
    if not isinstance(entries, list) or not all(isinstance(each, dict) for each in entries):
        problems.append(f"{table}: there must be a list of objects.")
        return []
    return [
        Line(
            f"{table}, entry {number}",
            {str(key): value for key, value in each.items() if value is not None},
        )
        for number, each in enumerate(entries, 1)
    ]


def _recognised(headings: Sequence[str]) -> str:
    """The table most of whose columns are there."""

    def share(table: str) -> tuple[bool, int]:
        known = {heading for column in TABLES[table] for heading in column.units}
        needed = [column for column in TABLES[table] if column.needed]
        has_all = all(any(_is_of(heading, column) for heading in headings) for column in needed)
        return has_all, len(known & set(headings))

    best = max(TABLES, key=share)
    if share(best)[1] == 0:
        first = "; ".join(
            f"{table}: {', '.join(column.heading for column in columns if column.needed)}"
            for table, columns in TABLES.items()
        )
        raise ImportRefusedError((f"No column is one of ours. At least needed are, for {first}.",))
    return best


def _is_of(heading: str, column: Column) -> bool:
    return heading in column.units or heading == column.name


def _rows(
    columns: Sequence[Column],
    headings: Sequence[str] | None,
    lines: Iterable[Line],
    problems: list[str],
) -> list[Row]:
    """The lines, SI; what is wrong is added to the problems. JSON has headings in each entry."""
    if headings is not None and (wrong := _wrong_headings(columns, headings)):
        problems += wrong
        return []
    rows = []
    for line in lines:
        own = list(line.cells)
        if headings is None and (wrong := _wrong_headings(columns, own)):
            problems += [f"{line.where}: {problem}" for problem in wrong]
            continue
        try:
            rows.append((line.where, _values(columns, line.cells)))
        except InputError as error:
            problems.append(f"{line.where}: {error}")
    return rows


def _wrong_headings(columns: Sequence[Column], headings: Sequence[str]) -> list[str]:
    wrong = []
    known = {heading: column for column in columns for heading in column.units}
    there: list[str] = [known[heading].name for heading in headings if heading in known]
    for heading in headings:
        if heading not in known:
            wrong.append(_unknown(heading, columns))
    for column in columns:
        if there.count(column.name) > 1:
            wrong.append(f"{column.name} is there in two units. Leave one of them.")
        near = any(heading.startswith(column.name) for heading in headings if heading not in known)
        if column.needed and column.name not in there and not near:
            wrong.append(f"The column {column.heading} is missing.")
    return wrong


def _unknown(heading: str, columns: Sequence[Column]) -> str:
    """What is wrong with a heading: its unit, that it has none, or all of it."""
    for column in sorted(columns, key=lambda column: -len(column.name)):
        if column.measures is None:
            continue
        units = ", ".join(UNITS[column.measures])
        if heading == column.name:
            return f"The column {heading} has no unit. Head it like {column.heading} ({units})."
        if heading.startswith(f"{column.name}_"):
            unit = heading.removeprefix(f"{column.name}_")
            return f"The unit {unit!r} of the column {heading} is not known; use {units}."
    names = ", ".join(column.heading for column in columns)
    return f"The column {heading!r} is not known. There may be: {names}."


def _values(columns: Sequence[Column], cells: Mapping[str, object]) -> Values:
    values = {}
    for column in columns:
        for heading, in_si in column.units.items():
            if heading in cells:
                values[column.name] = column.read(cells[heading], in_si)
        if column.needed and column.name not in values:
            raise InputError(f"{column.heading} is empty.")
    return values
