"""The commands about a lump on a rod."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import typer
from uncertainties import nominal_value

from solver.design import Accuracy, mass_for, position_for
from solver.errors import InputError
from solver.lump import find_lump, mass_of_lump, position_of_lump
from solver.quantities import DEGREE, GRAM, MILLIMETRE, Quantity
from solver.rig import Lump, Rig
from solver.worked_bodies import height_from_tilt
from solver.worked_lump import brink_with_lump, lump_found, place_of_lump
from solver.worked_lump import mass_for as worked_mass_for
from solver.worked_lump import mass_of_lump as worked_mass
from solver.worked_lump import place_for as worked_place_for
from ui.bench.cards import card_record, set_of_cards
from ui.bench.printing import BodyFile, Json, ShowWorking, give, sheet_in, usage
from ui.bench.sheet import BodySheet, Number
from ui.bench.words import record, said

MM, DEG = MILLIMETRE.in_si, DEGREE.in_si

lump_app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Put a lump on a body's rod: predict, work backwards, set an angle, make cards.",
)

Angle = Annotated[float, typer.Option(help="The brink angle that was measured.")]
AngleU = Annotated[float, typer.Option(help="Standard uncertainty of an angle.")]
Place = Annotated[
    float | None, typer.Option(help="The lump's centre above the base; else as in the file.")
]
PlaceU = Annotated[float, typer.Option(help="Standard uncertainty of the place.")]


def _rig(sheet: BodySheet) -> Rig:
    rig = sheet.rig()
    if rig is None:
        raise InputError(f"The {sheet.name} has no rod; give its file a table [rod].")
    return rig


def _place(sheet: BodySheet, at_mm: float | None, u_mm: float) -> Quantity:
    return sheet.lump.place_m() if at_mm is None else Number(at_mm, u_mm).mm("place of the lump")


def _angle(degrees: float, u: float, name: str = "brink angle") -> Quantity:
    return Number(degrees, u).plain(name) * DEG


@lump_app.command()
def predict(
    file: BodyFile,
    at_mm: Place = None,
    at_u_mm: PlaceU = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Predict the brink angle with the lump in its place."""
    with usage():
        sheet = sheet_in(file)
        rig, lump, place = _rig(sheet), sheet.lump.lump(), _place(sheet, at_mm, at_u_mm)
        laden, reach = rig.laden(lump, place), rig.reach(lump)
        brink = laden.brink_rad(rig.side)
        lines = [
            f"With the lump at {said(place, MILLIMETRE)} it topples at {said(brink, DEGREE)}.",
            f"Its centre is {said(laden.centre_height_m, MILLIMETRE)} above the base.",
            f"With this lump {reach}.",
        ]
        answer = {
            **record(place, "place", MILLIMETRE),
            **record(laden.centre_height_m, "centre_height", MILLIMETRE),
            **record(brink, "brink", DEGREE),
            "reachable_mm": [end / MM for end in reach.positions_m],
            "reachable_deg": [end / DEG for end in reach.angles_rad],
        }
        give(lines, answer, json, (), [brink_with_lump(rig, lump, place)] if working else [])


