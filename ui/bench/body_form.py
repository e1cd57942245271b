"""Asking for a body: its base, its parts, its rod and lump."""

from __future__ import annotations

import re
from dataclasses import replace
from uuid import uuid4

import streamlit as st

from solver.bodies import Side
from solver.errors import InputError
from solver.shapes import Material
from ui.bench.fields import Ask, Remembered, Shown, kept, one_of
from ui.bench.kinds import DRAWN, KINDS, TITLES, WEIGHED, material_of
from ui.bench.sections import Spot
from ui.bench.sheet import (
    BASES,
    BaseSheet,
    BodySheet,
    LumpSheet,
    Number,
    PartSheet,
    RodSheet,
)

BASE_TITLES = {
    "circle": "Round base or rim",
    "ring": "Raised round rim",
    "rectangle": "Rectangular base",
}
TIPS = {
    Side.RIGHT.name: "To the right",
    Side.LEFT.name: "To the left",
    Side.BACK.name: "To the back",
    Side.FRONT.name: "To the front",
}
USUAL_BASE_MM = {
    "radius": 36.5, "outer_radius": 36.0, "inner_radius": 32.0, "width": 60.0, "depth": 45.0
}  # fmt: skip
AMOUNTS = {
    Material.SOLID: ("density / kg/m³", 800.0, 10.0),
    Material.SHEET: ("mass per area / kg/m²", 1.0, 0.05),
    Material.WIRE: ("mass per length / kg/m", 0.05, 0.005),
}
USUAL_PART = PartSheet("new part", WEIGHED, Number(20.0, 0.1), stands_at=Number(40.0, 1.0))


class Draft:
    """The body in hand: what it began as, and a key of its own for the fields of each part."""

    def __init__(self, sheet: BodySheet) -> None:
        self.key, self.sheet = uuid4().hex[:8], sheet
        self.parts = {uuid4().hex[:8]: part for part in sheet.parts}

    def add(self) -> None:
        """One more part, which is then in hand."""
        key = uuid4().hex[:8]
        self.parts[key] = replace(USUAL_PART, name=f"part {len(self.parts) + 1}")
        self.hold(key)

    def remove(self, key: str) -> None:
        """Take a part away; the first of the others is then in hand."""
        del self.parts[key]
        self.hold(next(iter(self.parts)))

    def hold(self, key: str) -> None:
        """Show that part's fields."""
        kept()[f"{self.key} in hand"] = st.session_state[f"{self.key} in hand"] = key


def ask_body(draft: Draft) -> BodySheet:
    """The body as the fields say it. Raises `InputError` for points that are none."""
    ask, key = Shown(), draft.key
    name = ask.text("Name of the body", f"{key} name", draft.sheet.name).strip() or "body"
    st.caption("± u is the standard uncertainty: how far off the number may be, typically.")
    with st.expander("Base: where it touches the board", expanded=True):
        base = _ask_base(ask, f"{key} base", draft.sheet.base)
        height = _ask_height(ask, key, draft.sheet.height)
    parts = _ask_parts(draft)
    rod, lump = _ask_rod(ask, draft)
    return BodySheet(name, parts, base, height, rod, lump)


def _ask_base(ask: Ask, key: str, first: BaseSheet) -> BaseSheet:
    touches = ask.choice("It touches with a", f"{key} touches", first.touches, BASE_TITLES)
    sizes = {}
    for size in BASES[touches]:
        usual = first.sizes.get(size, USUAL_BASE_MM[size])
        label, own = size.replace("_", " ").capitalize(), f"{key} {size}"
        if size == BASES[touches][0]:
            number = ask.measure(
                label, "mm", own, Number(usual, first.sizes_u_mm), (5.0, 150.0), 0.5
            )
            sizes[size], u = number.value, number.u
        else:
            sizes[size] = ask.number(f"{label} / mm", own, usual, 0.5)
    with ask.row():
        bevel = ask.number(
            "Bevel of the rim / mm", f"{key} bevel", first.bevel_mm, 0.1,
            "By how much the rounding of the rim lifts its outermost edge off the board.",
        )  # fmt: skip
        tips = ask.choice("It tips", f"{key} tips", first.tips.name, TIPS)
    return BaseSheet(touches, sizes, u, bevel, Side[tips])


def _ask_height(ask: Ask, key: str, first: Number | None) -> Number | None:
    wanted = ask.flag(
        "Give the height of the whole", f"{key} has height", first is not None,
        "Nothing may then reach above it. Needed where a weighed part has no shape.",
    )  # fmt: skip
    if not wanted:
        return None
    usual = first or Number(110.0, 0.5)
    return ask.measure("Height of the whole", "mm", f"{key} height", usual, (10.0, 400.0), 0.5)


def _ask_parts(draft: Draft) -> tuple[PartSheet, ...]:
    """All parts, of which the one in hand shows its fields."""
    with st.container(border=True):
        st.markdown("**Parts**")
        before = {key: ask_part(Remembered(), key, part) for key, part in draft.parts.items()}
        in_hand = one_of(
            "Part in hand", f"{draft.key} in hand", list(before), lambda key: before[key].name
        )
        st.button("Add a part", icon=":material/add:", on_click=draft.add)
        part = ask_part(Shown(), in_hand, draft.parts[in_hand])
        if len(before) > 1:
            st.button(
                "Remove this part", icon=":material/delete:", on_click=draft.remove, args=(in_hand,)
            )
    return tuple((before | {in_hand: part}).values())


