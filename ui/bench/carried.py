"""A centre height measured from a clip, carried to the bench."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st
from uncertainties import ufloat

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


TOPPLING = "centre by toppling"


def from_interval(value: float, u95: float) -> Quantity:
    """A measured value from its 95 % half-width, in the unit of both."""
    return ufloat(value, u95 / 1.96, TOPPLING) if u95 else value