@lump_app.command()
def place(
    file: BodyFile,
    angle_deg: Angle,
    angle_u_deg: AngleU = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Find where the lump is from the brink angle, its mass being known."""
    with usage():
        sheet = sheet_in(file)
        rig, lump, angle = _rig(sheet), sheet.lump.lump(), _angle(angle_deg, angle_u_deg)
        height = rig.height_at(angle)
        found = position_of_lump(rig, lump, height)
        lines = [f"The lump's centre is {said(found, MILLIMETRE)} above the base."]
        steps = [
            height_from_tilt(rig.carrier.arm_m(rig.side), angle),
            place_of_lump(rig, lump, height),
        ]
        give(lines, record(found, "place", MILLIMETRE), json, (), steps if working else [])


@lump_app.command()
def mass(
    file: BodyFile,
    angle_deg: Angle,
    angle_u_deg: AngleU = 0.0,
    at_mm: Place = None,
    at_u_mm: PlaceU = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Find how heavy the lump is from the brink angle, its place being known."""
    with usage():
        sheet = sheet_in(file)
        rig, at, angle = (
            _rig(sheet),
            _place(sheet, at_mm, at_u_mm),
            _angle(angle_deg, angle_u_deg),
        )
        height = rig.height_at(angle)
        found = mass_of_lump(rig, at, height)
        lines = [f"The lump weighs {said(found, GRAM)}."]
        steps = [
            height_from_tilt(rig.carrier.arm_m(rig.side), angle),
            worked_mass(rig, at, height),
        ]
        give(lines, record(found, "mass", GRAM), json, (), steps if working else [])


@lump_app.command()
def both(
    file: BodyFile,
    angle_deg: Annotated[float, typer.Option(help="The first brink angle.")],
    then_deg: Annotated[float, typer.Option(help="The brink angle after the move.")],
    moved_up_mm: Annotated[float, typer.Option(help="How far the lump was moved up.")],
    angle_u_deg: AngleU = 0.0,
    moved_u_mm: Annotated[float, typer.Option(help="Standard uncertainty of the move.")] = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Find how heavy the lump is and where it was, from two brink angles at two places."""
    with usage():
        rig = _rig(sheet_in(file))
        angles = (
            _angle(angle_deg, angle_u_deg, "first angle"),
            _angle(then_deg, angle_u_deg, "second angle"),
        )
        first, second = map(rig.height_at, angles)
        shift = Number(moved_up_mm, moved_u_mm).mm("shift of the lump")
        found = find_lump(rig, shift, first, second)
        lines = [
            f"The lump weighs {said(found.mass_kg, GRAM)}.",
            f"It was first at {said(found.position_m, MILLIMETRE)} above the base.",
        ]
        answer = record(found.mass_kg, "mass", GRAM) | record(found.position_m, "place", MILLIMETRE)
        steps = [lump_found(rig, shift, first, second)]
        give(lines, answer, json, (), steps if working else [])


@lump_app.command()
def aim(
    file: BodyFile,
    angle_deg: Annotated[float, typer.Option(help="The angle at which it shall topple.")],
    angle_u_deg: AngleU = 0.0,
    by_mass: Annotated[
        bool, typer.Option("--by-mass", help="Leave the place, and say how heavy a lump to make.")
    ] = False,
    heaviest_g: Annotated[float, typer.Option(help="The heaviest lump to be had.")] = 300.0,
    at_mm: Place = None,
    placing_u_mm: Annotated[float, typer.Option(help="How well the lump is placed.")] = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Say where to put the lump, or how heavy to make it, for a set brink angle."""
    with usage():
        sheet = sheet_in(file)
        rig, lump, target = _rig(sheet), sheet.lump.lump(), angle_deg * DEG
        accuracy = Accuracy(placing_u_mm * MM, angle_u_deg * DEG)
        if by_mass:
            at = float(nominal_value(_place(sheet, at_mm, 0.0)))
            design = mass_for(rig, at, target, heaviest_g * GRAM.in_si, accuracy)
            lines = [f"Make the lump weigh {GRAM.show(design.mass_kg, 3)}."]
            steps = [worked_mass_for(rig, at, target)]
        else:
            design = position_for(rig, lump, target, accuracy)
            lines = [f"Put the lump at {MILLIMETRE.show(design.position_m, 3)} above the base."]
            steps = [worked_place_for(rig, lump, target)]
        lines.append(f"One measurement of it will read {said(design.reading_rad, DEGREE)}.")
        answer = {
            "place_mm": design.position_m / MM,
            "mass_g": design.mass_kg / GRAM.in_si,
            **record(design.reading_rad, "reading", DEGREE),
        }
        give(lines, answer, json, (), steps if working else [])


@lump_app.command()
def cards(
    file: BodyFile,
    count: Annotated[int, typer.Option(help="How many cards.")] = 6,
    seed: Annotated[int, typer.Option(help="The same seed gives the same cards.")] = 1,
    lump_g: Annotated[
        list[float] | None, typer.Option(help="A lump to choose from; again for more.")
    ] = None,
    apart_mm: Annotated[float, typer.Option(help="Between any two answers, at least.")] = 3.0,
    step_deg: Annotated[float, typer.Option(help="Angles are whole steps.")] = 0.5,
    json: Json = None,
) -> None:
    """Make challenge cards, with answers no two of which are alike."""
    with usage():
        sheet = sheet_in(file)
        lumps = [_like(sheet, grams) for grams in lump_g or [sheet.lump.mass.value]]
        drawn = set_of_cards(_rig(sheet), lumps, count, seed, apart_mm * MM, step_deg * DEG)
        records = [card_record(number, card) for number, card in enumerate(drawn, start=1)]
        give(list(_card_lines(records)), {"cards": records}, json)


def _like(sheet: BodySheet, grams: float) -> Lump:
    return Lump(grams * GRAM.in_si, sheet.lump.length_mm * MM, sheet.lump.radius_mm * MM)


def _card_lines(records: Iterable[dict[str, float]]) -> Iterable[str]:
    for card in records:
        yield (
            f"Card {card['card']:g}: with {card['lump_g']:g} g topple at {card['angle_deg']:g}°. "
            f"Answer: {card['place_mm']:.1f} mm."
        )
