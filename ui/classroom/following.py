"""A plan put into the record: groups, bodies and surfaces made where they are new."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose
from typing import Any

from uncertainties import nominal_value, std_dev

from solver.errors import InputError
from solver.quantities import MILLIMETRE, Quantity
from ui.classroom.arrivals import assign_by_name, group_of, surface_of
from ui.classroom.names import find_name
from ui.classroom.plan import PlanRow
from ui.record.record import Record
from ui.record.rows import Body, Clip


def follow(record: Record, planned: Sequence[tuple[Clip, PlanRow]]) -> tuple[Clip, ...]:
    """Give each clip what its line says, and what its name says where the line does not.

    Raises `InputError`, before anything is changed, as `check_bodies` does.
    """
    rows = [row for _, row in planned]
    check_bodies(record, rows)
    _make_bodies(record, rows)
    return tuple(_follow(record, clip, row) for clip, row in planned)


def check_bodies(record: Record, rows: Sequence[PlanRow]) -> None:
    """Raises `InputError` where a body's radius is not known, or is another in the record."""
    known = {body.name: body for body in record.bodies()}
    given = [row.body for row in rows if row.body and row.radius_m is not None]
    problems = []
    for row in rows:
        if row.body is None:
            continue
        name = find_name(row.body, known)
        if name and row.radius_m is not None and not _same(known[name], row.radius_m):
            problems.append(
                f"line {row.line}: the record has {name} with a radius of "
                f"{MILLIMETRE.show(known[name].radius_m)}. Change it there, or give this body "
                "another name."
            )
        elif name is None and find_name(row.body, given) is None:
            problems.append(
                f"line {row.line}: {row.body} is not in the record. Give its radius_mm."
            )
    if problems:
        raise InputError("\n".join(problems))


def _same(body: Body, radius_m: Quantity) -> bool:
    return isclose(body.radius_m, float(nominal_value(radius_m)), rel_tol=1e-6)


def _follow(record: Record, clip: Clip, row: PlanRow) -> Clip:
    fields: dict[str, Any] = {}
    if row.group:
        fields["group_id"] = group_of(record, clip.lesson_id, row.group)
    if row.body:
        fields["body_id"] = _body(record, row.body).id
    if row.surface:
        fields["surface_id"] = surface_of(record, row.surface)
    if row.repeat:
        fields["repeat"] = row.repeat
    if row.start_tilt_rad is not None:
        fields["start_tilt_rad"] = row.start_tilt_rad
    return assign_by_name(record, record.change(clip, **fields))


def _make_bodies(record: Record, rows: Sequence[PlanRow]) -> None:
    for row in rows:
        if row.body is None or row.radius_m is None:
            continue
        if find_name(row.body, [body.name for body in record.bodies()]) is None:
            radius_m, u_m = float(nominal_value(row.radius_m)), float(std_dev(row.radius_m))
            record.add_body(row.body, radius_m, u_m)


def _body(record: Record, name: str) -> Body:
    known = {body.name: body for body in record.bodies()}
    return known[find_name(name, known) or name]
