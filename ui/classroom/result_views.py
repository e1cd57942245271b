"""The class's results: each body's centre by every way, and friction by surface."""

from __future__ import annotations

import streamlit as st

from solver.quantities import MILLIMETRE, RATIO, Unit
from ui.classroom.dot_plot import Dot, balance_dot, dot_plot, dots_of, other_way
from ui.classroom.result_words import (
    agreement_words,
    beside_words,
    caution_words,
    count_words,
    group_rows,
    pooled_words,
    precision_words,
    without_words,
)
from ui.classroom.results import (
    BY_BALANCE,
    BodyResult,
    ClassMean,
    FrictionResult,
    body_results,
    friction_results,
    predicted,
)
from ui.record.rows import LessonView
from ui.theme import AMBER, PLUM, TEAL
from ui.words import as_text

HEIGHT_TITLE = "centre height / mm"
FRICTION_TITLE = "coefficient of friction"
FEW = 3
"""Sentences shown without being asked for."""
LEGEND = (
    f'<p style="font-size:0.95rem; line-height:1.9; margin:0">'
    f'<span style="color:{TEAL}">●</span> a group’s mean &emsp;'
    f'<span style="color:{PLUM}">◆</span> all groups &emsp;'
    f'<span style="color:{AMBER}">■</span> another way &emsp;'
    "❘ one reading &emsp; ✕ a reading that stands out &emsp; bars are 95 % intervals</p>"
)


def show_results(view: LessonView) -> None:
    """Everything the lesson's clips say together."""
    bodies, frictions = body_results(view), friction_results(view)
    if not bodies and not frictions:
        st.info(
            "Next: bring clips in and measure them under 'Clips'. What the class found appears "
            "here, group by group."
        )
        return
    if any(mean for result in bodies for mean in (result.toppling, result.balance)):
        st.html(LEGEND)
    for body in bodies:
        _show_body(body)
    if frictions:
        st.subheader("Friction by surface", anchor=False)
        for friction in frictions:
            _show_friction(friction)


def _show_body(result: BodyResult) -> None:
    st.subheader(as_text(result.body.name), anchor=False)
    st.caption(f"Base radius {MILLIMETRE.show(result.body.radius_m)}.")
    if result.toppling:
        _numbers("Centre height, all groups", result.toppling, MILLIMETRE)
    dots = _height_dots(result)
    if dots:
        st.altair_chart(dot_plot(dots, HEIGHT_TITLE), theme=None, width="stretch")
    if result.toppling:
        _say(result.toppling, MILLIMETRE)
    for beside in result.beside:
        st.markdown("- " + as_text(beside_words(beside)))
    if result.balance:
        groups = result.balance.pooled.precision.groups
        value = pooled_words(result.balance, MILLIMETRE)
        st.caption(as_text(f"By balancing {value}, from the means of {groups} groups."))
    if result.left_out:
        many = len(result.left_out) > FEW
        with st.expander(f"Not in the mean: {len(result.left_out)}", expanded=not many):
            for words in result.left_out:
                st.markdown("- " + as_text(words))


def _height_dots(result: BodyResult) -> list[Dot]:
    dots = dots_of(result.toppling, MILLIMETRE) if result.toppling else []
    if result.balance:
        dots.append(balance_dot(BY_BALANCE, result.balance, MILLIMETRE))
    dots += [
        other_way(predicted(each), each.height_m, each.height_u_m, MILLIMETRE)
        for each in result.predictions
    ]
    return dots


def _show_friction(result: FrictionResult) -> None:
    st.markdown(f"**{as_text(result.body)} on {as_text(result.surface)}**")
    _numbers("Coefficient of friction", result.friction, RATIO)
    st.altair_chart(
        dot_plot(dots_of(result.friction, RATIO), FRICTION_TITLE), theme=None, width="stretch"
    )
    _say(result.friction, RATIO)


def _numbers(title: str, mean: ClassMean, unit: Unit) -> None:
    with st.container(horizontal=True):
        st.metric(title, pooled_words(mean, unit), border=True)
        for symbol, value, meaning in precision_words(mean, unit):
            st.metric(
                f"${symbol}$", value, border=True, help=f"Standard deviation (ISO 5725): {meaning}."
            )
    st.caption(as_text(count_words(mean)))


def _say(mean: ClassMean, unit: Unit) -> None:
    if words := agreement_words(mean):
        st.markdown(as_text(words))
    if words := caution_words(mean, unit):
        st.info(as_text(words))
    for reason, without in without_words(mean, unit):
        st.warning(as_text(f"{reason} {without}"), icon=":material/search:")
    with st.expander("Group by group"):
        st.dataframe(group_rows(mean, unit), hide_index=True)
