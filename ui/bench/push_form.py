"""Asking for what 'Slide or topple' needs: the body, the surface, the push."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import streamlit as st
from uncertainties import nominal_value, std_dev

from solver.bodies import unit_doubts
from solver.errors import InputError
from solver.friction import Push, Slide, Stand, Way, friction_by_surface
from solver.quantities import DEGREE, MILLIMETRE, Quantity, an_angle
from solver.worked_friction import friction_of
from solver.working import Working
from ui.bench.bench_body import body_in_hand
from ui.bench.body_drawing import as_drawn
from ui.bench.body_form import numbers_in
from ui.bench.carried import carried
from ui.bench.fields import Shown, one_of
from ui.bench.sections import Section, block
from ui.bench.sheet import BodySheet, Number

SURFACES = {
    "smooth metal on metal": 0.2,
    "planed wood on plywood": 0.3,
    "sawn timber on plywood": 0.45,
    "cardboard on cardboard": 0.5,
}
"""Static and dry: IMO/ILO/UNECE Code of Practice for Packing of Cargo
Transport Units, annex on friction."""
TABLE_U = 0.05
"""Of a value from the table: surfaces that bear the same name differ by so much (our choice)."""


WAYS: dict[Way, str] = {Way.DOWN: "down the slope", Way.UP: "up the slope"}


class Known(StrEnum):
    """How the coefficient of friction is known."""

    TYPED = "Typed in"
    SLIDES = "From sliding clips"
    TABLE = "By surface"


class Where(StrEnum):
    """Where the body's r and x come from."""

    BUILT = "Body from the bench"
    CLIP = "From the clip"
    TYPED = "Typed in"


@dataclass(frozen=True)
class Standing:
    """The body on its surface, with its outline."""

    name: str
    stand: Stand
    outline: Sequence[tuple[str, Section]]
    sheet: BodySheet | None
    workings: tuple[Working, ...] = ()
    doubts: tuple[str, ...] = ()


def ask_standing() -> Standing:
    """The body and the surface under it. Raises what the solver raises."""
    friction, workings = _ask_friction()
    measured = carried()
    where = one_of("The body", "push where", [w for w in Where if measured or w is not Where.CLIP])
    if where is Where.TYPED:
        return replace(_ask_typed(friction), workings=workings)
    sheet = body_in_hand()
    body, side = sheet.whole(), sheet.base.tips
    stand = Stand.of(body, friction, side)
    name, doubts = sheet.name, unit_doubts(body)
    if where is Where.CLIP and measured:
        name = measured.name
        stand = replace(
            stand, radius_m=measured.radius_m, centre_height_m=measured.height_m, top_m=None
        )
        outline = _plain(stand)
        st.caption("Its mass is that of the body on the bench; which comes first needs none.")
        return Standing(name, stand, outline, None, workings, doubts)
    return Standing(name, stand, as_drawn(sheet), sheet, workings, doubts)


def _ask_typed(friction: Quantity) -> Standing:
    ask = Shown()
    r = ask.measure("Distance r to the pivot", "mm", "push r", Number(36.5, 0.2), (5.0, 150.0), 0.5)
    x = ask.measure("Height x of the centre", "mm", "push x", Number(57.0, 0.5), (5.0, 300.0), 0.5)
    top = ask.measure("Height of the body", "mm", "push top", Number(110.0), (10.0, 400.0), 0.5)
    mass = ask.measure("Mass", "g", "push mass", Number(146.0, 0.1), (1.0, 1000.0), 0.5)
    stand = Stand(
        r.mm("distance to the pivot"),
        x.mm("height of the centre"),
        friction,
        mass.g("mass of the body"),
        top.value * MILLIMETRE.in_si,
    )
    doubt = (
        (f"A distance r of {r.value:g} mm is small for a base; were these centimetres?",)
        if r.value < 10
        else ()
    )
    return Standing("body", stand, _plain(stand), None, doubts=doubt)


