"""Clips brought into a lesson: dropped on the page, from a folder, and a plan for them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import streamlit as st

from solver.errors import InputError
from ui.classroom.arrivals import Arrivals, Handed, clips_in, take_in
from ui.classroom.assignments import clip_names
from ui.classroom.following import follow
from ui.classroom.plan import read_plan
from ui.classroom.room import attempt, tell
from ui.record.record import Record
from ui.record.rows import Lesson, LessonView
from ui.uploads import LARGEST_UPLOAD_MB, SUFFIXES
from ui.words import as_text

ROUND, ARRIVED, FOLDER, PLAN = "class round", "class arrived", "class folder", "class plan"
NAMED = 12
"""Names told in full after clips came in."""


def bring_clips(record: Record, view: LessonView) -> None:
    """Ask for clips, and say what became of those that came."""
    lesson = view.lesson
    number = st.session_state.get(ROUND, 0)
    uploads = st.file_uploader(
        "Clips of this lesson, all at once",
        type=list(SUFFIXES),
        accept_multiple_files=True,
        key=f"clips {lesson.id} {number}",
        help=f"Each up to {LARGEST_UPLOAD_MB} MB and 10 minutes. They stay on this machine; sound "
        "and place are dropped as they come.",
    )
    if uploads:
        _take(record, lesson, [(each.name, each.getbuffer()) for each in uploads])
        st.session_state[ROUND] = number + 1  # an empty uploader lets the clips out of memory
        st.rerun()
    with st.expander("From a folder of this machine, or with a plan"):
        _ask_folder(record, lesson)
        _ask_plan(record, view)
    _say_arrived(lesson)


def _take(record: Record, lesson: Lesson, clips: Sequence[Handed]) -> None:
    bar, names = st.progress(0.0), iter(range(len(clips)))

    def tell_name(name: str) -> None:
        bar.progress(next(names) / len(clips), text=f"Taking in {as_text(name)}")

    arrived = take_in(record, lesson.id, clips, tell_name)
    st.session_state[ARRIVED] = (lesson.id, arrived)


def _ask_folder(record: Record, lesson: Lesson) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        typed = st.text_input(
            "Folder", key=FOLDER, placeholder="such as /home/lab/clips/10b", max_chars=400
        )
        pressed = st.button("Take its clips in", disabled=not typed.strip())
    if not pressed:
        return
    try:
        paths = clips_in(Path(typed.strip()).expanduser())
    except OSError as error:
        st.error(as_text(f"The folder {typed} cannot be read: {error.strerror}. Check its name."))
        return
    if not paths:
        st.error(as_text(f"There are no clips ({', '.join(SUFFIXES)}) in the folder {typed}."))
        return
    _take(record, lesson, [(path.name, path) for path in paths])
    st.rerun()


def _ask_plan(record: Record, view: LessonView) -> None:
    st.file_uploader(
        "A plan for the clips that are in (CSV)",
        type=["csv"],
        key=f"{PLAN} {view.lesson.id}",
        on_change=_follow,
        args=(record, view),
        help="Headings: clip, group, body, surface, repeat, radius_mm, radius_u_mm, "
        "start_tilt_deg. Only clip has to be there.",
    )


def _follow(record: Record, view: LessonView) -> None:
    upload: Any = st.session_state[f"{PLAN} {view.lesson.id}"]
    if upload is None:
        return
    called = clip_names(view)
    names = {called[clip.id]: clip for clip in view.clips}
    try:
        plan = read_plan(upload.getvalue(), upload.name, list(names))
    except InputError as error:
        for line in str(error).splitlines():
            tell(line, wrong=True)
        return
    pairs = [(names[row.clip], row) for row in plan.rows]
    attempt(lambda: follow(record, pairs), f"{upload.name} is followed.")
    for doubt in plan.doubts:
        tell(doubt, wrong=True)


def _say_arrived(lesson: Lesson) -> None:
    of, arrived = st.session_state.get(ARRIVED, (None, Arrivals()))
    if of != lesson.id:
        return
    (st.warning if arrived.refused else st.success)(as_text(arrived.words()))
    for reason, names in _by_reason(arrived).items():
        told = reason if len(names) == 1 and names[0] in reason else f"{', '.join(names)}: {reason}"
        st.error(as_text(told))
    for name, clip in arrived.known[:NAMED]:
        same = "" if name == clip.name else f": it is the same as {clip.name}"
        st.caption(as_text(f"{name} had been there before{same}."))


def _by_reason(arrived: Arrivals) -> dict[str, list[str]]:
    """The names of refused clips by the reason: a full disk is told once, not thirty times."""
    reasons: dict[str, list[str]] = {}
    for name, reason in arrived.refused:
        reasons.setdefault(reason, []).append(name)
    return reasons
