"""What the class's results say."""

from __future__ import annotations

from solver.quantities import MILLIMETRE, RATIO
from tests.ui.classroom.views import slides, topples, view_of
from ui.classroom.result_words import (
    agreement_words,
    beside_words,
    caution_words,
    count_words,
    group_rows,
    pooled_words,
    precision_words,
    without_words,
)
from ui.classroom.results import ClassMean, body_results, friction_results
from ui.record.rows import Prediction


def toppling(*heights_mm: tuple[int, float]) -> ClassMean:
    (tin,) = body_results(view_of([topples(group, mm) for group, mm in heights_mm]))
    assert tin.toppling is not None
    return tin.toppling


def test_the_value_is_given_with_its_interval_and_how_many_it_is_from() -> None:
    mean = toppling((1, 83), (1, 85), (2, 84))
    assert pooled_words(mean, MILLIMETRE).startswith("84 mm ± ")
    assert count_words(mean).startswith("From 3 readings of 2 groups.")
    assert count_words(toppling((1, 84))).startswith("From 1 reading of 1 group.")


def test_what_a_design_cannot_show_is_a_dash() -> None:
    spreads = {symbol: value for symbol, value, _ in precision_words(toppling((1, 84)), MILLIMETRE)}
    assert spreads == {"s_r": "–", "s_L": "–", "s_R": "–"}
    repeated = {
        symbol: value
        for symbol, value, _ in precision_words(toppling((1, 83), (1, 85)), MILLIMETRE)
    }
    assert repeated == {"s_r": "1.4 mm", "s_L": "–", "s_R": "–"}  # |85 − 83| / √2


def test_groups_agree_or_differ_in_words() -> None:
    assert agreement_words(toppling((1, 84))) == ""
    assert agreement_words(toppling((1, 84), (2, 84.1))).startswith("The groups agree")
    apart = agreement_words(toppling((1, 80), (2, 90)))
    assert apart.startswith("The groups differ") and "less than 1 %" in apart


def test_two_groups_are_told_why_their_interval_is_wide() -> None:
    words = caution_words(toppling((1, 84), (2, 84.1)), MILLIMETRE)
    assert words.startswith("Two groups can hardly show how far groups differ")
    assert "A third group narrows it most" in words
    assert "taken to measure the same, the class has 84.0" in words
    apart = caution_words(toppling((1, 80), (2, 90)), MILLIMETRE)
    assert apart.startswith("Two groups") and "the same" not in apart
    alone = caution_words(toppling((1, 84)), MILLIMETRE)
    assert alone == "One reading shows no scatter: repeat it."
    assert caution_words(toppling((1, 84), (2, 84.1), (3, 84)), MILLIMETRE) == ""


def test_a_reading_that_stands_out_is_told_with_what_would_be_without_it() -> None:
    rows = [(i % 3 + 1, 84 + 0.2 * (i % 4)) for i in range(11)]
    told = without_words(toppling(*rows, (3, 99)), MILLIMETRE)
    reason, without = next(pair for pair in told if pair[0].startswith("clip_12.mp4"))
    assert "still in the mean" in reason
    assert without.startswith("Without it the class would have 84.")


def test_three_repeats_are_never_trimmed() -> None:
    for _, without in without_words(toppling((1, 84), (1, 84.1), (1, 99)), MILLIMETRE):
        assert without == ""


def test_groups_make_a_table_with_the_unit_in_its_heading() -> None:
    first, second = group_rows(toppling((1, 83), (1, 85), (2, 84)), MILLIMETRE)
    assert (first["group"], first["readings"], second["readings"]) == ("Table 1", "2", "1")
    assert first["mean / mm"].startswith("84.")
    weights = [float(row["weight"].removesuffix(" %")) for row in (first, second)]
    assert 98 <= sum(weights) <= 102
    (friction,) = friction_results(view_of([slides(1, 0.36)]))
    assert "mean" in group_rows(friction.friction, RATIO)[0]


def test_two_ways_are_compared_in_words() -> None:
    view = view_of([topples(1, 84)], predictions=[Prediction(1, 1, 0.0862, 0.0006, "its parts")])
    (tin,) = body_results(view)
    (beside,) = tin.beside
    words = beside_words(beside)
    assert words.startswith("The centre by toppling lies 2.2 mm")
    assert "below that predicted (its parts)" in words
