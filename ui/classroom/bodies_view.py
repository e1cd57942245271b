"""Bodies: added, changed, removed. They outlast lessons."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import streamlit as st

from solver.errors import InputError
from solver.quantities import MILLIMETRE
from ui.classroom.room import attempt
from ui.inputs import RADIUS_U_M
from ui.record.record import Record
from ui.record.rows import Body
from ui.words import as_text, unit_doubt

MM = MILLIMETRE.in_si
NEW_BODY = "A new body"


@dataclass(frozen=True)
class _Typed:
    """The form of a body, in millimetres."""

    name: str
    radius: float | None
    radius_u: float
    length: float | None
    note: str

    def fields(self) -> dict[str, Any]:
        """As the record takes them. Raises `InputError` where the radius is wanting."""
        if self.radius is None:
            raise InputError("Give the radius of the rim that touches the board.")
        return {
            "name": self.name,
            "radius_m": self.radius * MM,
            "radius_u_m": self.radius_u * MM,
            "length_m": None if self.length is None else self.length * MM,
            "note": self.note,
        }


def edit_bodies(record: Record) -> None:
    """The bodies as a table, and a form for one of them or a new one."""
    bodies = {body.name: body for body in record.bodies()}
    if bodies:
        st.dataframe([_body_row(body) for body in bodies.values()], hide_index=True)
    chosen = bodies.get(st.selectbox("Body", [NEW_BODY, *bodies], key="body in hand"))
    typed = _ask_body(chosen)
    with st.container(horizontal=True):
        if chosen is None:
            st.button("Add this body", type="primary", on_click=_add, args=(record, typed))
        else:
            st.button(
                "Change this body", type="primary", on_click=_change, args=(record, chosen, typed)
            )
            st.button("Remove this body", on_click=_remove, args=(record, chosen))
    if typed.radius and (doubt := unit_doubt(typed.radius * MM)):
        st.warning(as_text(doubt))


def _body_row(body: Body) -> dict[str, Any]:
    return {
        "body": body.name,
        "radius / mm": round(body.radius_m / MM, 3),
        "± u / mm": round(body.radius_u_m / MM, 3),
        "length / mm": None if body.length_m is None else round(body.length_m / MM, 2),
        "note": body.note,
    }


def _ask_body(body: Body | None) -> _Typed:
    key = f"body {body.id if body else 'new'}"
    with st.container(horizontal=True, vertical_alignment="bottom"):
        name = st.text_input("Name", body.name if body else "", max_chars=60, key=f"{key} name")
        radius = st.number_input(
            "Radius of the rim / mm", value=round(body.radius_m / MM, 3) if body else None,
            step=0.5, format="%.2f", key=f"{key} r", placeholder="such as 36.5",
            help="Of the rim that touches the board: not of the lid, nor of a bead above the rim.",
        )  # fmt: skip
        radius_u = st.number_input(
            "± u / mm", value=(body.radius_u_m if body else RADIUS_U_M) / MM, min_value=0.0,
            step=0.1, format="%.2f", key=f"{key} u", help="Standard uncertainty of the radius.",
        )  # fmt: skip
        length = st.number_input(
            "Length, base to top / mm",
            value=round(body.length_m / MM, 2) if body and body.length_m else None,
            step=1.0, format="%.1f", key=f"{key} length", help="Needed for balancing alone.",
        )  # fmt: skip
    note = st.text_input("Note", body.note if body else "", key=f"{key} note", max_chars=200)
    return _Typed(name, radius, radius_u, length, note)


def _add(record: Record, typed: _Typed) -> None:
    if attempt(lambda: record.add_body(**typed.fields()), f"{typed.name} is in the record."):
        for field in ("name", "r", "length", "note"):
            st.session_state.pop(f"body new {field}", None)


def _change(record: Record, body: Body, typed: _Typed) -> None:
    if attempt(lambda: record.change(body, **typed.fields()), f"{typed.name} is changed."):
        st.session_state.pop("body in hand", None)


def _remove(record: Record, body: Body) -> None:
    done = f"{body.name} was removed, with its balance readings and predictions. Undo it under "
    attempt(partial(record.remove, body), done + "'Keeping'.")
