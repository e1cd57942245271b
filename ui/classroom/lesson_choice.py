"""Which lesson is in hand: chosen, made, renamed, removed."""

from __future__ import annotations

from datetime import date
from functools import partial

import streamlit as st

from ui.classroom.room import LESSON, attempt, tell
from ui.record.record import Record
from ui.record.rows import Lesson

NEW = "New lesson"
TITLE, DAY = "lesson title", "lesson day"


def choose_lesson(record: Record) -> Lesson | None:
    """The lesson in hand; None while there is none."""
    lessons = {lesson.id: lesson for lesson in record.lessons()}
    if st.session_state.get(LESSON) not in lessons:
        st.session_state[LESSON] = next(iter(lessons), None)
    if not lessons:
        with st.container(border=True):
            st.subheader("A lesson to begin with", anchor=False)
            _ask_new(record)
        return None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "Lesson",
            list(lessons),
            index=list(lessons).index(st.session_state[LESSON]),
            format_func=lambda lesson_id: _named(lessons[lesson_id]),
        )
        st.session_state[LESSON] = chosen
        with st.popover(NEW, icon=":material/add:"):
            _ask_new(record)
        with st.popover("Change it"):
            _ask_change(record, lessons[chosen])
    return lessons[chosen]


def _named(lesson: Lesson) -> str:
    return f"{lesson.title} · {lesson.day:%d %b %Y}"


def _ask_new(record: Record) -> None:
    with st.form("new lesson", border=False, clear_on_submit=True):
        st.text_input("Title", key=TITLE, max_chars=60, placeholder="such as Tea tins, 10b")
        st.date_input("Day", date.today(), key=DAY)
        st.form_submit_button("Make this lesson", type="primary", on_click=_make, args=(record,))


def _make(record: Record) -> None:
    title, day = st.session_state[TITLE], st.session_state[DAY]

    def add() -> None:
        st.session_state[LESSON] = record.add_lesson(title, day).id

    attempt(add)


def _ask_change(record: Record, lesson: Lesson) -> None:
    with st.form(f"change lesson {lesson.id}", border=False):
        title = st.text_input("Title", lesson.title, max_chars=60)
        day = st.date_input("Day", lesson.day)
        if st.form_submit_button("Change") and attempt(
            partial(record.change, lesson, title=title, day=day)
        ):
            st.rerun()
    st.caption("Removing it deletes its clips for good; its figures can be brought back.")
    st.button("Remove this lesson", on_click=_remove, args=(record, lesson))


def _remove(record: Record, lesson: Lesson) -> None:
    if attempt(partial(record.remove, lesson)):
        tell(f"{lesson.title} was removed. Undo it under 'Keeping'.")
