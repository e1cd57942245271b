from math import atan, degrees, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.bodies import Body, Contact, Part, Side, unit_doubts
from solver.errors import LengthError, MassError
from solver.shapes import Material, box, cylinder, disc, hoop, ring, rod, tube

RADIUS, HEIGHT = 0.0365, 0.11
ROUND = Contact.circle(RADIUS)


def tea_tin(scale=1.0):
    wall, base = tube(scale * RADIUS, scale * HEIGHT), disc(scale * RADIUS)
    parts = (
        Part.of("wall", wall, wall.mass_kg(1.6, Material.SHEET)),
        Part.of("base", base, base.mass_kg(1.6, Material.SHEET)),
        Part.of("lid", base, base.mass_kg(2.4, Material.SHEET), base_m=scale * HEIGHT),
    )
    return Body("leaf tea tin", parts, Contact.circle(scale * RADIUS))


def test_centre_of_weighed_parts_is_their_weighted_mean():
    parts = (Part.weighed("wall", 0.06, 0.055), Part.weighed("lid", 0.02, 0.109))
    body = Body("tin", parts, ROUND, height_m=0.11)
    assert body.mass_kg == pytest.approx(0.08)
    assert body.centre_height_m == pytest.approx((0.06 * 0.055 + 0.02 * 0.109) / 0.08)
    assert body.shapeless == ("wall", "lid")


def test_brink_is_where_the_weight_passes_through_the_pivot():
    tin = tea_tin()
    assert tan(tin.brink_rad()) == pytest.approx(RADIUS / tin.centre_height_m)
    assert tin.shapeless == ()
    assert tin.top_m == pytest.approx(HEIGHT)


@given(st.floats(0.2, 5.0))
def test_scaling_lengths_leaves_angles(scale):
    assert tea_tin(scale).brink_rad() == pytest.approx(tea_tin().brink_rad(), rel=1e-9)


@given(st.floats(0.001, 1.0), st.floats(0.02, 0.1), st.floats(0.001, 0.05))
def test_raising_a_part_lowers_the_brink(mass, low, rise):
    first, second = (
        tea_tin().with_parts(Part.weighed("lump", mass, z)).brink_rad() for z in (low, low + rise)
    )
    assert second < first


def test_inertia_about_the_pivot_of_known_bodies():
    """A cylinder about a point of its rim: m(r²/4 + h²/12) + m(r² + h²/4)."""
    tin = Body("tin", (Part.of("fill", cylinder(RADIUS, HEIGHT), 0.4),), ROUND)
    textbook = 0.4 * (5 * RADIUS**2 / 4 + HEIGHT**2 / 3)
    assert tin.inertia_kg_m2() == pytest.approx(textbook)
    block = Body(
        "block", (Part.of("wood", box(0.04, 0.06, 0.1), 0.2),), Contact.rectangle(0.04, 0.06)
    )
    assert block.inertia_kg_m2(Side.RIGHT) == pytest.approx(0.2 * (0.04**2 + 0.1**2) / 3)
    assert block.inertia_kg_m2(Side.BACK) == pytest.approx(0.2 * (0.06**2 + 0.1**2) / 3)


def test_a_rectangle_tips_about_either_edge():
    block = Body(
        "block", (Part.of("wood", box(0.04, 0.06, 0.1), 0.2),), Contact.rectangle(0.04, 0.06)
    )
    assert block.brink_rad(Side.LEFT) == pytest.approx(atan(0.02 / 0.05))
    assert block.brink_rad(Side.FRONT) == pytest.approx(atan(0.03 / 0.05))


def test_a_part_aside_brings_the_centre_nearer_one_pivot():
    fill = Part.of("fill", cylinder(RADIUS, HEIGHT), 0.3)
    aside = Part.of("coin", disc(0.01), 0.1, aside_m=(0.02, 0.0))
    tin = Body("tin", (fill, aside), ROUND)
    assert tin.arm_m(Side.RIGHT) == pytest.approx(RADIUS - 0.005)
    assert tin.arm_m(Side.LEFT) == pytest.approx(RADIUS + 0.005)
    assert tin.arm_m(Side.BACK) == pytest.approx(RADIUS)
    assert tin.brink_rad(Side.RIGHT) < tin.brink_rad(Side.BACK) < tin.brink_rad(Side.LEFT)


def test_a_bevel_reduces_the_radius():
    assert Contact.circle(0.04, bevel_m=0.002).reach_m == pytest.approx((0.038, 0.038))
    assert Contact.ring(0.04, 0.03, 0.002).reach_m == pytest.approx((0.038, 0.038))
    assert Contact.rectangle(0.1, 0.06, 0.001).reach_m == pytest.approx((0.049, 0.029))


