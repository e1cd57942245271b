"""The teacher's controls of a lesson's sharing: its code, who is in, and the end of it."""

from __future__ import annotations

import streamlit as st

from solver.errors import BrinkangleError
from ui.record.rows import Lesson
from ui.sharing.addresses import to_type
from ui.sharing.door import Door
from ui.sharing.door_page import PLAIN
from ui.sharing.frame import WATCH_S
from ui.sharing.roles import Role
from ui.sharing.visitors import refuse, the_door, visitor_here
from ui.words import as_text

NEW_CODE = "lesson code shown"
"""Where the teacher's session keeps a code until it was written down: lesson and code."""
REFUSED = "sharing refused"


def show_sharing(lesson: Lesson) -> None:
    """Let students into a lesson, see who is in, and end it."""
    visitor = visitor_here()
    if visitor.role is not Role.TEACHER:
        refuse(visitor)
    door = the_door()
    if door is None:
        st.markdown(
            "This page is served to this machine alone. To let students check their readings, "
            "end it and start it as `brinkangle app --share`."
        )
        return
    _controls(door, lesson)


@st.fragment(run_every=WATCH_S)
def _controls(door: Door, lesson: Lesson) -> None:
    is_open = door.open_lesson == lesson.id
    if is_open:
        _how_to_come_in(lesson)
        _who_is_in(door)
    elif door.open_lesson is not None:
        st.markdown("Another lesson is open. Opening this one puts its students out.")
    else:
        st.markdown("The lesson is closed: only you can see it.")
    first, second = st.columns(2)
    label = "Give it a new code" if is_open else "Open this lesson to its students"
    # By callbacks: what the fragment's own clock does must not come between click and deed.
    first.button(
        label,
        type="secondary" if is_open else "primary",
        key="sharing open",
        on_click=_open,
        args=(door, lesson),
    )
    if is_open:
        second.button("End the sharing", key="sharing end", on_click=_end, args=(door,))
    if refused := st.session_state.get(REFUSED):
        st.error(as_text(refused))


def _how_to_come_in(lesson: Lesson) -> None:
    port = int(st.get_option("server.port"))
    addresses = to_type(str(st.get_option("server.address")), port)
    st.markdown("Students type " + " or ".join(f"**{as_text(each)}**" for each in addresses) + ".")
    lesson_id, code = st.session_state.get(NEW_CODE, (None, ""))
    if lesson_id == lesson.id:
        st.metric("Lesson code, shown this once", code)
        st.button("It is on the board: hide it", key="sharing hide", on_click=_hide)
    else:
        st.caption("The code was shown once. A new one takes its place; who is in stays in.")


def _who_is_in(door: Door) -> None:
    students = door.students()
    labels = sorted(student.label for student in students if student.label)
    unnamed = len(students) - len(labels)
    count = "Nobody is" if not students else f"{len(students)} are" if students[1:] else "One is"
    said = [as_text(label) for label in labels] + ([f"{unnamed} without a label"] * bool(unnamed))
    st.markdown(f"{count} in{': ' if said else ''}{', '.join(said)}.")
    st.caption(PLAIN)


def _open(door: Door, lesson: Lesson) -> None:
    st.session_state.pop(REFUSED, None)
    try:
        st.session_state[NEW_CODE] = (lesson.id, door.open(lesson.id))
    except BrinkangleError as error:
        st.session_state[REFUSED] = str(error)


def _end(door: Door) -> None:
    _hide()
    door.end()


def _hide() -> None:
    st.session_state.pop(NEW_CODE, None)
