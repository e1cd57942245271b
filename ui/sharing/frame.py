"""What the frame of a shared page adds: who is in, the way out, and the end of the lesson."""

from __future__ import annotations

import streamlit as st

from ui.sharing.roles import Role, Visitor
from ui.sharing.visitors import visitor_here
from ui.words import as_text

WATCH_S = 4.0
WAY_OUT = '<a href="/leave">Leave</a>'


def show_who(visitor: Visitor) -> None:
    """Who one is to the page, and the way out."""
    if visitor.role is Role.STUDENT:
        name = f" as {as_text(visitor.label)}" if visitor.label else ""
        words = f"You are in the lesson{name}."
    else:
        words = "You are the teacher: everything is open."
    said, out = st.columns([6, 1])
    said.markdown(f":small[{words}]")
    out.html(WAY_OUT)  # a link of Markdown's would open another tab


@st.fragment(run_every=WATCH_S)
def watch(visitor: Visitor) -> None:
    """See the page end when the lesson does."""
    if visitor_here() != visitor:
        st.rerun()