def test_uncertainties_of_radius_and_masses_reach_the_brink():
    parts = (
        Part.weighed("wall", ufloat(0.06, 0.001, "wall"), 0.05),
        Part.weighed("lid", 0.02, 0.11),
    )
    body = Body("tin", parts, Contact.circle(ufloat(RADIUS, 0.0002, "radius")))
    shares = {source.tag for source in body.brink_rad().error_components()}
    assert shares == {"wall", "radius"}


def test_solids_that_fill_the_same_room_are_refused():
    tea = Part.of("tea", cylinder(0.03, 0.08), 0.1)
    with pytest.raises(LengthError, match="overlap between 60 mm and 80 mm"):
        Body("tin", (tea, Part.of("stone", cylinder(0.01, 0.03), 0.1, base_m=0.06)), ROUND)


def test_what_can_share_room_is_allowed():
    tea = Part.of("tea", cylinder(0.02, 0.08), 0.1)
    others = (
        Part.of("on top", cylinder(0.02, 0.03), 0.1, base_m=0.08),
        Part.of("wall", tube(0.03, 0.1), 0.05),
        Part.of("sleeve", ring(0.03, 0.02, 0.1), 0.05),
        Part.of("rod", rod(0.1), 0.01),
        Part.of("rim", hoop(0.03), 0.01),
    )
    assert len(Body("tin", (tea, *others), ROUND).parts) == 6
    beside = Part.of("beside", cylinder(0.005, 0.08), 0.01, aside_m=(0.03, 0.0))
    assert Body("tin", (tea, beside), ROUND).mass_kg == pytest.approx(0.11)


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda: Part.weighed("lid", 0.0, 0.1), MassError, "mass of the lid"),
        (lambda: Part.of("wall", tube(0.03, 0.1), -0.1), MassError, "mass of the wall"),
        (lambda: Part.weighed("lid", 0.1, -0.1), LengthError, "height of the lid's centre"),
        (lambda: Part.of("lid", disc(0.1), 0.1, -0.1), LengthError, "height of the lid's base"),
        (lambda: Contact.circle(0.0), LengthError, "at most 1000 mm"),
        (lambda: Contact.circle(36.5), LengthError, "at most 1000 mm"),
        (lambda: Contact.circle(0.03, 0.03), LengthError, "less than 30 mm"),
        (lambda: Contact.ring(0.03, 0.04), LengthError, "inner radius"),
        (lambda: Contact.rectangle(0.03, -0.1), LengthError, "depth of the base"),
        (lambda: Body("tin", (), ROUND), LengthError, "no parts"),
        (
            lambda: Body("tin", (Part.weighed("all", 0.1, 0.12),), ROUND, height_m=0.11),
            LengthError,
            "at most 110 mm",
        ),
        (
            lambda: Body("tin", (Part.weighed("all", 0.1, (0.04, 0.0, 0.05)),), ROUND),
            LengthError,
            "from the tin's centre to the pivot",
        ),
        (lambda: Body("mat", (Part.of("base", disc(0.03), 0.1),), ROUND), LengthError, "centre"),
    ],
)
def test_bodies_that_cannot_be_are_refused_with_what_can(make, error, words):
    with pytest.raises(error, match=words):
        make()


def test_more_parts_may_reach_above_the_body():
    tin = Body("tin", (Part.weighed("all", 0.1, 0.05),), ROUND, height_m=0.11)
    taller = tin.with_parts(Part.of("rod", rod(0.2), 0.02))
    assert taller.top_m == 0.2
    assert tin.with_parts(Part.weighed("lump", 0.1, 0.02)).top_m == 0.11


def test_a_body_of_sensible_size_raises_no_doubt():
    assert unit_doubts(tea_tin()) == ()


@pytest.mark.parametrize(
    ("radius", "height", "mass", "words"),
    [
        (0.00365, 0.011, 0.1, "centimetres typed as millimetres"),
        (0.0365, 0.11, 67.0, "kilograms as grams"),
        (0.0365, 0.11, 1e-5, "for each cubic metre"),
        (0.0365, 5.0, 10.0, "high; check the unit"),
        (0.7, 0.11, 10.0, "base is 1400 mm"),
    ],
)
def test_sizes_that_look_like_another_unit_raise_a_doubt(radius, height, mass, words):
    body = Body("tin", (Part.of("all", cylinder(radius, height), mass),), Contact.circle(radius))
    assert any(words in doubt for doubt in unit_doubts(body))


def test_a_known_brink_in_degrees():
    """A plain cylinder: tan = 2r/h."""
    tin = Body("tin", (Part.of("fill", cylinder(0.03, 0.12), 0.4),), Contact.circle(0.03))
    assert degrees(tin.brink_rad()) == pytest.approx(26.565051, abs=1e-6)
