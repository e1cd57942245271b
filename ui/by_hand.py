"""Putting a reading right by hand: mark the scene, or move the brink."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace

import numpy as np
import streamlit as st

from solver.errors import BrinkangleError, InputError
from ui.answer import Answer
from ui.charts import motion_chart
from ui.desk import Request, still
from ui.marking import HANDLES, first_guess, marking_board, marks_of
from ui.stills import Still
from ui.words import as_text
from vision.reading import MotionSeries, Outcome, Point

Begin = Callable[[Request], None]


def put_right(request: Request, answer: Answer, begin: Begin) -> None:
    """Both ways to overrule the reading; ``begin`` measures again."""
    reading = answer.reading
    if reading.facts.frames_read == 0:  # nothing to mark: the file itself must be put right
        return
    wanted = reading.by_hand or reading.outcome is Outcome.UNREADABLE
    with st.expander("Put it right by hand", expanded=wanted):
        st.markdown(
            "If the lines in the pictures do not lie on the board and the body, mark them. "
            "If they do, but the brink is at the wrong moment, move it. The record will say "
            "that a hand was in it."
        )
        marks, brink = st.tabs(["Mark board and body", "Move the brink"])
        with marks:
            _mark(request, begin)
        with brink:
            _move(request, answer, begin)
        own = replace(request, setup=replace(request.setup, marks=None, onset_s=None))
        if own != request and st.button("Back to the reading without a hand"):
            begin(own)


def _mark(request: Request, begin: Begin) -> None:
    frame = _first_frame(request, still(request.clip))
    if frame is None:
        return
    key = f"marks-{request.clip.sha256}"
    points: list[Point] = st.session_state.setdefault(key, first_guess(frame))

    def take(moved: list[Point]) -> None:
        st.session_state[key] = moved

    st.markdown(
        "Drag 1 and 2 along the board's long edge nearest the camera, **hinge end first**; "
        "3 and 4 along the body's left outline, 5 and 6 along its right, **base first**. "
        "Arrow keys move a mark by a pixel."
    )
    marking_board(frame, points, f"board-{request.clip.sha256}", take)
    with st.popover("Type the pixels instead"):
        _typed(points, frame, key)
    try:
        marks = marks_of(points, frame)
    except InputError as error:
        st.warning(as_text(str(error)))
        return
    if st.button("Measure again with these marks", type="primary"):
        begin(replace(request, setup=replace(request.setup, marks=marks, onset_s=None)))


def _first_frame(request: Request, coming: Future[Still]) -> Still | None:
    try:
        return coming.result()
    except BrinkangleError as error:
        st.info("There is no first frame to mark. " + as_text(request.clip.in_own_name(str(error))))
        return None


def _typed(points: list[Point], frame: Still, key: str) -> None:
    """The marks as numbers, from the picture's upper left corner."""
    for i, name in enumerate(HANDLES):
        columns = st.columns(2)
        for axis, letter, most in ((0, "x", frame.width), (1, "y", frame.height)):
            field = f"{key}-{i}-{letter}"
            st.session_state[field] = int(points[i][axis])

            def take(i: int = i, axis: int = axis, field: str = field) -> None:
                moved = [list(point) for point in points]
                moved[i][axis] = st.session_state[field]
                st.session_state[key] = [(x, y) for x, y in moved]

            columns[axis].number_input(
                f"{i + 1} {name}: {letter}",
                min_value=0,
                max_value=most - 1,
                step=1,
                key=field,
                on_change=take,
            )


def _move(request: Request, answer: Answer, begin: Begin) -> None:
    series = answer.reading.series
    if series is None or len(series.time_s) < 2:
        st.info(
            "No motion was followed in this clip, so there is no brink to move. Mark the scene."
        )
        return
    moved_s = _moment(series, answer.reading.onset_s, request)
    st.altair_chart(motion_chart(series, answer.reading.onset_s, "as read", moved_s))
    if st.button("Measure again with the brink here", type="primary"):
        begin(replace(request, setup=replace(request.setup, onset_s=moved_s)))


def _moment(series: MotionSeries, onset_s: float | None, request: Request) -> float:
    low, high = float(series.time_s[0]), float(series.time_s[-1])
    step = float(np.median(np.diff(series.time_s)))
    return st.slider(
        "Brink at / s",
        min_value=low,
        max_value=high,
        value=min(max(onset_s if onset_s is not None else high, low), high),
        step=step,
        format="%.2f",
        key=f"brink-{request.key}",
    )
