"""The body file: what is written is read, and what is wrong is named."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from ui.bench.body_file import read, written
from ui.bench.examples import BOTTLE_OF_SAND, EXAMPLES, LEAF_TEA_TIN, SEED_TUB, TIMBER_BLOCK
from ui.bench.kinds import DRAWN, KINDS, TITLES
from ui.bench.sheet import BaseSheet, BodySheet, Number, PartSheet
from ui.bench.table import BodyFileError


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda sheet: sheet.name)
def test_an_example_comes_back_as_it_was(sheet: BodySheet) -> None:
    assert read(written(sheet).encode()) == sheet


@pytest.mark.parametrize("kind", TITLES)
def test_every_kind_of_part_comes_back(kind: str) -> None:
    sizes = {size.key: size.usual_mm for size in KINDS[kind].sizes} if kind in KINDS else {}
    points = DRAWN[kind].usual_mm if kind in DRAWN else ()
    sizes |= {"depth": 40.0} if kind == "prism" else {}
    part = PartSheet(
        "part", kind, Number(20.0, 0.1), sizes=sizes, points=points, stands_at=Number(5.0, 0.5)
    )
    sheet = BodySheet("body", (part,))
    assert read(written(sheet).encode()) == sheet


@given(st.text(min_size=1).filter(str.strip), st.floats(0.01, 500.0), st.floats(0.0, 5.0))
def test_names_and_numbers_come_back_whatever_they_are(name: str, mass: float, u: float) -> None:
    part = replace(LEAF_TEA_TIN.parts[0], name=name, mass=Number(mass, u))
    sheet = replace(LEAF_TEA_TIN, name=name, parts=(part,), rod=None)
    try:
        content = written(sheet).encode()
    except UnicodeEncodeError:  # half a character is no text a file could hold
        return
    assert read(content).parts == (part,)


def test_every_number_in_a_file_has_its_unit_in_the_key() -> None:
    units = ("_mm", "_g", "_kg_per_m3", "_kg_per_m2", "_kg_per_m")
    for sheet in EXAMPLES:
        content = tomllib.loads(written(sheet))
        tables = [content, content["base"], *content["part"]]
        tables += [content[key] for key in ("rod", "lump") if key in content]
        for table in tables:
            numbers = {k for k, v in table.items() if isinstance(v, float)}
            assert all(key.endswith(units) for key in numbers), numbers


TIN = written(LEAF_TEA_TIN)
BLOCK = written(TIMBER_BLOCK)
TUB = written(replace(SEED_TUB, parts=SEED_TUB.parts[:1]))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "empty"),
        ("mass", "cannot be read as TOML"),
        ('name = "tin"', 'format = "brinkangle body"'),
        (TIN.replace("version = 1", "version = 7"), "version 7"),
        (TIN.replace("radius_mm = 36.5", "radius_cm = 3.65", 1), "radius_mm is missing"),
        (TIN.replace("bevel_mm", "bevel_cm"), "bevel_cm means nothing here. Did you mean bevel_mm"),
        (TIN.replace("mass_g = 48.0", 'mass_g = "48"'), "mass_g must be a number"),
        (TIN.replace("mass_g = 48.0", "mass_g = nan"), "mass_g must be a number"),
        (TIN.replace("mass_g = 48.0", "mass_g = true"), "mass_g must be a number"),
        (TIN.replace("mass_g = 48.0", "mass_g = -48.0"), "more than 0 g"),
        (TIN.replace("mass_u_g = 0.1", "mass_u_g = -0.1", 1), "at least 0"),
        (TIN.replace('"tube"', '"sofa"'), "must be one of weighed, tube"),
        (TIN.replace('name = "wall"', 'name = ""'), "name must be a text"),
        (TIN.replace("[[part]]", "[[portion]]"), "part is missing"),
        (TIN.replace("place_mm = 60.0", "place_mm = 160.0"), "at least 8 mm and at most 92 mm"),
        (BLOCK.replace("amount_kg_per_m3", "amount_kg_per_m2"), "mass_g or amount_kg_per_m3"),
        (BLOCK.replace("stands_at_mm", "mass_g = 100.0\nstands_at_mm"), "both are there"),
        (BLOCK.replace('tips = "right"', 'tips = "up"'), "tips is"),
        (written(SEED_TUB).replace("points_mm", "points_cm"), "points_mm is missing"),
        (TUB.replace("34.0,", ""), "must be pairs"),
        (written(BOTTLE_OF_SAND).replace("height_mm = 190.0", "height_mm = 19.0"), "top of the"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named(content: str, words: str) -> None:
    with pytest.raises(InputError) as refusal:
        read(content.encode())
    assert words in str(refusal.value)


def test_a_film_is_no_body_file() -> None:
    with pytest.raises(BodyFileError, match="not text in UTF-8"):
        read(b"\x00\x00\x00\x18ftypmp42\xff\xfe")


def test_a_file_that_is_too_long_is_refused() -> None:
    with pytest.raises(BodyFileError, match="over 100 kB"):
        read(b"#" * 200_000)


def test_too_many_parts_are_refused() -> None:
    part = PartSheet("bead", "weighed", Number(1.0), stands_at=Number(10.0))
    many = BodySheet("string of beads", (part,) * 41, BaseSheet())
    with pytest.raises(BodyFileError, match="at most 40"):
        read(written(many).encode())
