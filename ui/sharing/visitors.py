"""Who is looking at the page now, and what is refused to them: asked by the frame and each page."""

from __future__ import annotations

from html import escape
from typing import NoReturn

import streamlit as st

from ui.sharing.door import Door
from ui.sharing.roles import AT_HOME, Role, Visitor, may_open
from ui.theme import TEAL

VISITOR_KEY = "visitor"
"""Under which Streamlit hands on what the gate said of the browser."""
_served: list[Door] = []


def serve_through(door: Door | None) -> None:
    """Say by which door the page of this process is served; None for this machine alone."""
    _served[:] = [] if door is None else [door]


def the_door() -> Door | None:
    """The door of a shared page."""
    return _served[0] if _served else None


def visitor_here() -> Visitor:
    """Whose session this is."""
    door = the_door()
    if door is None:
        return AT_HOME
    return door.visitor_by_key(str(st.user.get(VISITOR_KEY) or ""))


def guard(page: str) -> Visitor:
    """Go on for whoever may open a page, by its file's name; end the run for anyone else."""
    visitor = visitor_here()
    if not may_open(visitor.role, page):
        refuse(visitor)
    return visitor


def refuse(visitor: Visitor) -> NoReturn:
    """Say why nothing is shown, and end the run."""
    if visitor.role is Role.NOBODY:
        st.title("You are not in", anchor=False)
        st.markdown(
            "The lesson has ended, or you have left. With the lesson's code, or the passphrase, "
            "you can come in again."
        )
        st.html(linked("/door", "To the door"))
    else:
        st.title("Not yours", anchor=False)
        st.markdown("This page is the teacher's. Yours is 'Check a reading'.")
    st.stop()


def linked(address: str, words: str) -> str:
    """A link within this tab: one of Markdown's, or a link button, would open another."""
    return f'<a href="{escape(address)}" style="color: {TEAL}">{escape(words)}</a>'
