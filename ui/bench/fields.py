"""Fields that keep what was typed: while another part is in hand, and while another page is open.

Streamlit forgets a field that is not on the page. What is typed is therefore kept
at once, in the field's own callback: a click that follows on its heels cannot lose it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Protocol, TypeVar

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from ui.bench.sheet import Number

T = TypeVar("T")

KEPT = "bench kept"
NUMBER_PX, SPREAD_PX = 84, 66


def kept() -> dict[str, Any]:
    """All that was typed on the bench in this session, by the key of its field."""
    values: dict[str, Any] = st.session_state.setdefault(KEPT, {})
    return values


def _keep(key: str, twin: str = "") -> None:
    """Keep a field, and set its twin to the same."""
    kept()[key] = st.session_state[key]
    if twin:
        kept()[twin] = st.session_state[twin] = st.session_state[key]


class Ask(Protocol):
    """Asks for values by key; those not yet typed are what they begin with."""

    def row(self) -> AbstractContextManager[object]:
        """Within it, fields stand side by side as far as they fit."""
        ...

    def text(self, label: str, key: str, first: str) -> str: ...
    def area(self, label: str, key: str, first: str, help: str = "") -> str: ...
    def flag(self, label: str, key: str, first: bool, help: str = "") -> bool: ...
    def choice(self, label: str, key: str, first: str, titles: Mapping[str, str]) -> str: ...
    def number(self, label: str, key: str, first: float, step: float, help: str = "") -> float: ...
    def measure(
        self, label: str, unit: str, key: str, first: Number, span: tuple[float, float],
        step: float, help: str = "",
    ) -> Number: ...  # fmt: skip


class Remembered:
    """Answers from what was typed before; draws nothing."""

    def row(self) -> AbstractContextManager[object]:
        return nullcontext()

    def text(self, label: str, key: str, first: str) -> str:
        return _remembered(key, first)

    def area(self, label: str, key: str, first: str, help: str = "") -> str:
        return _remembered(key, first)

    def flag(self, label: str, key: str, first: bool, help: str = "") -> bool:
        return _remembered(key, first)

    def choice(self, label: str, key: str, first: str, titles: Mapping[str, str]) -> str:
        return _remembered(key, first)

    def number(self, label: str, key: str, first: float, step: float, help: str = "") -> float:
        return _remembered(key, first)

    def measure(
        self, label: str, unit: str, key: str, first: Number, span: tuple[float, float],
        step: float, help: str = "",
    ) -> Number:  # fmt: skip
        return Number(_remembered(key, first.value), _remembered(f"{key} u", first.u))


class Shown:
    """Draws each field where it is asked for."""

    def row(self) -> AbstractContextManager[object]:
        return side_by_side()

    def text(self, label: str, key: str, first: str) -> str:
        _begin(key, first)
        return st.text_input(label, key=key, max_chars=60, on_change=_keep, args=(key,))

    def area(self, label: str, key: str, first: str, help: str = "") -> str:
        _begin(key, first)
        return st.text_area(
            label,
            key=key,
            help=help or None,
            height=100,
            max_chars=4000,
            on_change=_keep,
            args=(key,),
        )

    def flag(self, label: str, key: str, first: bool, help: str = "") -> bool:
        _begin(key, first)
        return st.toggle(label, key=key, help=help or None, on_change=_keep, args=(key,))

    def choice(self, label: str, key: str, first: str, titles: Mapping[str, str]) -> str:
        _begin(key, first)
        return st.selectbox(
            label, list(titles), format_func=titles.__getitem__, key=key,
            on_change=_keep, args=(key,),
        )  # fmt: skip

    def number(self, label: str, key: str, first: float, step: float, help: str = "") -> float:
        _begin(key, first)
        return st.number_input(
            label, step=step, format=_format(step), key=key, help=help or None,
            on_change=_keep, args=(key,),
        )  # fmt: skip

    def measure(
        self, label: str, unit: str, key: str, first: Number, span: tuple[float, float],
        step: float, help: str = "",
    ) -> Number:  # fmt: skip
        with side_by_side():
            value = slid(label, unit, key, first.value, span, step, help)
            spread = f"{key} u"
            _begin(spread, first.u)
            u = st.number_input(
                "± u", step=step / 5, format="%.2f", key=spread, width=SPREAD_PX,
                on_change=_keep, args=(spread,),
            )  # fmt: skip
        return Number(value, u)


def slid(
    label: str, unit: str, key: str, first: float, span: tuple[float, float], step: float,
    help: str = "",
) -> float:  # fmt: skip
    """A slider beside a number; the number may be typed beyond the slider's ends."""
    low, high = span
    slider = f"{key} slider"

    def fit(value: float) -> float:
        return min(high, max(low, float(value)))

    _begin(key, float(first))
    st.session_state[slider] = fit(st.session_state[key])
    name = f"{label} / {unit}" if unit else label
    st.slider(
        name, low, high, step=step, key=slider,
        format=_format(step), help=help or None, on_change=_keep, args=(slider, key),
    )  # fmt: skip
    return st.number_input(
        name, step=step, format=_format(step), key=key, width=NUMBER_PX,
        label_visibility="collapsed", on_change=_keep, args=(key,),
    )  # fmt: skip


def fill(key: str, value: Any) -> None:
    """Set a field from a button's callback."""
    kept()[key] = st.session_state[key] = value


def side_by_side() -> DeltaGenerator:
    """Room for fields in one row, as far as they fit."""
    return st.container(horizontal=True, vertical_alignment="bottom", gap="small")


def one_of(label: str, key: str, options: Sequence[T], say: Callable[[T], str] = str) -> T:
    """One of a few, side by side; the first to begin with, and one always chosen."""
    _begin(key, options[0])
    st.segmented_control(
        label, options, format_func=say, key=key, on_change=_keep_choice, args=(key, options[0])
    )
    chosen: T = st.session_state[key]
    return chosen


def _keep_choice(key: str, first: Any) -> None:
    """Keep what was chosen; a click on the chosen one leaves it chosen."""
    if st.session_state[key] is None:
        st.session_state[key] = kept().get(key, first)
    kept()[key] = st.session_state[key]


def _begin(key: str, first: Any) -> None:
    if key not in st.session_state:
        st.session_state[key] = kept().get(key, first)


def _remembered(key: str, first: T) -> T:
    value: T = kept().get(key, first)
    return value


def _format(step: float) -> str:
    return "%.0f" if step >= 1 else "%.1f" if step >= 0.1 else "%.2f" if step >= 0.01 else "%.3f"
