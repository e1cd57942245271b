"""The bench's commands: a body's brink, a push, a balance."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer
from uncertainties import nominal_value

from solver.bodies import unit_doubts
from solver.edge_balance import MILLIMETRE_RULE_U_M, Balance, End, Overhang, balanced_centre
from solver.friction import Push, Stand, Verdict, Way, push
from solver.quantities import DEGREE, GRAM, MILLIMETRE, NEWTON, Quantity
from solver.repeats import compare
from solver.worked_bodies import balance_of, brink_of
from solver.worked_friction import pushed, raised
from ui.bench.balance_words import length_doubts, mean_words, scatter_words
from ui.bench.command_lump import lump_app
from ui.bench.printing import BodyFile, Json, ShowWorking, give, sheet_in, usage
from ui.bench.sheet import Number, in_mm
from ui.bench.words import compared, from_interval, record, said

MM = MILLIMETRE.in_si


def register(app: typer.Typer) -> None:
    """Give the `brinkangle` command the bench's commands."""
    app.command()(body)
    app.add_typer(lump_app, name="lump")
    app.command(name="push")(push_command)
    app.command()(balance)


def body(file: BodyFile, json: Json = None, working: ShowWorking = False) -> None:
    """Say of a body file how heavy the body is, how high its centre lies, and when it topples."""
    with usage():
        sheet = sheet_in(file)
        whole, side = sheet.whole(), sheet.base.tips
        brink, inertia = whole.brink_rad(side), whole.inertia_kg_m2(side)
        lines = [
            f"The {sheet.name} weighs {said(whole.mass_kg, GRAM)}.",
            f"Its centre is {said(whole.centre_height_m, MILLIMETRE)} above the base.",
            f"It topples at {said(brink, DEGREE)}.",
        ]
        answer = {
            "body": sheet.name,
            **record(whole.mass_kg, "mass", GRAM),
            **record(whole.centre_height_m, "centre_height", MILLIMETRE),
            **record(brink, "brink", DEGREE),
            "inertia_kg_m2": float(nominal_value(inertia)),
            "inertia_is_least": bool(whole.shapeless),
        }
        give(lines, answer, json, unit_doubts(whole), [brink_of(whole, side)] if working else [])


