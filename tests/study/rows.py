"""The study's rows in a file, so that long runs lose nothing and can be tabled again."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, fields
from pathlib import Path

from tests.study.score import Score

KINDS = {"int": int, "str": str, "float": float}
"""Types of a row's columns."""


@contextmanager
def kept(path: Path | None) -> Iterator[Callable[[str, Score], None]]:
    """Something to call with each kind and score as it is done; writes nothing without a
    path."""
    if path is None:
        yield lambda kind, done: None
        return
    with path.open("w", newline="") as file:
        table = csv.DictWriter(file, ["kind", *(field.name for field in fields(Score))])
        table.writeheader()

        def keep(kind: str, done: Score) -> None:
            table.writerow({"kind": kind, **asdict(done)})
            file.flush()

        yield keep


def read_rows(path: Path) -> dict[str, list[Score]]:
    """Scores by kind, as they were kept."""
    rows: dict[str, list[Score]] = defaultdict(list)
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            values = {
                field.name: KINDS[str(field.type)](row[field.name]) for field in fields(Score)
            }
            rows[row["kind"]].append(Score(**values))
    return dict(rows)
