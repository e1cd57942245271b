"""Measuring: begin, stop, take up again, and a bar for each clip."""

from __future__ import annotations

from typing import Any

import streamlit as st

from solver.quantities import DEGREE, RATIO
from ui.classroom.assignments import clip_names
from ui.classroom.measuring import Stage, State, states, tasks, to_measure
from ui.classroom.queue import Queue
from ui.classroom.results import Measured, measured_clips
from ui.classroom.room import queue_of
from ui.record.record import Record
from ui.record.rows import LessonView
from ui.words import as_text, height_interval, interval
from vision.reading import Outcome

POLL_S = 0.7
ROW_PX, HEAD_PX = 35, 40
IN_HAND = (Stage.UNDER_WAY, Stage.QUEUED)


def measure_clips(record: Record, view: LessonView) -> None:
    """The buttons, and how far each clip is; it looks again by itself while there is work."""
    queue = queue_of(record)
    found = states(view, queue)
    waiting, busy = to_measure(found), any(state.stage in IN_HAND for state in found)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.button(
            _measure_label(found, len(waiting)),
            type="primary",
            disabled=not waiting,
            on_click=lambda: queue.add(tasks(record, view, waiting)),
        )
        st.button(
            "Stop",
            disabled=not busy,
            on_click=lambda: queue.stop([clip.id for clip in view.clips]),
            help="What is being measured is finished and kept; the rest waits.",
        )
    if not busy and not waiting and any(state.stage is Stage.NO_BODY for state in found):
        st.info("Next: give each clip its body in the table above; its rim's radius is needed.")
    elif all(state.stage is Stage.MEASURED for state in found):
        st.info(
            "All are measured. Next: open 'Results' above; the pages 'Check a reading' and "
            "'Hand-outs' have this lesson too."
        )
    watch = st.fragment(_watch, run_every=POLL_S if busy else None)
    watch(record, view.lesson.id, queue, busy)


def _measure_label(found: tuple[State, ...], waiting: int) -> str:
    clips = "1 clip" if waiting == 1 else f"{waiting} clips"
    begun = any(state.stage is Stage.MEASURED for state in found)
    if not waiting:
        return "Measure"
    return f"Measure the other {clips}" if begun else f"Measure {clips}"


def _watch(record: Record, lesson_id: int, queue: Queue, busy: bool) -> None:
    view = record.lesson_view(lesson_id)
    found = states(view, queue)
    if busy and not any(state.stage in IN_HAND for state in found):
        st.rerun()
    done = sum(state.stage is Stage.MEASURED for state in found)
    share = sum(state.share for state in found) / len(found)
    st.progress(share, text=f"{done} of {len(found)} measured")
    answers, names = {each.clip.id: each for each in measured_clips(view)}, clip_names(view)
    st.dataframe(
        [_row(view, state, names[state.clip.id], answers.get(state.clip.id)) for state in found],
        hide_index=True,
        width="stretch",
        height=HEAD_PX + ROW_PX * len(found),
        row_height=ROW_PX,
        column_config={
            "measured": st.column_config.ProgressColumn(
                "measured", min_value=0.0, max_value=1.0, format="percent", width="small"
            )
        },
    )
    for state in found:
        if state.note:
            st.warning(as_text(f"{names[state.clip.id]}: {state.note}"))


def _row(view: LessonView, state: State, name: str, measured: Measured | None) -> dict[str, Any]:
    group = view.group(state.clip.group_id)
    row: dict[str, Any] = {
        "clip": name,
        "group": group.label if group else "",
        "measured": state.share,
        "outcome": str(state.stage),
    }
    found = measured.answer if measured and state.reading else None
    row |= {"angle": "", "centre height": "", "friction": ""}
    if found is None:
        return row
    unread = found.reading.outcome is Outcome.UNREADABLE
    row["outcome"] = "could not be read" if unread else str(found.reading.outcome)
    if found.angle:
        row["angle"] = interval(found.angle, DEGREE)
    if found.height:
        row["centre height"] = height_interval(found.height)
    if found.friction:
        row["friction"] = interval(found.friction, RATIO)
    return row