def push_command(
    friction: Annotated[float, typer.Option(help="Coefficient of static friction.")],
    file: Annotated[
        Path | None, typer.Argument(metavar="BODY", help="A body file; or else give r and x.")
    ] = None,
    friction_u: Annotated[float, typer.Option(help="Its standard uncertainty.")] = 0.0,
    height_mm: Annotated[
        float | None, typer.Option(help="Of the push; left out, the board is raised instead.")
    ] = None,
    height_u_mm: Annotated[float, typer.Option(help="Its standard uncertainty.")] = 0.0,
    tilt_deg: Annotated[float, typer.Option(help="Of the surface.")] = 0.0,
    angle_deg: Annotated[float, typer.Option(help="By which the push is raised from it.")] = 0.0,
    behind_mm: Annotated[
        float | None, typer.Option(help="From the pivot back to where an angled push acts.")
    ] = None,
    up: Annotated[bool, typer.Option("--up", help="Push up the slope.")] = False,
    radius_mm: Annotated[
        float | None, typer.Option(help="r, from below the centre to the pivot.")
    ] = None,
    radius_u_mm: Annotated[float, typer.Option(help="Its standard uncertainty.")] = 0.0,
    centre_mm: Annotated[float | None, typer.Option(help="x, height of the centre.")] = None,
    centre_u_mm: Annotated[float, typer.Option(help="Its standard uncertainty.")] = 0.0,
    mass_g: Annotated[float, typer.Option(help="Of a body without a file.")] = 1000.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Say whether a body slides or topples first, pushed or on a raised board, and how sure
    that is."""
    with usage():
        stand = _stand(
            file,
            Number(friction, friction_u),
            None if radius_mm is None else Number(radius_mm, radius_u_mm),
            None if centre_mm is None else Number(centre_mm, centre_u_mm),
            mass_g,
        )
        if height_mm is None:
            _raise_board(stand, json, working)
            return
        how = Push(
            Number(height_mm, height_u_mm).mm("height of the push"),
            angle_deg * DEGREE.in_si,
            None if behind_mm is None else behind_mm * MM,
            Way.UP if up else Way.DOWN,
        )
        _push(stand, how, tilt_deg * DEGREE.in_si, json, working)


def _stand(
    file: Path | None,
    friction: Number,
    radius: Number | None,
    centre: Number | None,
    mass_g: float,
) -> Stand:
    mu = friction.plain("friction")
    if file is not None and radius is None and centre is None:
        sheet = sheet_in(file)
        return Stand.of(sheet.whole(), mu, sheet.base.tips)
    if file is None and radius is not None and centre is not None:
        r, x = radius.mm("distance to the pivot"), centre.mm("height of the centre")
        return Stand(r, x, mu, mass_g * GRAM.in_si)
    raise typer.BadParameter("Give a body file, or else both --radius-mm and --centre-mm.")


def _raise_board(stand: Stand, json: str | None, working: bool) -> None:
    verdict = stand.raised()
    lines = [
        str(verdict),
        f"It would slide at {said(stand.slide_rad, DEGREE)}.",
        f"It would topple at {said(stand.brink_rad, DEGREE)}.",
    ]
    answer = {
        **_verdict(verdict),
        **record(stand.slide_rad, "slide", DEGREE),
        **record(stand.brink_rad, "topple", DEGREE),
    }
    give(lines, answer, json, (), [raised(stand)] if working else [])


def _push(stand: Stand, how: Push, tilt: float, json: str | None, working: bool) -> None:
    result = push(stand, how, tilt)
    lines = [
        str(result.verdict),
        _least("slide", result.slide_n),
        _least("topple", result.topple_n),
    ]
    answer = {
        **_verdict(result.verdict),
        **record(result.slide_n, "slide", NEWTON),
        **record(result.topple_n, "topple", NEWTON),
        "crossing_mm": None,
        "crossing_u95_mm": None,
    }
    if result.crossing_m is not None:
        lines.append(f"Both come at once when pushed at {said(result.crossing_m, MILLIMETRE)}.")
        answer |= record(result.crossing_m, "crossing", MILLIMETRE)
    give(lines, answer, json, (), [pushed(stand, how, tilt)] if working else [])


def _least(what: str, force_n: Quantity) -> str:
    if nominal_value(force_n) == float("inf"):
        return f"No force makes it {what}."
    return f"The least force to {what} it is {said(force_n, NEWTON)}."


def _verdict(verdict: Verdict) -> dict[str, object]:
    return {"first": str(verdict.likely), "chance": verdict.chance, "sure": verdict.sure}


def balance(
    length_mm: Annotated[float, typer.Option(help="Of the body, base to top.")],
    base_mm: Annotated[
        list[float] | None, typer.Option(help="An overhang with the base over the edge; again.")
    ] = None,
    top_mm: Annotated[
        list[float] | None, typer.Option(help="An overhang with the top over the edge; again.")
    ] = None,
    edge_radius_mm: Annotated[float, typer.Option(help="Of the rounding of the edge.")] = 0.0,
    edge_radius_u_mm: Annotated[float, typer.Option(help="Its standard uncertainty.")] = 0.0,
    length_u_mm: Annotated[float, typer.Option(help="Of the length.")] = 0.0,
    reading_u_mm: Annotated[float, typer.Option(help="Of one reading.")] = round(
        MILLIMETRE_RULE_U_M / MM, 2
    ),
    zero_u_mm: Annotated[float, typer.Option(help="Of the rule's zero, in all readings.")] = 0.0,
    toppling_mm: Annotated[
        float | None, typer.Option(help="Centre height by toppling, to compare with.")
    ] = None,
    toppling_u95_mm: Annotated[float, typer.Option(help="Half its 95 % interval.")] = 0.0,
    json: Json = None,
    working: ShowWorking = False,
) -> None:
    """Say how high a body's centre lies from overhangs on a table's edge, and whether that
    agrees with toppling."""
    with usage():
        how = Balance(
            Number(length_mm, length_u_mm).mm("length of the body"),
            Number(edge_radius_mm, edge_radius_u_mm).mm("radius of the table's edge"),
            zero_u_mm * MM,
            reading_u_mm * MM,
        )
        readings = [*_overhangs(base_mm, End.BASE), *_overhangs(top_mm, End.TOP)]
        centre = balanced_centre(how, readings)
        lines = [f"Its centre is {mean_words(centre)} above the base.", scatter_words(centre)]
        answer: dict[str, object] = {
            "centre_height_mm": in_mm(centre.mean),
            "centre_height_u95_mm": centre.u95 / MM,
            "readings": centre.count,
        }
        if toppling_mm is not None:
            toppled = from_interval(toppling_mm * MM, toppling_u95_mm * MM)
            agreement = compare(centre.mean, toppled)
            lines.append(compared("by balancing", "by toppling", agreement))
            answer["joint_uncertainties"], answer["agrees"] = agreement.ratio, agreement.agrees
        doubts = length_doubts(length_mm)
        give(lines, answer, json, doubts, [balance_of(how, readings)] if working else [])


def _overhangs(values_mm: Iterable[float] | None, end: End) -> list[Overhang]:
    return [Overhang(value * MM, end) for value in values_mm or ()]