def ask_part(ask: Ask, key: str, first: PartSheet) -> PartSheet:
    """One part as its fields say it."""
    with ask.row():
        name = ask.text("Name of the part", f"{key} name", first.name).strip() or "part"
        kind = ask.choice("What it is", f"{key} kind", first.kind, TITLES)
    usual = first if kind == first.kind else PartSheet(name, kind)
    mass, amount = _ask_mass(ask, f"{key} {kind}", kind, usual)
    sizes, u, points = _ask_sizes(ask, f"{key} {kind}", kind, usual)
    words = "Height of its centre" if kind == WEIGHED else "Height of its base"
    at = ask.measure(words, "mm", f"{key} at", first.stands_at, (0.0, 300.0), 0.5)
    with ask.row():
        aside = ask.number(
            "Aside / mm", f"{key} aside", first.aside_mm, 0.5,
            "How far its axis lies from the body's, positive to the right (or the back).",
        )  # fmt: skip
        turned = kind != WEIGHED and ask.flag("Upside down", f"{key} turned", first.upside_down)
    return PartSheet(name, kind, mass, amount, sizes, u, points, at, aside, turned)


def _ask_mass(
    ask: Ask, key: str, kind: str, usual: PartSheet
) -> tuple[Number | None, Number | None]:
    material = material_of(kind)
    first = usual.mass or Number(20.0, 0.1)
    if material is None:
        return ask.measure("Mass", "g", f"{key} mass", first, (1.0, 500.0), 0.5), None
    label, common, step = AMOUNTS[material]
    by_amount = ask.flag(f"By {label.split(' /')[0]}", f"{key} by amount", usual.amount is not None)
    if not by_amount:
        return ask.measure("Mass", "g", f"{key} mass", first, (1.0, 500.0), 0.5), None
    name, unit = label.split(" / ")
    amount = usual.amount or Number(common, common / 50)
    span = (step, common * 10)
    return None, ask.measure(name.capitalize(), unit, f"{key} amount", amount, span, step)


def _ask_sizes(
    ask: Ask, key: str, kind: str, usual: PartSheet
) -> tuple[dict[str, float], float, tuple[Spot, ...]]:
    if kind == WEIGHED:
        return {}, 0.0, ()
    if kind in KINDS:
        with ask.row():
            sizes = {
                size.key: ask.number(
                    f"{size.label} / mm", f"{key} {size.key}",
                    usual.sizes.get(size.key, size.usual_mm), 0.5,
                )
                for size in KINDS[kind].sizes
            }  # fmt: skip
            u = ask.number("± u of each / mm", f"{key} sizes u", usual.sizes_u_mm, 0.1)
        return sizes, u, ()
    drawn = DRAWN[kind]
    words = "\n".join(f"{a:g} {b:g}" for a, b in usual.points or drawn.usual_mm)
    label = f"Points: {drawn.columns[0]} and {drawn.columns[1]} in mm, one point a line"
    points = points_in(ask.area(label, f"{key} points", words))
    if drawn.has_depth:
        return {"depth": ask.number("Depth / mm", f"{key} depth", 40.0, 0.5)}, 0.0, points
    return {}, 0.0, points


def points_in(words: str) -> tuple[Spot, ...]:
    """Points from lines of two numbers. Raises `InputError` for a line that is none."""
    points = []
    for n, line in enumerate(words.splitlines(), start=1):
        if not line.strip():
            continue
        numbers = numbers_in(line, f"Line {n} of the points")
        if len(numbers) != 2:
            raise InputError(f"Line {n} of the points has {len(numbers)} numbers; it needs two.")
        points.append((numbers[0], numbers[1]))
    return tuple(points)


def numbers_in(words: str, where: str) -> list[float]:
    """Numbers between blanks or semicolons, or commas that are followed by a blank.

    Raises `InputError` for what is no number.
    """
    numbers = []
    for word in re.split(r"[;\s]+|,\s+", words.strip(" ,;\n")):
        if not word:
            continue
        try:
            numbers.append(float(word.rstrip(",").replace("−", "-").replace(",", ".")))
        except ValueError as error:
            raise InputError(f"{where}: '{word}' is no number; write such as 52.5.") from error
    return numbers


def _ask_rod(ask: Ask, draft: Draft) -> tuple[RodSheet | None, LumpSheet]:
    key = draft.key
    with st.container(border=True):
        if not ask.flag("A rod with a lump on it", f"{key} has rod", draft.sheet.rod is not None):
            return None, draft.sheet.lump
        return _ask_lump(ask, key, draft.sheet.rod or RodSheet(), draft.sheet.lump)


def _ask_lump(ask: Ask, key: str, rod: RodSheet, lump: LumpSheet) -> tuple[RodSheet, LumpSheet]:
    mass = ask.measure("Mass of the rod", "g", f"{key} rod mass", rod.mass, (0.5, 100.0), 0.5)
    length = ask.measure(
        "Length of the rod", "mm", f"{key} rod length", rod.length, (10.0, 400.0), 1.0
    )
    heavy = ask.measure("Mass of the lump", "g", f"{key} lump mass", lump.mass, (1.0, 300.0), 0.5)
    with ask.row():
        foot = ask.number("Foot of the rod / mm", f"{key} foot", rod.foot_mm, 0.5)
        long = ask.number("Lump: length / mm", f"{key} lump length", lump.length_mm, 0.5)
        wide = ask.number("Lump: radius / mm", f"{key} lump radius", lump.radius_mm, 0.5)
    low, high = foot + long / 2, foot + length.value - long / 2
    span = (low, high) if high > low else (low, low + 1.0)
    place = ask.measure(
        "Place of the lump", "mm", f"{key} place", lump.place, span, 0.5,
        "Of its centre, above the base.",
    )  # fmt: skip
    return RodSheet(mass, length, foot), LumpSheet(heavy, long, wide, place)
