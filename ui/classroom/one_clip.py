"""One clip of a lesson: why it was read so, and what can be done with it."""

from __future__ import annotations

from functools import partial

import streamlit as st

from ui.answer import answer
from ui.by_hand import put_right
from ui.classroom.assignments import clip_names
from ui.classroom.measuring import Stage, State, states, tasks
from ui.classroom.queue import Queue, Task
from ui.classroom.results import measured_clips
from ui.classroom.room import attempt, queue_of
from ui.desk import Request
from ui.record.record import Record
from ui.record.rows import Clip, LessonView, Reading
from ui.showing import PICTURE_LEGEND, picture_caption, show_stories
from ui.uploads import KeptClip
from ui.words import as_text, headline
from vision.reading import EvidencePicture

MEASURE_AGAIN = (Stage.MEASURED, Stage.WAITING, Stage.NOT_KEPT)


def look_at_one(record: Record, view: LessonView) -> None:
    """A clip's pictures and reasons; put it right, measure it again, delete or remove it."""
    queue = queue_of(record)
    found = {state.clip.id: state for state in states(view, queue)}
    names = clip_names(view)
    chosen = st.selectbox(
        "Clip", list(found), index=None, format_func=names.__getitem__,
        placeholder="Choose one to see why it was read so", key="one clip",
    )  # fmt: skip
    if chosen not in found:
        return
    state = found[chosen]
    if state.reading is not None:
        _show(record, view, state.clip, state.reading)
        _put_right(record, view, state.clip, state.reading, queue)
    else:
        st.markdown(f"It is {state.stage}. {as_text(state.note)}")
    _deeds(record, view, state, queue)


def _deeds(record: Record, view: LessonView, state: State, queue: Queue) -> None:
    has_file = state.clip.stored is not None
    with st.container(horizontal=True):
        st.button(
            "Measure it again",
            disabled=state.stage not in MEASURE_AGAIN or not has_file,
            on_click=_again,
            args=(record, view, state.clip, queue),
        )
        st.button(
            "Delete its file, keep its figures",
            disabled=not has_file,
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
    _pictures(record.pictures(reading.id))
    show_stories(reading.evidence)


def _pictures(pictures: tuple[EvidencePicture, ...]) -> None:
    if not pictures:
        return
    for column, picture in zip(st.columns(len(pictures)), pictures, strict=True):
        column.image(picture.png, caption=picture_caption(picture))
    st.html(PICTURE_LEGEND)


def _put_right(
    record: Record, view: LessonView, clip: Clip, reading: Reading, queue: Queue
) -> None:
    """Marks and a brink moved by hand, as on 'Read a clip'; the reading goes into the record."""
    body = view.body(clip.body_id)
    if body is None or clip.stored is None or reading.facts.frames_read == 0:
        return
    if not st.toggle("Mark the scene, or move the brink", key=f"by hand {clip.id}"):
        return
    (task,) = tasks(record, view, [clip])
    # By the kept file, which may have been blanked since it came.
    kept = KeptClip(task.path, clip.stored, clip.name)
    whole = answer(record.clip_reading(reading), body.radius)

    def begin(asked: Request) -> None:
        queue.add([Task(clip.id, clip.sha256, task.path, asked.setup)])
        st.rerun()

    put_right(Request(kept, body.radius, task.setup), whole, begin)


def _again(record: Record, view: LessonView, clip: Clip, queue: Queue) -> None:
    if attempt(partial(record.forget_readings, clip.id)):
        queue.add(tasks(record, view, [clip]))


def _delete_file(record: Record, state: State, queue: Queue) -> None:
    queue.stop([state.clip.id])
    done = f"The file of {state.clip.name} was deleted from this machine; its figures are kept."
    attempt(partial(record.delete_clip_file, state.clip.id), done)


def _remove(record: Record, state: State, queue: Queue) -> None:
    queue.stop([state.clip.id])
    done = f"{state.clip.name} was removed and its file deleted. Undo brings its figures back: "
    attempt(partial(record.remove, state.clip), done + "see 'Keeping'.")
