"""The teacher's view: the class's readings against the clips."""

from __future__ import annotations

from functools import partial

import streamlit as st

from solver.quantities import DEGREE
from ui.bench.showing import metrics
from ui.checking.class_chart import readings_chart
from ui.checking.class_readings import GROSS_DEG, ClassReadings, class_readings, to_discuss
from ui.checking.moving import moved_of
from ui.record.record import Record
from ui.record.rows import LessonView
from ui.words import as_text, interval


def show_class(record: Record, view: LessonView) -> None:
    """All readings of the lesson, so far as their clips have an angle."""
    st.subheader("The class's readings", anchor=False)
    readings = class_readings(view, partial(moved_of, record))
    if not readings.all:
        st.info("None has been checked in this lesson yet.")
        return
    _numbers(readings)
    st.altair_chart(readings_chart(readings.all, readings.bias))
    st.caption(
        "Right of the line the protractor read more than the clip. The bar below a group's marks "
        "is its mean with the 95 % interval."
    )
    if words := to_discuss(readings):
        st.markdown("**To talk about**")
        st.markdown("\n".join(f"- {as_text(each)}" for each in words))
    else:
        st.markdown("Nothing stands out: no group reads beside the clips, and no slip was made.")


def _numbers(readings: ClassReadings) -> None:
    numbers = [("Readings", f"{len(readings.all)}")]
    if readings.bias is not None:
        numbers.append(("Bias: reading less clip", interval(readings.bias.result, DEGREE)))
    if readings.spread_rad is not None:
        numbers.append(("Spread of single readings", f"{readings.spread_rad / DEGREE.in_si:.1f}°"))
    metrics(numbers)
    st.caption(as_text(_counted(readings)))


def _counted(readings: ClassReadings) -> str:
    words = [
        f"Bias and spread are of {len(readings.counted)} readings, ± for 95 %; the spread is a "
        "standard deviation."
    ]
    if readings.apart:
        words.append(
            f"Apart from them: {len(readings.apart)} in which the scale was misread, or that lie "
            f"more than {GROSS_DEG:g}° off. The chart shows them at its edge."
        )
    if readings.repeated:
        words.append(f"Also {readings.repeated} that had been tried before and seen a hint.")
    return " ".join(words)
