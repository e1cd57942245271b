from dataclasses import replace
from math import isnan
from pathlib import Path

from tests.study.rows import kept, read_rows
from tests.study.test_table import ROW


def test_rows_come_back_as_they_were(tmp_path: Path) -> None:
    unread = replace(ROW, number=1, outcome="unreadable", error=float("nan"))
    with kept(tmp_path / "rows.csv") as keep:
        keep("geometry", ROW)
        keep("drawn", unread)
    rows = read_rows(tmp_path / "rows.csv")
    assert rows["geometry"] == [replace(ROW, line_error=rows["geometry"][0].line_error)]
    assert isnan(rows["geometry"][0].line_error)
    assert isnan(rows["drawn"][0].error) and not rows["drawn"][0].was_read


def test_a_row_is_in_the_file_as_soon_as_it_is_done(tmp_path: Path) -> None:
    path = tmp_path / "rows.csv"
    with kept(path) as keep:
        keep("geometry", ROW)
        assert read_rows(path)["geometry"][0].number == ROW.number


def test_without_a_file_nothing_is_kept() -> None:
    with kept(None) as keep:
        keep("geometry", ROW)
