"""The body in hand, shared by the pages of the bench; loading and saving it."""

from __future__ import annotations

import streamlit as st

from solver.errors import InputError
from ui.bench.body_file import read, written
from ui.bench.body_form import Draft
from ui.bench.examples import EXAMPLES
from ui.bench.fields import kept
from ui.bench.sheet import BodySheet
from ui.files import safe_stem
from ui.words import as_text

DRAFT, GOOD, LOADED = "bench draft", "bench body", "bench loaded"


def draft() -> Draft:
    """The body in hand; the first example to begin with."""
    if DRAFT not in st.session_state:
        take(EXAMPLES[0])
    found: Draft = st.session_state[DRAFT]
    return found


def take(sheet: BodySheet) -> None:
    """Take another body in hand."""
    st.session_state[DRAFT] = Draft(sheet)
    st.session_state[GOOD] = sheet


def keep_good(sheet: BodySheet) -> None:
    """Let the other pages have a body that was found sound."""
    st.session_state[GOOD] = sheet


def body_in_hand() -> BodySheet:
    """The last sound state of the body in hand."""
    draft()
    sheet: BodySheet = st.session_state[GOOD]
    return sheet


def _take_example() -> None:
    names = {sheet.name: sheet for sheet in EXAMPLES}
    take(names[st.session_state["bench example"]])
    kept()["bench example"] = st.session_state["bench example"]


def choose_start() -> None:
    """Begin from an example, or from a file that was saved."""
    left, right = st.columns(2, gap="large")
    with left:
        names = [sheet.name for sheet in EXAMPLES]
        st.session_state.setdefault("bench example", kept().get("bench example", names[0]))
        st.selectbox("Begin from", names, key="bench example", on_change=_take_example)
    with right:
        upload = st.file_uploader("or open a saved body", type=["toml"], key="bench upload")
        if upload is not None and st.session_state.get(LOADED) != upload.file_id:
            st.session_state[LOADED] = upload.file_id
            try:
                take(read(upload.getvalue()))
            except InputError as error:
                st.session_state["bench refused"] = str(error)
            else:
                st.session_state.pop("bench refused", None)
        if upload is not None and (refused := st.session_state.get("bench refused")):
            st.error(as_text(refused))


def offer_file(sheet: BodySheet) -> None:
    """The body as a file to keep."""
    st.download_button(
        "Save this body",
        written(sheet),
        file_name=f"{safe_stem(sheet.name)}.body.toml",
        mime="application/toml",
        icon=":material/save:",
        on_click="ignore",
    )
