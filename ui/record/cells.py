"""Cells of tables that people open in spreadsheets: text stays text, numbers stay numbers."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ui.record.errors import ImportRefusedError

DANGEROUS = "=+-@\t\r\n＝＋－＠"
"""What a spreadsheet may take for the beginning of a formula, also in full width."""
GUARD = "'"
DELIMITERS = ",;\t"
MOST_BYTES = 20 * 1024**2

_DECIMAL_COMMA = re.compile(r"\s*[-+−]?\d*,\d+(?:[eE][-+]?\d+)?\s*")


@dataclass(frozen=True)
class Line:
    """One line of a table."""

    where: str
    """As messages call it: 'Line 3'."""
    cells: dict[str, object]
    """By heading; those left empty are not in it."""


def guarded(text: str) -> str:
    """Text that no spreadsheet computes; `unguarded` gives it back."""
    return GUARD + text if text[:1] and text[0] in DANGEROUS + GUARD else text


def unguarded(cell: str) -> str:
    """The text of a cell, whether it was guarded or typed."""
    is_guarded = len(cell) > 1 and cell[0] == GUARD and cell[1] in DANGEROUS + GUARD
    return cell[1:] if is_guarded else cell


def write_csv(headings: Sequence[str], lines: Iterable[Sequence[str]]) -> bytes:
    """A table as CSV, UTF-8 with the mark by which spreadsheets know it."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(headings)
    table.writerows(lines)
    return text.getvalue().encode("utf-8-sig")


def read_csv(content: bytes) -> tuple[list[str], list[Line]]:
    """Headings and lines; commas, semicolons or tabs stand between cells.

    Raises `ImportRefusedError` where it is no table.
    """
    text = as_text(content)
    heading = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(DELIMITERS, key=heading.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    headings: list[str] = []
    lines = []
    end = 0
    try:
        for cells in rows:
            begin, end = end + 1, rows.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if not headings:
                headings = _headings(cells)
            else:
                lines.append(_line(f"Line {begin}", headings, cells, delimiter))
    except csv.Error as error:
        raise ImportRefusedError((f"Line {rows.line_num} is no line of a table ({error}).",)) from (
            error
        )
    if not headings:
        raise ImportRefusedError(("The table is empty. Its first line must name the columns.",))
    return headings, lines


def as_text(content: bytes) -> str:
    """Content as text. Raises `ImportRefusedError` where it is none, or too much."""
    if len(content) > MOST_BYTES:
        raise ImportRefusedError(
            (f"The file has {len(content) / 1e6:.0f} MB; a table has at most 20 MB.",)
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ImportRefusedError(
            (f"The file is not text in UTF-8 (byte {error.start}). Save it as CSV UTF-8.",)
        ) from error


def _headings(cells: Sequence[str]) -> list[str]:
    headings = [cell.strip().lower() for cell in cells]
    while headings and not headings[-1]:
        headings.pop()
    twice = {heading for heading in headings if headings.count(heading) > 1}
    if twice:
        raise ImportRefusedError(
            (f"Two columns are headed {sorted(twice)[0]!r}. Leave one of them.",)
        )
    return headings


def _line(where: str, headings: Sequence[str], cells: Sequence[str], delimiter: str) -> Line:
    if any(cell.strip() for cell in cells[len(headings) :]):
        raise ImportRefusedError((f"{where} has more cells than there are headings.",))
    found: dict[str, object] = {}
    for heading, cell in zip(headings, cells, strict=False):
        if cell.strip():
            decimal = delimiter != "," and _DECIMAL_COMMA.fullmatch(cell)
            found[heading] = cell.replace(",", ".") if decimal else unguarded(cell)
    return Line(where, found)
