"""What the frame of a shared page adds: who is in, the way out, and the end of the lesson."""

from __future__ import annotations

from html import escape

import streamlit as st

from ui.sharing.roles import Role, Visitor
from ui.sharing.visitors import linked, visitor_here

WATCH_S = 4.0


def show_who(visitor: Visitor) -> None:
    """Who one is to the page, and the way out."""
    if visitor.role is Role.STUDENT:
        name = f" as {visitor.label}" if visitor.label else ""
        words = f"You are in the lesson{name}."
    else:
        words = "You are the teacher: everything is open."
    st.html(f"<small>{escape(words)} {linked('/leave', 'Leave')}</small>")


@st.fragment(run_every=WATCH_S)
def watch(visitor: Visitor) -> None:
    """See the page end when the lesson does."""
    if visitor_here() != visitor:
        st.rerun()
