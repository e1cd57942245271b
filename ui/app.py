"""The frame of the page: title, style and the way between pages."""

from __future__ import annotations

import streamlit as st

from ui.sharing.frame import show_who, watch
from ui.sharing.roles import AT_HOME, may_open
from ui.sharing.visitors import refuse, visitor_here
from ui.theme import ICON, STYLE

# By the file under app_pages; the first is where one arrives.
PAGES = {
    "read_a_clip": "Read a clip",
    "class_record": "Class record",
    "check_a_reading": "Check a reading",
    "hand_outs": "Hand-outs",
    "build_a_body": "Build a body",
    "edge_balance": "Edge balance",
    "slide_or_topple": "Slide or topple",
}


def show() -> None:
    """Draw the frame and the page in it: one of those that whoever looks may open."""
    st.set_page_config(page_title="Brinkangle", page_icon=ICON, layout="wide")
    st.html(STYLE)
    visitor = visitor_here()
    pages = [
        st.Page(f"app_pages/{name}.py", title=title, url_path=name.replace("_", "-"))
        for name, title in PAGES.items()
        if may_open(visitor.role, name)
    ]
    if not pages:
        refuse(visitor)
    page = st.navigation(pages, position="top")
    if visitor is not AT_HOME:
        show_who(visitor)
        watch(visitor)
    page.run()


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
