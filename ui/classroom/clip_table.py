"""The table in which each clip is given its group, body, surface and repeat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from solver.errors import BrinkangleError, InputError
from solver.quantities import MILLIMETRE
from ui.classroom.arrivals import unknown_bodies
from ui.classroom.assignments import (
    BODY,
    CLIP,
    COLUMNS,
    GROUP,
    REPEAT,
    START,
    SURFACE,
    Line,
    doubts,
    edited,
    give,
    lines_of,
)
from ui.classroom.names import LARGEST_REPEAT
from ui.classroom.room import attempt, tell
from ui.inputs import RADIUS_U_M
from ui.record.record import Record
from ui.record.rows import Clip, LessonView
from ui.words import as_text

SHOWN, ROUND = "class table", "class table round"
ROW_PX, HEAD_PX = 35, 40


def assign_clips(record: Record, view: LessonView) -> None:
    """The table, what it leaves open, and what in it may be a slip."""
    lines = lines_of(view)
    key = _key(view.lesson.id, lines)
    shown: tuple[Line, ...] = st.session_state[SHOWN][1]
    st.data_editor(
        {column: [line.cells[i] for line in shown] for i, column in enumerate(COLUMNS)},
        key=key,
        hide_index=True,
        num_rows="fixed",
        width="stretch",
        height=HEAD_PX + ROW_PX * len(shown),
        row_height=ROW_PX,
        placeholder="",
        column_config=_columns(record),
        disabled=[CLIP],
        on_change=_keep,
        args=(record, key),
    )
    for doubt in doubts(view):
        st.warning(as_text(doubt))
    _ask_unknown(record, view)


def _key(lesson_id: int, lines: tuple[Line, ...]) -> str:
    """The table's key. It is drawn anew only where the record says other than the page does:
    otherwise what is being typed would be lost.
    """
    of, shown = st.session_state.get(SHOWN, (None, ()))
    number = st.session_state.get(ROUND, 0)
    key = f"clips of lesson {lesson_id}, {number}"
    if of != lesson_id or edited(shown, _edits(key)) != lines:
        number += 1
        st.session_state[ROUND], st.session_state[SHOWN] = number, (lesson_id, lines)
    return f"clips of lesson {lesson_id}, {number}"


def _edits(key: str) -> Mapping[int, Mapping[str, Any]]:
    state = st.session_state.get(key)
    edits: Mapping[int, Mapping[str, Any]] = state["edited_rows"] if state else {}
    return edits


def _columns(record: Record) -> dict[str, Any]:
    config = st.column_config
    return {
        CLIP: config.TextColumn("clip", width="medium"),
        GROUP: config.TextColumn("group", max_chars=60, help="Such as Table 4; a new label makes "
                                 "a new group. Not the names of pupils."),
        BODY: config.SelectboxColumn("body", options=[b.name for b in record.bodies()]),
        SURFACE: config.SelectboxColumn("surface", options=[s.name for s in record.surfaces()]),
        REPEAT: config.NumberColumn("repeat", min_value=1, max_value=LARGEST_REPEAT, step=1,
                                    format="%d", width="small"),
        START: config.NumberColumn(START, format="%.1f", width="small", help="0 when the board "
                                   "lies on a level table in the first moments."),
    }  # fmt: skip


def _keep(record: Record, key: str) -> None:
    """Keep each cell that was typed since the table was drawn, at once."""
    _, shown = st.session_state[SHOWN]
    kept: dict[int, dict[str, Any]] = st.session_state.setdefault(f"{key} kept", {})
    for i, cells in _edits(key).items():
        new = {column: cell for column, cell in cells.items() if _is_new(kept.get(i), column, cell)}
        try:
            give(record, record.clip(shown[i].clip_id), new)
        except BrinkangleError as error:
            tell(str(error), wrong=True)
        kept[i] = dict(cells)


def _is_new(kept: Mapping[str, Any] | None, column: str, cell: Any) -> bool:
    return kept is None or column not in kept or kept[column] != cell


def _ask_unknown(record: Record, view: LessonView) -> None:
    """Ask the radius of each body that names speak of and the record does not have."""
    for words, clips in unknown_bodies(record, view).items():
        key = f"unknown {view.lesson.id} {words}"
        several = "1 clip speaks" if len(clips) == 1 else f"{len(clips)} clips speak"
        with st.form(key, border=True):
            st.markdown(f"{several} of **{as_text(words)}**, which is not in the record.")
            with st.container(horizontal=True, vertical_alignment="bottom"):
                st.text_input("Its name", words.capitalize(), max_chars=60, key=f"{key} name")
                st.number_input(
                    "Radius of its rim / mm", value=None, step=0.5, format="%.2f", key=f"{key} r"
                )
                st.number_input(
                    "± u / mm", value=RADIUS_U_M / MILLIMETRE.in_si, step=0.1, format="%.2f",
                    key=f"{key} u",
                )  # fmt: skip
                st.form_submit_button(
                    "Add it, and give it to them", on_click=_add_body, args=(record, clips, key)
                )


def _add_body(record: Record, clips: Sequence[Clip], key: str) -> None:
    name, radius, u = (st.session_state[f"{key} {field}"] for field in ("name", "r", "u"))

    def add() -> None:
        if radius is None:
            raise InputError(f"Give the radius of the {name}: of the rim that touches the board.")
        body = record.add_body(name, radius * MILLIMETRE.in_si, u * MILLIMETRE.in_si)
        record.change_all([(clip, {"body_id": body.id}) for clip in clips])

    attempt(add)
