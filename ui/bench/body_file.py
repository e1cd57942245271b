"""The body file: a small TOML text with the unit in every key, to keep and to share.

Lengths end in ``_mm``, masses in ``_g``; a standard uncertainty stands beside
its number with ``_u_`` before the unit, and is 0 where it is left out.
"""

from __future__ import annotations

import tomllib
from typing import Any

import tomli_w

from solver.bodies import Side
from ui.bench.kinds import DRAWN, KINDS, TITLES, WEIGHED, material_of
from ui.bench.sheet import BASES, BaseSheet, BodySheet, LumpSheet, Number, PartSheet, RodSheet
from ui.bench.table import BodyFileError, Table

FORMAT, VERSION = "brinkangle body", 1
LARGEST_BYTES = 100_000
MOST_PARTS = 40
PER = {"SOLID": "kg_per_m3", "SHEET": "kg_per_m2", "WIRE": "kg_per_m"}
"""The unit of an amount, by material, as keys have it."""
SIDES = {side.name.lower(): side for side in Side}

Content = dict[str, Any]


def written(sheet: BodySheet) -> str:
    """The body as text of a body file."""
    content: Content = {"format": FORMAT, "version": VERSION, "name": sheet.name}
    if sheet.height is not None:
        _put(content, "height", "mm", sheet.height)
    content["base"] = _base(sheet.base)
    content["part"] = [_part(part) for part in sheet.parts]
    if sheet.rod is not None:
        content["rod"] = _rod(sheet.rod)
        content["lump"] = _lump(sheet.lump)
    return tomli_w.dumps(content)


def _put(content: Content, key: str, unit: str, number: Number) -> None:
    content[f"{key}_{unit}"] = number.value
    if number.u:
        content[f"{key}_u_{unit}"] = number.u


def _base(base: BaseSheet) -> Content:
    content: Content = {"touches": base.touches}
    content |= {f"{key}_mm": base.sizes[key] for key in BASES[base.touches]}
    content |= {"sizes_u_mm": base.sizes_u_mm, "bevel_mm": base.bevel_mm}
    return content | {"tips": base.tips.name.lower()}


def _part(part: PartSheet) -> Content:
    content: Content = {"name": part.name, "shape": part.kind}
    if part.mass is not None:
        _put(content, "mass", "g", part.mass)
    elif part.amount is not None and (material := material_of(part.kind)):
        _put(content, "amount", PER[material.name], part.amount)
    content |= {f"{key}_mm": value for key, value in part.sizes.items()}
    if part.points:
        content["points_mm"] = [list(point) for point in part.points]
    if part.sizes_u_mm:
        content["sizes_u_mm"] = part.sizes_u_mm
    _put(content, _place_key(part.kind), "mm", part.stands_at)
    if part.aside_mm:
        content["aside_mm"] = part.aside_mm
    return content | ({"upside_down": True} if part.upside_down else {})


def _place_key(kind: str) -> str:
    return "centre" if kind == WEIGHED else "stands_at"


def _rod(rod: RodSheet) -> Content:
    content: Content = {}
    _put(content, "mass", "g", rod.mass)
    _put(content, "length", "mm", rod.length)
    return content | {"foot_mm": rod.foot_mm}


def _lump(lump: LumpSheet) -> Content:
    content: Content = {}
    _put(content, "mass", "g", lump.mass)
    content |= {"length_mm": lump.length_mm, "radius_mm": lump.radius_mm}
    _put(content, "place", "mm", lump.place)
    return content


def read(data: bytes) -> BodySheet:
    """The body in a body file.

    Raises `BodyFileError` for a file that is not one, and whatever the solver
    raises for a body that cannot be.
    """
    sheet = _sheet(Table(_parsed(data), "The body file"))
    sheet.whole()
    return sheet


def _parsed(data: bytes) -> Content:
    if not data.strip():
        raise BodyFileError("The file is empty. Save a body first, and give that file.")
    if len(data) > LARGEST_BYTES:
        raise BodyFileError(f"The file is over {LARGEST_BYTES // 1000} kB: not a body file.")
    try:
        return tomllib.loads(data.decode())
    except UnicodeDecodeError as error:
        raise BodyFileError(
            "The file is not text in UTF-8. Give a body file, as 'Save this body' writes it."
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise BodyFileError(f"The file cannot be read as TOML: {error}.") from error


def _sheet(top: Table) -> BodySheet:
    if not top.has("format") or top.text("format") != FORMAT:
        raise BodyFileError(f'This is no body file: its first line must be format = "{FORMAT}".')
    if (version := top.number("version")) != VERSION:
        raise BodyFileError(
            f"The file is of version {version:g}; this Brinkangle reads version {VERSION}. "
            "Get a newer Brinkangle, or save the body again with this one."
        )
    parts = tuple(map(_read_part, top.tables("part")))
    if len(parts) > MOST_PARTS:
        raise BodyFileError(f"The body has {len(parts)} parts; at most {MOST_PARTS} can be read.")
    sheet = BodySheet(
        top.text("name"),
        parts,
        _read_base(top.table("base")),
        top.measure("height", "mm") if top.has("height_mm") else None,
        _read_rod(top.table("rod")) if top.has("rod") else None,
        _read_lump(top.table("lump")) if top.has("lump") else LumpSheet(),
    )
    top.done()
    return sheet


def _read_base(table: Table) -> BaseSheet:
    touches = table.text("touches", BASES)
    base = BaseSheet(
        touches,
        {key: table.number(f"{key}_mm") for key in BASES[touches]},
        table.number("sizes_u_mm", 0.0),
        table.number("bevel_mm", 0.0),
        SIDES[table.text("tips", SIDES, "right")],
    )
    table.done()
    return base


def _read_part(table: Table) -> PartSheet:
    kind = table.text("shape", TITLES)
    part = PartSheet(
        table.text("name"),
        kind,
        table.measure("mass", "g") if table.has("mass_g") else None,
        _read_amount(table, kind),
        {key: table.number(f"{key}_mm") for key in _size_keys(kind)},
        table.number("sizes_u_mm", 0.0),
        table.points("points_mm") if kind in DRAWN else (),
        table.measure(_place_key(kind), "mm", None if kind == WEIGHED else Number(0.0)),
        table.number("aside_mm", 0.0),
        table.flag("upside_down"),
    )
    table.done()
    return part


def _read_amount(table: Table, kind: str) -> Number | None:
    material = material_of(kind)
    if material is None:
        table.number("mass_g")
        return None
    unit = PER[material.name]
    amount, mass = table.has(f"amount_{unit}"), table.has("mass_g")
    if amount == mass:
        found = "both are" if mass else "neither is"
        raise BodyFileError(f"{table.where}: give mass_g or amount_{unit}; {found} there.")
    return table.measure("amount", unit) if amount else None


def _size_keys(kind: str) -> tuple[str, ...]:
    if kind in KINDS:
        return tuple(size.key for size in KINDS[kind].sizes)
    return ("depth",) if kind in DRAWN and DRAWN[kind].has_depth else ()


def _read_rod(table: Table) -> RodSheet:
    rod = RodSheet(
        table.measure("mass", "g"), table.measure("length", "mm"), table.number("foot_mm", 0.0)
    )
    table.done()
    return rod


def _read_lump(table: Table) -> LumpSheet:
    lump = LumpSheet(
        table.measure("mass", "g"),
        table.number("length_mm", 0.0),
        table.number("radius_mm", 0.0),
        table.measure("place", "mm"),
    )
    table.done()
    return lump
