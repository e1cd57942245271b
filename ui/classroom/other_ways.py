"""Balance readings and predictions, typed in beside the clips."""

from __future__ import annotations

from functools import partial

import streamlit as st

from solver.edge_balance import End
from solver.errors import InputError
from solver.quantities import MILLIMETRE
from ui.bench.body_form import numbers_in
from ui.classroom.results import NO_GROUP
from ui.classroom.room import attempt
from ui.record.record import Record
from ui.record.rows import BalanceReading, Body, Group, LessonView, Prediction
from ui.words import as_text

MM = MILLIMETRE.in_si
EDGE_MM, RULE_MM = 2.0, 0.2
"""What is taken where nothing is typed: a table's rounding, and the zero of a rule."""


def enter_other_ways(record: Record, view: LessonView) -> None:
    """Forms for both, and what was entered."""
    bodies = record.bodies()
    if not bodies:
        st.info("Next: add a body under 'Bodies, surfaces, groups'.")
        return
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Balanced on a table's edge", anchor=False)
        st.markdown(
            "Slide the body, lying on its side, over the edge until it is about to tip. Type how "
            "far it hangs over."
        )
        _ask_balance(record, view, bodies)
    with right:
        st.subheader("Predicted before", anchor=False)
        st.markdown("A centre height worked out from the body's parts, or by a group.")
        _ask_prediction(record, bodies)
    _list(record, view, bodies)


def _ask_balance(record: Record, view: LessonView, bodies: tuple[Body, ...]) -> None:
    with st.form("balance", border=True, clear_on_submit=True):
        st.selectbox("Body", bodies, format_func=lambda body: body.name, key="balance body")
        st.selectbox(
            "Group", [None, *view.groups], key="balance group",
            format_func=lambda group: group.label if group else NO_GROUP,
        )  # fmt: skip
        st.radio("End over the edge", list(End), horizontal=True, key="balance end")
        st.text_input(
            "Overhangs / mm", key="balance overhangs", placeholder="such as 82.0 82.5 81.5",
            help="Numbers with blanks between them.",
        )  # fmt: skip
        with st.container(horizontal=True):
            st.number_input(
                "Radius of the table's edge / mm", 0.0, value=EDGE_MM, step=0.5, key="balance edge"
            )
            st.number_input("Zero of the rule, ± u / mm", 0.0, value=RULE_MM, step=0.1,
                            key="balance zero")  # fmt: skip
        st.form_submit_button("Keep these readings", on_click=_add_balance, args=(record, view))


def _add_balance(record: Record, view: LessonView) -> None:
    body, group, end, typed, edge, zero = (
        st.session_state[f"balance {field}"]
        for field in ("body", "group", "end", "overhangs", "edge", "zero")
    )

    def add() -> None:
        readings = numbers_in(typed, "Overhangs")
        if not readings:
            raise InputError("Type at least one overhang in millimetres.")
        if body.length_m is None:
            raise InputError(
                f"Give the length of the {body.name}, base to top, first, under 'Bodies, surfaces, "
                "groups': an overhang is checked against it."
            )
        if beyond := [each for each in readings if not 0 < each * MM < body.length_m]:
            raise InputError(
                f"An overhang of {beyond[0]:g} mm is not within the {body.name}, which is "
                f"{MILLIMETRE.show(body.length_m)} long. Give millimetres."
            )
        for overhang in readings:
            record.add_balance_reading(
                view.lesson.id, body.id, overhang * MM, end, group.id if group else None,
                edge * MM, zero * MM,
            )  # fmt: skip

    attempt(add, "The balance readings are kept.")


def _ask_prediction(record: Record, bodies: tuple[Body, ...]) -> None:
    with st.form("prediction", border=True, clear_on_submit=True):
        st.selectbox("Body", bodies, format_func=lambda body: body.name, key="predicted body")
        with st.container(horizontal=True):
            st.number_input(
                "Centre height / mm", value=None, step=0.5, format="%.2f", key="predicted height"
            )
            st.number_input("± u / mm", 0.0, value=0.5, step=0.1, key="predicted u")
        st.text_input(
            "Where it comes from", key="predicted source", max_chars=60,
            placeholder="such as its parts, or Table 4's working",
        )  # fmt: skip
        st.form_submit_button("Keep this prediction", on_click=_add_prediction, args=(record,))


def _add_prediction(record: Record) -> None:
    body, height, u, source = (
        st.session_state[f"predicted {field}"] for field in ("body", "height", "u", "source")
    )

    def add() -> None:
        if height is None:
            raise InputError("Type the centre height in millimetres.")
        record.add_prediction(body.id, height * MM, u * MM, source)

    attempt(add, "The prediction is kept.")


def _list(record: Record, view: LessonView, bodies: tuple[Body, ...]) -> None:
    names = {body.id: body.name for body in bodies}
    rows: list[tuple[str, BalanceReading | Prediction]] = [
        (_balance_words(each, names, view.groups), each) for each in view.balance_readings
    ]
    for body in bodies:
        rows += [(_prediction_words(body, each), each) for each in record.predictions(body.id)]
    if not rows:
        return
    st.subheader("Entered so far", anchor=False)
    st.markdown("\n".join(f"- {as_text(words)}" for words, _ in rows))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox("One of them", range(len(rows)), format_func=lambda i: rows[i][0])
        st.button("Remove it", on_click=_remove, args=(record, rows[chosen][1]))


def _balance_words(
    reading: BalanceReading, names: dict[int, str], groups: tuple[Group, ...]
) -> str:
    label = next((group.label for group in groups if group.id == reading.group_id), NO_GROUP)
    overhang = MILLIMETRE.show(reading.overhang_m)
    body = names.get(reading.body_id, "a body that was removed")
    return f"{body}, {label}: {overhang} with the {reading.end} over the edge"


def _prediction_words(body: Body, prediction: Prediction) -> str:
    height = MILLIMETRE.show(prediction.height_m)
    u = MILLIMETRE.show(prediction.height_u_m, 2)
    source = f" ({prediction.source})" if prediction.source else ""
    return f"{body.name}: {height}, u {u}, predicted{source}"


def _remove(record: Record, row: BalanceReading | Prediction) -> None:
    attempt(partial(record.remove, row), "It was removed. Undo it under 'Keeping'.")
