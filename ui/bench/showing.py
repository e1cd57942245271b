"""How the bench shows what it found: numbers, drawings, working, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from solver.notation import LATEX
from solver.working import Working
from ui.words import FIRST, SAFETY, as_text

HANDS_ON = {
    "lump": "Secure the rod and the lump before the board is raised: a loose one flies off.",
    "balance": (
        "Balance over a low table with a padded tray below; hold a hand under the body, never "
        "a foot."
    ),
    "push": (
        "Push with one finger or a ruler, slowly, and away from people; a padded tray stops "
        "what slides or falls."
    ),
}
"""Cautions of one kind of work, beside those of all."""


BESIDE = """
<style>
.st-key-beside [data-testid="stMetricValue"] { font-size: 1.4rem; }
@media (min-width: 900px) {
  [data-testid="stLayoutWrapper"]:has(> .st-key-beside) { position: sticky; top: 4.2rem; }
  [data-testid="stColumn"]:has(.st-key-beside) > [data-testid="stVerticalBlock"] { height: 100%; }
}
</style>
"""
"""Keeps the answer in sight beside a long form; on a phone it stands above the form."""


def answer_beside_form() -> tuple[DeltaGenerator, DeltaGenerator]:
    """Room for the answer and room for the form, side by side where there is width."""
    st.html(BESIDE)
    answer, form = st.columns([1, 1], gap="large")
    return answer.container(key="beside"), form


def metrics(numbers: Sequence[tuple[str, str]]) -> None:
    """Named results side by side."""
    with st.container(horizontal=True):
        for name, words in numbers:
            st.metric(name, words, border=True)


def drawing(svg: str) -> None:
    """A drawing as wide as its column.

    Not by ``st.html``, which leaves SVG out. Within a ``div`` Markdown takes nothing
    for marks of its own, and `ui.bench.drawing` has made text of all words.
    """
    st.markdown(f"<div>{svg}</div>", unsafe_allow_html=True)


def workings(shown: Iterable[Working]) -> None:
    """The working unfolded on request, one fold for each."""
    for working in shown:
        with st.expander(f"The working: {as_text(working.title)}"):
            for number, step in enumerate(working.steps, start=1):
                st.markdown(f"**{number}.** {as_text(step.principle)}")
                for line in (step.in_symbols(LATEX), step.with_numbers(LATEX), step.answer(LATEX)):
                    st.latex(line)
            if working.conclusion:
                st.markdown(as_text(working.conclusion))


def warn(doubts: Iterable[str]) -> None:
    """What looks like a slip of units."""
    for doubt in doubts:
        st.warning(as_text(doubt), icon=":material/straighten:")


def cautions(kind: str) -> None:
    """Where the work can hurt; the school's own rules come first."""
    with st.expander("Before you try it: cautions", icon=":material/health_and_safety:"):
        st.markdown("\n".join(f"- {as_text(words)}" for words in (*SAFETY, HANDS_ON[kind])))
        st.markdown(as_text(FIRST))