def _plain(stand: Stand) -> list[tuple[str, Section]]:
    """The outline of a body of which only r and x are known, and perhaps its height."""
    top = 2 * stand.centre_height_m if stand.top_m is None else stand.top_m
    r, height = (float(nominal_value(q)) / MILLIMETRE.in_si for q in (stand.radius_m, top))
    return [("body", block(2 * r, height))]


def _ask_friction() -> tuple[Quantity, tuple[Working, ...]]:
    how = one_of("Coefficient of friction μ", "friction how", list(Known))
    if how is Known.SLIDES:
        return _ask_slides()
    ask = Shown()
    if how is Known.TABLE:
        titles = {name: f"{name}: {mu:g}" for name, mu in SURFACES.items()}
        surface = ask.choice(
            "Surface, static and dry", "friction surface", next(iter(titles)), titles
        )
        st.caption(
            "From the CTU Code's table of friction. Your own surfaces differ: measure them by "
            f"sliding when you can. Taken as ± u {TABLE_U:g}."
        )
        return Number(SURFACES[surface], TABLE_U).plain("friction"), ()
    typed = ask.measure("μ", "", "friction", Number(0.45, 0.04), (0.05, 1.2), 0.01)
    return typed.plain("friction"), ()


def _ask_slides() -> tuple[Quantity, tuple[Working, ...]]:
    ask = Shown()
    words = ask.area("Tilts at first slip / °, from clips of one surface", "friction slides", "")
    u = ask.number("Each ± u / °", "friction slides u", 0.3, 0.1)
    tilts = numbers_in(words, "Tilts at first slip")
    if not tilts:
        raise InputError("Give the tilts at which the body began to slide, such as 24.1 25.0 23.6.")
    angles = [Number(tilt, u).plain("tilt at first slip") * DEGREE.in_si for tilt in tilts]
    repeats = friction_by_surface(Slide("this surface", angle) for angle in angles)["this surface"]
    st.caption(f"μ = {nominal_value(repeats.mean):.3f} ± {repeats.u95:.3f} (95 %)")
    mean = Number(float(nominal_value(repeats.mean)), float(std_dev(repeats.mean)))
    return mean.plain("friction"), (friction_of("this surface", angles),)


@dataclass(frozen=True)
class Pushing:
    """A push and the tilt of the surface."""

    how: Push
    tilt_rad: float


def ask_push(standing: Standing) -> Pushing:
    """The push and the tilt. Raises what the solver raises."""
    ask, stand = Shown(), standing.stand
    top = 200.0 if stand.top_m is None else float(nominal_value(stand.top_m)) / MILLIMETRE.in_si
    usual = Number(round(0.6 * top, 1), 1.0)
    key = f"push height {standing.name}"
    height = ask.measure("Height h of the push", "mm", key, usual, (0.0, top), 0.5)
    h = height.mm("height of the push")
    with ask.row():
        tilt = ask.number("Tilt of the surface / °", "push tilt", 0.0, 0.5)
        angle = ask.number(
            "Push raised by / °", "push angle", 0.0, 1.0,
            "From the surface; negative presses down.",
        )  # fmt: skip
    way = one_of("Pushed", "push way", list(Way), lambda way: WAYS[way]) if tilt else Way.DOWN
    tilt_rad = an_angle(tilt * DEGREE.in_si, "tilt of the surface", ends="[)")
    behind: Quantity | None = None
    if angle:
        r = float(nominal_value(stand.radius_m)) / MILLIMETRE.in_si
        behind = MILLIMETRE.in_si * ask.number(
            "The push acts behind the pivot by / mm", "push behind", round(2 * r, 1), 0.5,
            "Measured along the base, from the edge it would tip about.",
        )  # fmt: skip
    return Pushing(Push(h, angle * DEGREE.in_si, behind, way), float(nominal_value(tilt_rad)))
