"""A lesson's figures as JSON or CSV, with the units in the headings.

Clips, their frames and the motion frame by frame stay behind: they go into a backup.
"""

from __future__ import annotations

import json

from ui.record.cells import write_csv
from ui.record.rows import LessonView
from ui.record.tables import LESSON, TABLES, lesson_values, table_lines

FORMAT_KEY, FORMAT = "brinkangle_lesson", 1


def lesson_as_json(view: LessonView) -> bytes:
    """The whole lesson as one object, UTF-8."""
    lesson = lesson_values(view)
    whole = {
        FORMAT_KEY: FORMAT,
        "lesson": {column.heading: column.as_json(lesson[column.name]) for column in LESSON},
        **{
            table: [
                {column.heading: column.as_json(line.get(column.name)) for column in columns}
                for line in table_lines(view, table)
            ]
            for table, columns in TABLES.items()
        },
    }
    return (json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def table_as_csv(view: LessonView, table: str) -> bytes:
    """One table of `TABLES` as CSV; no cell becomes a formula."""
    columns = TABLES[table]
    return write_csv(
        [column.heading for column in columns],
        (
            [column.as_cell(line.get(column.name)) for column in columns]
            for line in table_lines(view, table)
        ),
    )
