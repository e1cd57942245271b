"""Read a clip: from a phone's clip to the brink angle and the centre height."""

from __future__ import annotations

import streamlit as st

from ui import desk
from ui.answer import Answer, answer
from ui.bench.carried import carry
from ui.by_hand import put_right
from ui.choosing import ask_rim, choose_clip, request_of
from ui.desk import Request
from ui.jobs import Ticket
from ui.samples import samples
from ui.sharing.visitors import guard
from ui.showing import show_answer
from ui.uploads import KeptClip
from ui.words import FILMING, FIRST, SAFETY
from vision.reading import Outcome

POLL_S = 0.4


def show() -> None:
    """The page from top to bottom."""
    guard("read_a_clip")
    st.title("Read a clip", anchor=False)
    st.markdown(
        "A body stands on a board; one end of the board is raised. From a clip of it you get "
        "whether the body toppled, slid or stayed, at what tilt, and how high its centre of "
        "mass lies."
    )
    clip, request = _ask()
    asked: Request | None = st.session_state.get("request")
    if asked is None or clip is None or asked.clip.sha256 != clip.sha256:
        _say_what_next(clip, request)
        _cautions(expanded=True)
        return
    st.divider()
    if request is not None and request.basis != asked.basis:
        st.info("You changed what is given above. Press Measure to read the clip anew.")
    ticket: Ticket = st.session_state["ticket"]
    if ticket.done:
        _show(asked, ticket)
    else:
        _wait(ticket)
    _cautions(expanded=False)


def _ask() -> tuple[KeptClip | None, Request | None]:
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("1 \u2002The clip", anchor=False)
        clip, sample = choose_clip()
    with right:
        st.subheader("2 \u2002The rim that touches the board", anchor=False)
        rim = ask_rim(sample)
    request = None if clip is None or rim is None else request_of(clip, *rim)
    if st.button("Measure", type="primary", disabled=request is None) and request is not None:
        _begin(request)
    return clip, request


def _begin(request: Request) -> None:
    """Have a request measured; one that is shown as unread is tried again."""
    shown: Ticket | None = st.session_state.get("ticket")
    if shown is desk.ticket(request) and _unread(shown):
        desk.forget(request)
    st.session_state["request"], st.session_state["ticket"] = request, desk.ticket(request)
    st.rerun()


def _unread(ticket: Ticket) -> bool:
    return ticket.done and ticket.reading().outcome is Outcome.UNREADABLE


def _say_what_next(clip: KeptClip | None, request: Request | None) -> None:
    if clip is None:
        st.info(
            "Next: upload a clip of a body on a board that is being raised, or choose a sample. "
            "Film from the side with the phone leaning on books, the whole board and body in the "
            "picture, from before the board moves until the body has gone."
        )
    elif request is None:
        st.info("Next: give the size of the rim that touches the board.")
    else:
        st.info("Next: press Measure.")


@st.fragment(run_every=POLL_S)
def _wait(ticket: Ticket) -> None:
    if ticket.done:
        st.rerun()
    share = ticket.share
    words = f"Reading frames: {100 * share:.0f} %" if share else "Waiting for a free worker"
    st.progress(share, text=words)


def _show(asked: Request, ticket: Ticket) -> None:
    found = answer(ticket.reading(), asked.radius_m)
    sample = next((each for each in samples() if each.path == asked.clip.path), None)
    show_answer(found, asked, sample)
    _carry(asked, found)
    put_right(asked, found, _begin)
    if sample is None and st.button("Delete this clip from this machine"):
        desk.delete(asked)
        st.session_state["upload round"] = st.session_state.get("upload round", 0) + 1
        del st.session_state["request"], st.session_state["ticket"]
        st.rerun()


def _carry(asked: Request, found: Answer) -> None:
    """Lay a centre height ready for the other pages."""
    if found.height is None or found.reading.angle_rad is None:
        return
    carry(asked.clip.name, found.height.height_m, asked.radius_m, found.reading.angle_rad)
    st.caption("This centre height is at hand on the other pages.")


def _cautions(expanded: bool) -> None:
    with st.expander("Cautions", expanded=expanded, icon=":material/health_and_safety:"):
        st.markdown(f"**{FIRST}**")
        falling, filming = st.columns(2)
        for column, title, lines in (
            (falling, "Falling bodies", SAFETY),
            (filming, "Filming", FILMING),
        ):
            column.markdown("\n".join([f"**{title}**", "", *(f"- {line}" for line in lines)]))


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
