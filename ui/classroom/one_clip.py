"""One clip of a lesson: why it was read so, and what can be done with it."""

from __future__ import annotations

from functools import partial

import streamlit as st

from ui.classroom.assignments import clip_names, forget_readings
from ui.classroom.measuring import Stage, State, states, tasks
from ui.classroom.queue import Queue
from ui.classroom.results import measured_clips
from ui.classroom.room import attempt, queue_of
from ui.record.record import Record
from ui.record.rows import Clip, LessonView, Reading
from ui.showing import PICTURE_LEGEND
from ui.words import as_text, headline

MEASURE_AGAIN = (Stage.MEASURED, Stage.WAITING, Stage.NOT_KEPT)


def look_at_one(record: Record, view: LessonView) -> None:
    """A clip's pictures and reasons; measure it again, delete its file, remove it."""
    queue = queue_of(record)
    found = {state.clip.id: state for state in states(view, queue)}
    names = clip_names(view)
    chosen = st.selectbox("Clip", list(found), format_func=names.__getitem__, key="one clip")
    state = found[chosen]
    if state.reading is not None:
        _show(record, view, state.clip, state.reading)
    else:
        st.markdown(f"It is {state.stage}. {as_text(state.note)}")
    with st.container(horizontal=True):
        st.button(
            "Measure it again",
            disabled=state.stage not in MEASURE_AGAIN or state.clip.stored is None,
            on_click=_again,
            args=(record, view, state.clip, queue),
        )
        st.button(
            "Delete its file, keep its figures",
            disabled=state.clip.stored is None,
            on_click=_delete_file,
            args=(record, state, queue),
        )
        st.button("Remove it with its figures", on_click=_remove, args=(record, state, queue))
    st.caption("A deleted file is gone for good. Figures that were removed can be brought back.")


def _show(record: Record, view: LessonView, clip: Clip, reading: Reading) -> None:
    answers = {each.clip.id: each.answer for each in measured_clips(view)}
    if (found := answers.get(clip.id)) is not None:
        st.markdown(f"**{as_text(headline(found))}**")
        for reason in found.reasons:
            st.markdown(as_text(reason))
    pictures = record.pictures(reading.id)
    if not pictures:
        return
    for column, picture in zip(st.columns(len(pictures)), pictures, strict=True):
        caption = f"{picture.moment.capitalize()}: {picture.time_s:.2f} s, frame {picture.frame}"
        column.image(picture.png, caption=caption)
    st.html(PICTURE_LEGEND)


def _again(record: Record, view: LessonView, clip: Clip, queue: Queue) -> None:
    if attempt(partial(forget_readings, record, clip.id)):
        queue.add(tasks(record, view, [clip]))


def _delete_file(record: Record, state: State, queue: Queue) -> None:
    queue.stop([state.clip.id])
    done = f"The file of {state.clip.name} was deleted from this machine; its figures are kept."
    attempt(partial(record.delete_clip_file, state.clip.id), done)


def _remove(record: Record, state: State, queue: Queue) -> None:
    queue.stop([state.clip.id])
    done = f"{state.clip.name} was removed and its file deleted. Undo brings its figures back: "
    attempt(partial(record.remove, state.clip), done + "see 'Keeping'.")
