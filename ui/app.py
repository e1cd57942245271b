"""The frame of the page: title, style and the way between pages."""

from __future__ import annotations

import streamlit as st

from ui.theme import ICON, STYLE


def show() -> None:
    """Draw the frame and the page in it."""
    st.set_page_config(page_title="Brinkangle", page_icon=ICON, layout="wide")
    st.html(STYLE)
    read = st.Page("app_pages/read_a_clip.py", title="Read a clip", url_path="read-a-clip")
    st.navigation([read], position="top").run()


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
