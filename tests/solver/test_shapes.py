import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.errors import LengthError, MassError
from solver.shapes import (
    Material,
    box,
    cone,
    cylinder,
    disc,
    frustum,
    frustum_shell,
    hemisphere,
    hollowed,
    hoop,
    ring,
    rod,
    sphere,
    tube,
)

SIZES = st.floats(0.001, 1.0)


@given(SIZES, SIZES, SIZES, st.floats(0.1, 10.0))
def test_scaling_a_frustum_scales_its_moments(bottom, top, height, factor):
    small, large = (
        frustum(bottom, top, height),
        frustum(*(factor * s for s in (bottom, top, height))),
    )
    assert large.moments.amount == pytest.approx(factor**3 * small.moments.amount)
    assert large.moments.centre_m[2] == pytest.approx(factor * small.moments.centre_m[2])
    for axis in range(3):
        grown = factor**2 * small.moments.spread_m2[axis]
        assert large.moments.spread_m2[axis] == pytest.approx(grown)


@given(SIZES, SIZES, SIZES)
def test_a_frustum_upside_down_is_the_frustum_drawn_the_other_way(bottom, top, height):
    for make in (frustum, frustum_shell):
        turned, drawn = make(bottom, top, height).inverted(), make(top, bottom, height)
        assert turned.moments.amount == pytest.approx(drawn.moments.amount)
        assert turned.moments.centre_m[2] == pytest.approx(drawn.moments.centre_m[2])
        assert turned.moments.spread_m2 == pytest.approx(drawn.moments.spread_m2, rel=1e-6)


def test_a_ring_is_a_cylinder_less_its_bore():
    assert ring(0.04, 0.03, 0.02).moments.amount == pytest.approx(3.141592653589793 * 0.0007 * 0.02)
    assert not ring(0.04, 0.03, 0.02).fills_axis


def test_an_uncertain_size_makes_an_uncertain_amount():
    amount = cylinder(ufloat(0.04, 0.0004), 0.1).moments.amount
    assert amount.std_dev / amount.nominal_value == pytest.approx(0.02)


def test_mass_comes_from_the_measure_that_fits_the_material():
    assert cylinder(0.04, 0.1).mass_kg(1000.0, Material.SOLID) == pytest.approx(0.5026548)
    assert disc(0.1).mass_kg(2.0, Material.SHEET) == pytest.approx(0.0628318)
    assert rod(0.2).mass_kg(0.05, Material.WIRE) == pytest.approx(0.01)


@pytest.mark.parametrize("shape", [disc(0.1), tube(0.1, 0.2), rod(0.1), hoop(0.1)])
def test_a_density_of_another_material_is_refused(shape):
    with pytest.raises(MassError, match=shape.material.value.symbol):
        shape.mass_kg(1000.0, Material.SOLID)


def test_a_density_must_be_positive():
    with pytest.raises(MassError, match="must be more than 0 kg/m³"):
        sphere(0.1).mass_kg(0.0, Material.SOLID)


@pytest.mark.parametrize(
    "make",
    [
        lambda: cylinder(0.0, 0.1),
        lambda: cylinder(0.1, -0.1),
        lambda: frustum(0.0, 0.0, 0.1),
        lambda: frustum(-0.1, 0.2, 0.1),
        lambda: tube(-0.1, 0.1),
        lambda: ring(0.03, 0.03, 0.1),
        lambda: box(0.1, 0.0, 0.1),
        lambda: rod(0.0),
        lambda: hemisphere(float("nan")),
        lambda: hollowed(cylinder(0.04, 0.1), cylinder(0.03, 0.2)),
        lambda: hollowed(cylinder(0.04, 0.1), cylinder(0.05, 0.1)),
        lambda: hollowed(cylinder(0.04, 0.1), cone(0.03, 0.05), 0.06),
    ],
)
def test_impossible_sizes_are_refused(make):
    with pytest.raises(LengthError):
        make()
