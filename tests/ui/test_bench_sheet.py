"""A body as it is typed, and what the solver makes of it."""

from __future__ import annotations

from math import atan, degrees

import pytest
from uncertainties import nominal_value, std_dev

from solver.bodies import Side
from solver.errors import InputError, LengthError
from ui.bench.examples import EXAMPLES, LEAF_TEA_TIN, TIMBER_BLOCK
from ui.bench.kinds import DRAWN, KINDS
from ui.bench.sheet import BaseSheet, BodySheet, Number, PartSheet, RodSheet, in_mm


def test_a_tin_is_the_sum_of_its_parts() -> None:
    body = LEAF_TEA_TIN.body()
    centre = (48 * 55 + 14 * 0 + 16 * 110) / 78
    assert nominal_value(body.mass_kg) == pytest.approx(0.078)
    assert in_mm(body.centre_height_m) == pytest.approx(centre)
    assert degrees(nominal_value(body.brink_rad())) == pytest.approx(degrees(atan(36.5 / centre)))


def test_uncertainties_reach_the_brink() -> None:
    assert std_dev(LEAF_TEA_TIN.whole().brink_rad()) > 0


def test_a_block_tips_about_the_edge_that_is_asked_for() -> None:
    over_depth = BaseSheet("rectangle", {"width": 60.0, "depth": 45.0}, tips=Side.BACK)
    block = BodySheet("block", TIMBER_BLOCK.parts, over_depth)
    assert in_mm(block.body().arm_m(Side.BACK)) == pytest.approx(22.5)
    ((_, (piece,)),) = block.sections()
    assert max(x for x, _ in piece.points) == pytest.approx(22.5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("turned", [False, True])
def test_a_section_has_the_height_of_its_shape(kind: str, turned: bool) -> None:
    sizes = {size.key: size.usual_mm for size in KINDS[kind].sizes}
    part = PartSheet("part", kind, Number(10.0), sizes=sizes, upside_down=turned)
    heights = [z for piece in part.section(Side.RIGHT) for _, z in piece.points]
    assert min(heights) == pytest.approx(0.0, abs=1e-9)
    assert max(heights) == pytest.approx(in_mm(part.shape().height_m), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_a_round_solids_section_encloses_the_volume_of_its_shape(kind: str) -> None:
    """Pappus's theorem on the right half of the drawn section, against the solver's volume."""
    sizes = {size.key: size.usual_mm for size in KINDS[kind].sizes}
    part = PartSheet("part", kind, Number(10.0), sizes=sizes)
    pieces = [piece for piece in part.section(Side.RIGHT) if piece.filled]
    if not pieces or kind == "box":
        return
    volume = sum(_turned(piece.points) for piece in pieces) / len(pieces)
    full = nominal_value(part.shape().moments.amount) * 1e9
    assert volume == pytest.approx(full, rel=2e-3)


def _turned(points: tuple[tuple[float, float], ...]) -> float:
    """π∮x²dz over an outline: twice the volume of its right half, or that of a whole wall."""
    total = 0.0
    for (x1, z1), (x2, z2) in zip(points, [*points[1:], points[0]], strict=True):
        total += (x1 * abs(x1) + x1 * abs(x2) + x2 * abs(x2)) / 3 * (z2 - z1) * 3.141592653589793
    return abs(total) / (2 if min(x for x, _ in points) < -1e-9 < max(x for x, _ in points) else 1)


@pytest.mark.parametrize("kind", DRAWN)
def test_a_drawn_part_has_a_section(kind: str) -> None:
    points = DRAWN[kind].usual_mm
    part = PartSheet("part", kind, Number(10.0), sizes={"depth": 40.0}, points=points)
    assert part.section(Side.RIGHT) and part.section(Side.BACK)


def test_a_part_without_a_mass_is_refused() -> None:
    with pytest.raises(InputError, match="weigh it"):
        PartSheet("wall", "tube", sizes={"radius": 30.0, "height": 80.0}).part(Side.RIGHT)


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(InputError, match="at least 0"):
        Number(30.0, -0.1).mm("radius")


def test_solids_that_overlap_are_refused() -> None:
    sizes = {"radius": 20.0, "height": 30.0}
    parts = tuple(PartSheet(name, "cylinder", Number(9.0), sizes=sizes) for name in ("a", "b"))
    with pytest.raises(LengthError, match="overlap"):
        BodySheet("two", parts).whole()


def test_a_rod_longer_than_the_tin_makes_it_taller() -> None:
    long = BodySheet("tin", LEAF_TEA_TIN.parts, rod=RodSheet(length=Number(150.0)))
    assert in_mm(long.whole().top_m) == pytest.approx(150.0)


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda sheet: sheet.name)
def test_an_example_stands(sheet: BodySheet) -> None:
    assert 5 < degrees(nominal_value(sheet.whole().brink_rad(sheet.base.tips))) < 60
