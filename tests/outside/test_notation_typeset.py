"""Worked steps as Typst itself reads them."""

from math import radians

import pytest
from uncertainties import ufloat

from solver.edge_balance import Balance, End, Overhang
from solver.friction import Push, Stand, Way
from solver.notation import TYPST
from solver.rig import Lump
from solver.worked_bodies import balance_of, brink_of, inertia_of
from solver.worked_friction import friction_of, pushed, raised
from solver.worked_lump import lump_found, place_for
from tests.solver.rigs import tin_with_rod

RIG = tin_with_rod(0.0002, 0.0005)
STAND = Stand.of(RIG.carrier, ufloat(0.45, 0.03))
WORKINGS = [
    brink_of(RIG.carrier),
    inertia_of(RIG.carrier),
    balance_of(Balance(0.11, 0.002), [Overhang(0.053), Overhang(0.055, End.TOP)]),
    place_for(RIG, Lump(0.05), radians(30)),
    lump_found(RIG, 0.03, 0.055, 0.066),
    friction_of("oak", [ufloat(0.4, 0.01), ufloat(0.42, 0.01)]),
    raised(STAND),
    pushed(STAND, Push(0.05, radians(-20), 0.07, Way.UP), radians(10)),
]


@pytest.mark.parametrize("working", WORKINGS, ids=lambda working: working.title)
def test_typst_sets_every_line(working, tmp_path):
    """Typst stops at a name it does not know or a bracket left open."""
    typst = pytest.importorskip("typst")
    lines = [
        f"$ {text} $"
        for step in working.steps
        for text in (step.in_symbols(TYPST), step.with_numbers(TYPST), step.answer(TYPST))
    ]
    page = tmp_path / "page.typ"
    page.write_text("\n\n".join(lines), encoding="utf-8")
    assert typst.compile(str(page)).startswith(b"%PDF")
