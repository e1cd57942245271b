"""What was removed, to be brought back."""

from __future__ import annotations

import streamlit as st

from ui.classroom.room import attempt
from ui.record.record import Record
from ui.record.rows import Deletion
from ui.words import as_text

SHOWN = 20


def offer_undo(record: Record) -> None:
    """The latest removals, each with its way back."""
    deletions = record.deletions()
    if not deletions:
        st.caption("Nothing was removed lately.")
        return
    for deletion in deletions[:SHOWN]:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(as_text(f"{deletion.what}, removed {deletion.at:%d %b %Y %H:%M} UTC"))
            st.button("Undo", key=f"undo {deletion.id}", on_click=_undo, args=(record, deletion))


def _undo(record: Record, deletion: Deletion) -> None:
    attempt(lambda: record.undo(deletion.id), f"Brought back: {deletion.what}.")
