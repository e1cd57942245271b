"""Check a reading: a student's protractor and working beside the clip."""

from __future__ import annotations

import streamlit as st

from solver.errors import BrinkangleError
from ui.checking.checkable import checkable
from ui.checking.class_view import show_class
from ui.checking.form import ask_reading, choose_clip, given_for
from ui.checking.showing import show_check, show_frame
from ui.record.record import Record
from ui.record.rows import LessonView
from ui.sharing.roles import Visitor
from ui.sharing.student_view import StudentView, record_for
from ui.sharing.visitors import guard
from ui.words import as_text


def show() -> None:
    """The page from top to bottom."""
    visitor = guard("check_a_reading")
    st.title("Check a reading", anchor=False)
    st.markdown(
        "You read the tilt on a protractor; the clip was measured. See whether the two agree, and "
        "if not, find out yourself what happened."
    )
    try:
        record = record_for(visitor)
        view = _lesson(record)
        if view is not None:
            _check(record, view, visitor)
    except BrinkangleError as error:
        st.error(as_text(str(error)))
        return
    if view is not None and isinstance(record, Record):
        st.divider()
        show_class(record, view)


def _lesson(record: Record | StudentView) -> LessonView | None:
    """A student's own lesson; the one a teacher chooses."""
    if isinstance(record, StudentView):
        return record.lesson_view()
    lessons = {each.id: each for each in record.lessons()}
    if not lessons:
        st.info("Next: make a lesson on 'Class record', and have its clips measured.")
        return None

    def named(lesson_id: int) -> str:
        return f"{lessons[lesson_id].title}, {lessons[lesson_id].day:%-d %B %Y}"

    chosen = st.selectbox("Lesson", list(lessons), format_func=named, key="check lesson")
    return record.lesson_view(chosen)


def _check(record: Record | StudentView, view: LessonView, visitor: Visitor) -> None:
    clips = checkable(view)
    if not clips:
        st.info(
            "No clip of this lesson has an angle yet: they are being measured, or none was found "
            "to topple or slide."
        )
        return
    chosen = choose_clip(clips)
    pictures = record.pictures(chosen.reading.id)
    frame, form = st.columns([3, 2], gap="large")
    with frame:
        show_frame(pictures)
    with form:
        ask_reading(record, chosen, visitor)
    if given := given_for(chosen):
        show_check(given, chosen, pictures)


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
