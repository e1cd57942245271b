"""A lesson's figures as files, out and in."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from ui.files import safe_stem
from ui.record.exporting import lesson_as_json, table_as_csv
from ui.record.importing import take_in
from ui.record.record import Record
from ui.record.rows import Lesson
from ui.record.saying import attempt
from ui.record.tables import TABLES
from ui.words import as_text


def show_export(record: Record, lesson: Lesson) -> None:
    """The lesson as JSON, each of its tables as CSV."""
    st.markdown(
        "Figures for a spreadsheet or another Brinkangle, units in the headings. Clips and "
        "pictures are not in them: for those, make a backup."
    )
    view, stem = record.lesson_view(lesson.id), safe_stem(lesson.title)
    st.download_button(
        "All of the lesson (JSON)",
        data=partial(lesson_as_json, view),
        file_name=f"{stem}.json",
        mime="application/json",
        on_click="ignore",
    )
    with st.container(horizontal=True):
        for table in TABLES:
            st.download_button(
                f"{table.capitalize()} (CSV)",
                data=partial(table_as_csv, view, table),
                file_name=f"{stem}-{table}.csv",
                mime="text/csv",
                on_click="ignore",
            )


def show_import(record: Record, lesson: Lesson | None) -> None:
    """A table into the lesson, or a lesson of its own."""
    st.markdown(
        "A table or a lesson as exported here. Units are read from the headings: mm, cm or m; deg "
        "or rad. If a line is wrong, nothing is taken in."
    )
    brought = st.file_uploader("Table (CSV) or lesson (JSON)", type=["csv", "json"])
    ways: dict[str, int | None] = {"Into a new lesson (JSON)": None}
    if lesson is not None:
        ways = {f"Into {lesson.title}": lesson.id, **ways}
    way = st.radio("Where", list(ways), format_func=as_text, key="import where")
    st.button(
        "Take it in",
        disabled=brought is None,
        on_click=attempt,
        args=(partial(_taken_in, record, brought, ways[way]),),
    )


def _taken_in(record: Record, brought: Any, lesson_id: int | None) -> str:
    lesson = take_in(record, brought.name, brought.getvalue(), lesson_id)
    return f"{brought.name} was taken into {lesson.title}."
