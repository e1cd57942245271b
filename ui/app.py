"""The frame of the page: title, style and the way between pages."""

from __future__ import annotations

import streamlit as st

from ui.theme import ICON, STYLE

# By the file under app_pages; the first is where one arrives.
PAGES = {
    "read_a_clip": "Read a clip",
    "build_a_body": "Build a body",
    "edge_balance": "Edge balance",
    "slide_or_topple": "Slide or topple",
}


def show() -> None:
    """Draw the frame and the page in it."""
    st.set_page_config(page_title="Brinkangle", page_icon=ICON, layout="wide")
    st.html(STYLE)
    pages = [
        st.Page(f"app_pages/{name}.py", title=title, url_path=name.replace("_", "-"))
        for name, title in PAGES.items()
    ]
    st.navigation(pages, position="top").run()


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
