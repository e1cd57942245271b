"""A centre height measured from a clip, carried to the bench."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from solver.quantities import Quantity

KEY = "carried_centre"


@dataclass(frozen=True)
class CarriedCentre:
    """What a clip said of a body, SI."""

    name: str
    """Of the clip or the body, as its owner calls it: to be shown as text."""
    height_m: Quantity
    radius_m: Quantity
    angle_rad: Quantity


def carry(name: str, height_m: Quantity, radius_m: Quantity, angle_rad: Quantity) -> None:
    """Put a measured centre height where the bench finds it."""
    st.session_state[KEY] = CarriedCentre(name, height_m, radius_m, angle_rad)


def carried() -> CarriedCentre | None:
    """The measured centre height that was carried here, if any was."""
    return st.session_state.get(KEY)
