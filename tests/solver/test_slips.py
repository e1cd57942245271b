from itertools import pairwise
from math import cos, degrees, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from solver.slips import FUNCTIONS, Slip, explaining, point, slipped_heights, span

R, ANGLE = 0.034, radians(22)


def test_a_point_is_explained_by_nearness():
    found = point([Slip.DIAMETER], 10.0, 9.0, 0.5)
    assert (found.ratio, found.explains) == (2.0, True)
    assert found.likelihood == pytest.approx(norm.pdf(2) / 0.5)
    assert not point([Slip.DIAMETER], 10.1, 9.0, 0.5).explains


def test_a_span_explains_all_within_it_alike_and_less_than_a_point_would():
    within = [span(Slip.BODY_MOVED, given, 10.0, 20.0, 0.5) for given in (12.0, 15.0, 18.0)]
    assert {each.ratio for each in within} == {0.0}
    assert [each.likelihood for each in within] == pytest.approx([0.1] * 3, rel=1e-4)
    assert within[0].likelihood < point([Slip.OTHER_END], 12.0, 12.0, 0.5).likelihood
    assert span(Slip.BODY_MOVED, 21.0, 10.0, 20.0, 0.5).ratio == pytest.approx(2.0)
    assert span(Slip.BODY_MOVED, 9.0, 10.0, 20.0, 0.5).ratio == pytest.approx(-2.0)


def test_a_narrow_span_is_a_point():
    narrow = span(Slip.BODY_MOVED, 10.0, 10.0, 10.1, 0.5)
    assert narrow == point([Slip.BODY_MOVED], 10.0, 10.0, 0.5)


@given(st.lists(st.floats(-4, 4), max_size=8))
def test_the_likeliest_comes_first_and_what_is_too_far_is_left_out(ratios):
    found = explaining(point([Slip.SINE], ratio, 0.0, 1.0) for ratio in ratios)
    assert len(found) == sum(abs(ratio) <= 2 for ratio in ratios)
    assert all(a.likelihood >= b.likelihood for a, b in pairwise(found))


def test_heights_with_one_slip_by_hand():
    by_slip = {}
    for (slip,), x in slipped_heights(R, ANGLE, 1):
        by_slip.setdefault(slip, []).append(x)
    right = R / tan(ANGLE)
    assert by_slip == {
        Slip.DIAMETER: [pytest.approx(2 * right)],
        Slip.UPSIDE_DOWN: [pytest.approx(R * tan(ANGLE))],
        Slip.SINE: [pytest.approx(R / sin(ANGLE))],
        Slip.COSINE: [pytest.approx(R / cos(ANGLE))],
        Slip.RADIANS: [pytest.approx(abs(R / tan(degrees(ANGLE))))],
        Slip.CENTIMETRES: [pytest.approx(10 * right), pytest.approx(right / 10)],
    }


def test_two_slips_are_two_different_ones_that_can_be_made_together():
    pairs = [slips for slips, _ in slipped_heights(R, ANGLE, 2)]
    assert (Slip.DIAMETER, Slip.UPSIDE_DOWN) in pairs
    assert all(sum(slip in FUNCTIONS for slip in slips) <= 1 for slips in pairs)
    assert all(x > 0 for _, x in slipped_heights(R, ANGLE, 2))
