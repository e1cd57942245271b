"""What has a name and no more: surfaces, which outlast lessons, and a lesson's groups."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import streamlit as st

from ui.classroom.names import tidy_label
from ui.classroom.room import attempt
from ui.record.record import Record
from ui.record.rows import Group, LessonView, Surface


def edit_surfaces(record: Record) -> None:
    """A form for one of the surfaces, or a new one."""
    surfaces = record.surfaces()
    chosen = _choose("Surface", [each.name for each in surfaces])
    found = next((each for each in surfaces if each.name == chosen), None)
    _edit(
        record, "surface", chosen, found, record.add_surface,
        lambda name: record.change(found, name=name) if found else None,
    )  # fmt: skip


def edit_groups(record: Record, view: LessonView) -> None:
    """A form for one of the lesson's groups, or a new one."""
    chosen = _choose("Group", [each.label for each in view.groups])
    found = next((each for each in view.groups if each.label == chosen), None)
    _edit(
        record, "group", chosen, found,
        lambda label: record.add_group(view.lesson.id, tidy_label(label)),
        lambda label: record.change(found, label=tidy_label(label)) if found else None,
    )  # fmt: skip


def _choose(what: str, names: Sequence[str]) -> str | None:
    new = f"A new {what.lower()}"
    chosen = st.selectbox(what, [new, *names], key=f"{what.lower()} in hand")
    return None if chosen == new else chosen


def _edit(
    record: Record,
    what: str,
    name: str | None,
    row: Surface | Group | None,
    add: Callable[[str], object],
    rename: Callable[[str], object],
) -> None:
    key = f"{what} {row.id if row else 'new'} name"
    with st.container(horizontal=True, vertical_alignment="bottom"):
        typed = st.text_input(f"Name of the {what}", name or "", max_chars=60, key=key)
        if row is None:
            st.button(f"Add this {what}", on_click=_do, args=(add, typed, "is added", key))
            return
        hand = f"{what} in hand"
        st.button(f"Rename this {what}", on_click=_do, args=(rename, typed, "is renamed", hand))
        st.button(f"Remove this {what}", on_click=_remove, args=(record, row, name))


def _do(change: Callable[[str], object], typed: str, done: str, begin_anew: str) -> None:
    if attempt(partial(change, typed), f"{typed} {done}."):
        st.session_state.pop(begin_anew, None)


def _remove(record: Record, row: Surface | Group, name: str) -> None:
    attempt(partial(record.remove, row), f"{name} was removed. Undo it under 'Keeping'.")
