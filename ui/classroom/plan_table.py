"""The plan's file as cells under their headings.

Commas, semicolons or tabs stand between the cells, and decimals may have a comma where
cells do not.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence

from solver.errors import InputError

COLUMNS = (
    "clip", "group", "body", "surface", "repeat", "radius_mm", "radius_u_mm", "start_tilt_deg",
)  # fmt: skip
DELIMITERS = ",;\t"
Cells = Mapping[str, str]


class PlanError(InputError):
    """A plan that cannot be followed; the message names each line and what to do."""


def table_of(content: bytes, name: str) -> Iterator[tuple[int, Cells]]:
    """Each line's number and its cells by column. Raises `PlanError`."""
    text = _text(content, name)
    heading = next((line for line in text.splitlines() if line.strip()), "")
    reader = csv.reader(io.StringIO(text), delimiter=max(DELIMITERS, key=heading.count))
    columns: list[str] | None = None
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if columns is None:
                columns = _columns(cells, name, reader.line_num)
                continue
            if any(cell.strip() for cell in cells[len(columns) :]):
                raise PlanError(
                    f"{name}, line {reader.line_num}: there are more cells than headings. Put a "
                    "cell with a comma in it between double quotes."
                )
            yield reader.line_num, dict(zip(columns, map(str.strip, cells), strict=False))
    except csv.Error as error:
        raise PlanError(
            f"{name}, line {reader.line_num}: this is no table of cells ({error}). Save the plan "
            "as CSV."
        ) from error
    if columns is None:
        raise PlanError(f"{name} is empty. Begin with a line of headings: {', '.join(COLUMNS)}.")


def _text(content: bytes, name: str) -> str:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise PlanError(f"{name} is not a text file. Save the plan as CSV (UTF-8).")


def _columns(cells: Sequence[str], name: str, line: int) -> list[str]:
    columns = ["_".join(cell.casefold().split()) for cell in cells]
    while columns and not columns[-1]:
        columns.pop()
    where = f"{name}, line {line}: "
    for typed, column in zip(cells, columns, strict=False):
        if column not in COLUMNS:
            raise PlanError(where + _unknown_column(typed.strip(), column))
        if columns.count(column) > 1:
            raise PlanError(f"{where}the column '{column}' is there twice. Keep one.")
    if "clip" not in columns:
        raise PlanError(f"{where}there is no column 'clip'. {_ALL_COLUMNS}")
    return columns


_ALL_COLUMNS = f"The columns are: {', '.join(COLUMNS)}."


def _unknown_column(typed: str, column: str) -> str:
    for known in COLUMNS:
        quantity, _, unit = known.rpartition("_")
        if quantity and column.startswith(quantity):
            return (
                f"'{typed}' is not a column, or not in a unit that is known here: give the numbers "
                f"in {unit} under '{known}'."
            )
    return f"'{typed}' is not a column. {_ALL_COLUMNS}"
