"""From a reading to the answer, against the formula by other libraries and by algebra."""

from math import degrees, isclose, pi, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.errors import LengthError
from solver.worked_bodies import height_from_tilt
from tests.ui.stand_in import brink_deg, lost, sliding, staying, toppling
from ui.answer import BY_HAND, answer, as_reckoned, reckoned, unreadable

# The command line's contract, in the order in which it is written down.
CONTRACT = [
    "clip", "outcome", "angle_deg", "angle_u95_deg", "onset_s", "onset_frame",
    "centre_height_mm", "centre_height_u95_mm", "friction_coefficient", "friction_u95",
    "largest_tilt_deg", "reasons", "seconds_taken", "evidence",
]  # fmt: skip
RADIUS = ufloat(0.030, 0.0001, "base radius")


def test_toppling_as_three_libraries_have_it() -> None:
    """r 30(0.1) mm and 20(0.2)° give x 82.424 mm, u 0.936 mm: so GTC and metrolopy say too."""
    record = answer(toppling(), RADIUS).record("tin.mp4")
    assert record["centre_height_mm"] == pytest.approx(82.424, abs=0.0005)
    assert record["centre_height_u95_mm"] == pytest.approx(1.96 * 0.936, rel=0.02)
    assert record["angle_deg"] == pytest.approx(20.0)
    # Half of the variance is the start's, which lies within limits: 1.917 in place of 1.960.
    assert record["angle_u95_deg"] == pytest.approx(1.9174 * 0.2, rel=1e-4)
    assert record["friction_coefficient"] is None


@pytest.mark.parametrize("reading", [toppling(), sliding(), staying(), lost()])
def test_every_record_has_the_keys_of_the_contract(reading) -> None:
    record = answer(reading, RADIUS).record("tin.mp4")
    assert list(record) == CONTRACT
    assert record["outcome"] in ("topples", "slides", "stays", "unreadable")


def test_the_record_says_how_far_the_other_stories_are_behind() -> None:
    """In order, the best first; where nothing was measured there is nothing to say."""
    evidence = answer(toppling(), RADIUS).record("tin.mp4")["evidence"]
    assert list(evidence.items()) == [("topples", 0.0), ("stays", 231.4), ("slides", 252.9)]
    assert answer(lost(), RADIUS).record("tin.mp4")["evidence"] is None


def test_only_limits_are_taken_as_limits() -> None:
    """By the closed form 0.95 √3 for a rectangle alone, by 1.96 for a normal one."""
    limits, normal = ufloat(0.1, 0.01, "start tilt"), ufloat(0.1, 0.01, "brink")
    assert reckoned(limits).half_width == pytest.approx(0.95 * 3**0.5 * 0.01)
    assert reckoned(normal).half_width == pytest.approx(1.95996 * 0.01, rel=1e-5)
    assert reckoned(ufloat(0.1, 0.01), "radius").budget[0].name == "radius"


def test_each_step_of_a_working_has_the_interval_of_the_answer() -> None:
    found = answer(toppling(), RADIUS)
    working = as_reckoned(height_from_tilt(RADIUS, found.reading.angle_rad))
    angle, height = (step.coverage_factor for step in working.steps)
    assert angle == pytest.approx(found.angle.coverage_factor) == pytest.approx(1.9174, rel=1e-4)
    assert height == pytest.approx(found.height.linear.coverage_factor)


def test_sliding_gives_friction_and_bounds_the_centre() -> None:
    found = answer(sliding(), RADIUS)
    record = found.record("tub.mov")
    assert record["friction_coefficient"] == pytest.approx(0.36)
    # d tan θ = (1 + tan² θ) dθ
    assert record["friction_u95"] == pytest.approx(1.95996 * (1 + 0.36**2) * radians(0.3), rel=1e-4)
    assert record["centre_height_mm"] is None
    bound = 30.0 / tan(radians(20.0))
    assert f"lower than about {bound:.1f} mm" in found.reasons[-1]


def test_staying_has_no_angle_but_a_largest_tilt() -> None:
    record = answer(staying(), RADIUS).record("tube.mp4")
    assert record["angle_deg"] is record["onset_s"] is record["centre_height_mm"] is None
    assert record["largest_tilt_deg"] == pytest.approx(20.0)


def test_unreadable_says_why_and_nothing_else() -> None:
    record = answer(unreadable("It is empty.", 0.5), RADIUS).record("none.mp4")
    assert record["reasons"] == ["It is empty."]
    told = {"clip", "outcome", "reasons", "seconds_taken"}
    assert all(record[key] is None for key in CONTRACT if key not in told)


def test_an_angle_that_may_be_level_gives_no_height_but_the_reason() -> None:
    found = answer(toppling(brink_deg(3.0, 2.0)), RADIUS)
    assert found.height is None
    assert "may as well be 0°" in found.reasons[-1]


def test_where_a_plus_minus_does_not_fit_the_farther_end_is_given() -> None:
    """r 25(0.2) mm at 12(1)°: linear propagation is known to fail there."""
    found = answer(toppling(brink_deg(12.0, 1.0)), ufloat(0.025, 0.0002))
    assert found.height is not None and found.height.differs
    low, high = found.height.interval_m
    value = found.height.linear.value
    assert found.height_u95_m == high - value > value - low
    assert found.height.caution in found.reasons


def test_a_hand_is_on_the_record() -> None:
    assert BY_HAND in answer(toppling(by_hand=True), RADIUS).record("tin.mp4")["reasons"]
    assert BY_HAND not in answer(toppling(), RADIUS).record("tin.mp4")["reasons"]


def test_the_budget_is_of_what_was_asked() -> None:
    names = {part.name for part in answer(toppling(), RADIUS).budget}
    assert names == {"base radius", "start tilt", "brink"}
    assert {part.name for part in answer(sliding(), RADIUS).budget} == {"brink"}
    assert answer(staying(), RADIUS).budget == ()


@pytest.mark.parametrize("radius_m", [0.0, -0.03, 1.001, float("nan")])
def test_an_impossible_radius_is_refused(radius_m: float) -> None:
    with pytest.raises(LengthError, match="must be more than 0 mm and at most 1000 mm"):
        answer(toppling(), radius_m)


@given(st.floats(0.005, 0.9), st.floats(8.0, 45.0))
def test_height_and_angle_are_of_one_triangle(radius_m: float, angle_deg: float) -> None:
    record = answer(toppling(brink_deg(angle_deg, 0.1)), radius_m).record("tin.mp4")
    opposite, beside = 1000 * radius_m, record["centre_height_mm"]
    assert isclose(degrees(pi / 2 - radians(record["angle_deg"])), 90 - angle_deg)
    assert tan(radians(record["angle_deg"])) == pytest.approx(opposite / beside)
