"""What a person gives beside the clip."""

from math import degrees, pi, radians, sqrt

import pytest
from uncertainties import nominal_value, std_dev

from solver.errors import AngleError, LengthError
from ui.inputs import Rim, rim_radius, start_tilt


@pytest.mark.parametrize(
    ("rim", "length_m", "u_m"),
    [
        (Rim.RADIUS, 0.0365, 0.0002),
        (Rim.DIAMETER, 0.073, 0.0004),
        (Rim.CIRCUMFERENCE, 0.073 * pi, 0.0004 * pi),
    ],
)
def test_one_rim_by_three_lengths(rim: Rim, length_m: float, u_m: float) -> None:
    radius_m = rim_radius(rim, length_m, u_m)
    assert nominal_value(radius_m) == pytest.approx(0.0365)
    assert std_dev(radius_m) == pytest.approx(0.0002)
    assert rim_radius(rim, length_m) == pytest.approx(0.0365)


@pytest.mark.parametrize(("length_m", "u_m"), [(0.03, -0.001), (0.03, 0.03), (0.03, float("nan"))])
def test_an_impossible_uncertainty_is_refused(length_m: float, u_m: float) -> None:
    with pytest.raises(LengthError, match="uncertainty of the diameter"):
        rim_radius(Rim.DIAMETER, length_m, u_m)


@pytest.mark.parametrize("rim", list(Rim))
@pytest.mark.parametrize("length_m", [0.0, -0.1, 7.0, float("inf")])
def test_an_impossible_length_is_refused(rim: Rim, length_m: float) -> None:
    with pytest.raises(LengthError, match=str(rim)):
        rim_radius(rim, length_m)


def test_a_start_is_read_as_closely_as_a_level_table_is() -> None:
    """Limits of ±a, rectangular: a/√3 (JCGM 100:2008, 4.3.7)."""
    start = start_tilt(radians(7.0))
    assert degrees(start.n) == pytest.approx(7.0)
    assert degrees(start.s) == pytest.approx(0.2 / sqrt(3))


@pytest.mark.parametrize("tilt_deg", [-11.0, 61.0, float("nan")])
def test_an_impossible_start_is_refused(tilt_deg: float) -> None:
    with pytest.raises(AngleError, match="start tilt"):
        start_tilt(radians(tilt_deg))
