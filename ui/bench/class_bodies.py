"""The class's own bodies on the map: kept from the bench, or from their files."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from solver.errors import InputError
from solver.friction import Push, Stand
from solver.quantities import Quantity
from ui.bench.body_file import read
from ui.bench.push_map import Mark, mark_of
from ui.words import as_text

KEPT, READ, REFUSED = "bodies on the map", "bodies on the map read", "bodies refused"
UPLOAD = "map upload"
MOST = 40


@dataclass(frozen=True)
class Placed:
    """A body on its surface, and the height at which it is pushed."""

    name: str
    stand: Stand
    height_m: Quantity


def class_bodies() -> list[Placed]:
    """Those kept in this session."""
    bodies: list[Placed] = st.session_state.setdefault(KEPT, [])
    return bodies


def _keep(placed: Placed) -> None:
    others = [each for each in class_bodies() if each.name != placed.name]
    st.session_state[KEPT] = [*others, placed][-MOST:]


def _clear() -> None:
    st.session_state[KEPT] = []


def ask_bodies(here: Placed) -> None:
    """Keep the body in view on the map, add bodies from files, or clear them."""
    with st.expander("The class's bodies on the map"):
        st.markdown("Each is shown at the height and on the surface it was kept with.")
        with st.container(horizontal=True, vertical_alignment="bottom"):
            name = st.text_input("As", here.name, max_chars=30, key=f"map name {here.name}")
            own = Placed(name, here.stand, here.height_m)
            st.button("Keep this one on the map", on_click=_keep, args=(own,))
            st.button("Clear the map", on_click=_clear, disabled=not class_bodies())
        st.file_uploader(
            "Add saved bodies, on this surface and pushed at this height",
            type=["toml"], accept_multiple_files=True, key=UPLOAD,
            on_change=_add_files, args=(here,),
        )  # fmt: skip
        for refused in st.session_state.get(REFUSED, ()):
            st.error(as_text(refused))


def _add_files(here: Placed) -> None:
    """Put new files on the map; in the callback, so that the map above has them at once."""
    seen: set[str] = st.session_state.setdefault(READ, set())
    refused = []
    for upload in st.session_state[UPLOAD]:
        if upload.file_id in seen:
            continue
        seen.add(upload.file_id)
        try:
            sheet = read(upload.getvalue())
            stand = Stand.of(sheet.whole(), here.stand.friction, sheet.base.tips)
            _keep(Placed(sheet.name, stand, here.height_m))
        except InputError as error:
            refused.append(f"{upload.name}: {error}")
    st.session_state[REFUSED] = refused


def marks_of(bodies: list[Placed], unit_m: float | None, raised: bool) -> list[Mark]:
    """Marks of bodies, at the centre where the board is raised, else where it is pushed.

    Without a unit each is measured in its own distance r. One that is too low is left out.
    """
    marks = []
    for each in bodies:
        height = each.stand.centre_height_m if raised else each.height_m
        try:
            unit = each.stand.radius_m if unit_m is None else unit_m
            marks.append(mark_of(each.name, each.stand, Push(height), unit))
        except InputError as error:
            st.caption(as_text(f"{each.name} is not on the map. {error}"))
    return marks
