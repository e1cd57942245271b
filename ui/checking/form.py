"""What a student gives: the clip, the reading, and what they worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import streamlit as st

from solver.errors import BrinkangleError
from solver.quantities import DEGREE, MILLIMETRE
from solver.readings import Check, ProtractorReading, WorkedHeight
from ui.checking.checkable import Checkable, distinct_names
from ui.checking.moving import moved_of
from ui.checking.typed import STEPS_DEG, worked_height
from ui.record.record import Record
from ui.sharing.roles import Role, Visitor
from ui.sharing.student_view import StudentView
from ui.words import as_text, plain

GIVEN = "check given"
"""Where the session keeps the reading that was checked last."""
LABEL_LETTERS = 40


@dataclass(frozen=True)
class Given:
    """A reading that was checked and is in the record."""

    clip_id: int
    reading: ProtractorReading
    height: WorkedHeight | None
    check: Check
    shown: bool = False
    """Whether the answer was asked for."""


def choose_clip(clips: Sequence[Checkable]) -> Checkable:
    """The clip a student's group filmed."""
    names = dict(zip((each.clip.id for each in clips), distinct_names(clips), strict=True))
    chosen = st.selectbox(
        "Your group's clip", list(names), format_func=names.__getitem__, key="check clip"
    )
    return next(each for each in clips if each.clip.id == chosen)


def ask_reading(record: Record | StudentView, chosen: Checkable, visitor: Visitor) -> None:
    """Ask for a reading; once given, check it and put it into the record."""
    with st.form(f"reading of clip {chosen.clip.id}", border=False):
        angle = st.number_input(
            "Angle on your protractor / °",
            0.0,
            180.0,
            None,
            0.5,
            "%.1f",
            placeholder="as you read it",
        )
        step = st.selectbox(
            "Your protractor reads to",
            STEPS_DEG,
            index=STEPS_DEG.index(1.0),
            format_func=lambda deg: f"{deg:g}°",
        )
        height = _ask_height(chosen)
        by = _ask_label(visitor)
        if st.form_submit_button("Check my reading", type="primary"):
            _take(record, chosen, angle, step, height, by)


def _ask_height(chosen: Checkable) -> float | None:
    if chosen.radius_m is None:
        st.caption("The body slid: there is no centre height to work out from this clip.")
        return None
    height: float | None = st.number_input(
        "Your x, if you worked it out / mm", 0.0, 100_000.0, None, 1.0, "%.1f",
        placeholder="may stay empty",
    )  # fmt: skip
    st.caption(f"x = r ÷ tan θ, with the base radius r = {plain(chosen.radius_m, MILLIMETRE)}.")
    return height


def _ask_label(visitor: Visitor) -> str:
    if visitor.role is Role.STUDENT and visitor.label:
        return visitor.label
    return st.text_input(
        "A label for you, not your name", max_chars=LABEL_LETTERS, placeholder="such as pupil 7"
    )


def _take(
    record: Record | StudentView,
    chosen: Checkable,
    angle_deg: float | None,
    step_deg: float,
    height_mm: float | None,
    by: str,
) -> None:
    if angle_deg is None:
        st.error("Type the angle you read on your protractor.")
        return
    try:
        reading = ProtractorReading(angle_deg * DEGREE.in_si, step_deg * DEGREE.in_si)
        height = worked_height(height_mm)
        check = chosen.check(reading, height, moved_of(record, chosen.reading))
        record.add_student_reading(
            chosen.clip.id,
            by.strip(),
            reading.angle_rad,
            reading.step_rad,
            str(check.verdict),
            height.height_m if height else None,
            ", ".join(check.slips) or None,
        )
    except BrinkangleError as error:
        st.error(as_text(str(error)))
        return
    st.session_state[GIVEN] = Given(chosen.clip.id, reading, height, check)


def given_for(chosen: Checkable) -> Given | None:
    """The reading that was checked last, if it was of this clip."""
    given: Given | None = st.session_state.get(GIVEN)
    return given if given and given.clip_id == chosen.clip.id else None
