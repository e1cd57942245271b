"""Sentences people read."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.quantities import DEGREE
from tests.ui.stand_in import brink_deg, lost, sliding, staying, toppling
from ui.answer import answer
from ui.words import JOINER, as_text, headline, height_interval, interval, unit_doubt

RADIUS = ufloat(0.030, 0.0001, "base radius")


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        (toppling(), "The body toppled when the board stood at 20.00° ± 0.38°."),
        (sliding(), "The body slid when the board stood at 19.80° ± 0.59°."),
        (staying(), "The body stayed where it was, up to a tilt of 20.0°."),
        (lost(), "This clip could not be read."),
    ],
)
def test_the_outcome_is_one_sentence(reading, sentence: str) -> None:
    assert headline(answer(reading, RADIUS)) == sentence


def test_two_figures_of_uncertainty_and_the_value_to_the_same_place() -> None:
    """JCGM 100:2008, 7.2.6."""
    found = answer(toppling(brink_deg(20.0, 0.05)), 0.03)
    assert found.angle and interval(found.angle, DEGREE) == "20.000° ± 0.096°"


def test_both_ends_where_a_plus_minus_does_not_fit() -> None:
    found = answer(toppling(brink_deg(12.0, 1.0)), ufloat(0.025, 0.0002))
    assert found.height is not None
    text = re.fullmatch(r"(\d+) mm \((\d+) to (\d+)\)", height_interval(found.height))
    assert text is not None
    value, low, high = map(float, text.groups())
    assert value == 118  # 25 / tan 12° is 117.6
    assert high - value > value - low > 0


@pytest.mark.parametrize(
    ("mm", "doubted"), [(3.65, True), (9.9, True), (10.0, False), (36.5, False)]
)
def test_centimetres_typed_as_millimetres_are_doubted(mm: float, doubted: bool) -> None:
    assert bool(unit_doubt(mm / 1000)) is doubted
    if doubted:
        assert f"{mm:g} cm are {10 * mm:g} mm" in unit_doubt(mm / 1000)


@given(st.text(max_size=40))
def test_no_mark_up_survives(words: str) -> None:
    shown = as_text(words)
    assert shown.replace(JOINER, "").isprintable()
    assert not re.search(r"(?<!\\)(?:\\\\)*[`*_\[\]<>$~:&|#]", shown)
