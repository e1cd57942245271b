"""Shapes against calculus done by sympy, meshes weighed by trimesh, and handbook formulas.

The handbook formulas (cone h/4, conical shell h/3, hemisphere 3r/8, its shell
r/2, the frustum and its curved shell, the tube with a base of the same sheet)
are in any table of centroids of the trade; here sympy derives each again.
"""

import numpy as np
import pytest
import sympy as sp
import trimesh

from solver.moments import together
from solver.profiles import prism, revolved, turned, turned_shell
from solver.shapes import (
    box,
    cone,
    cone_shell,
    cylinder,
    disc,
    frustum,
    frustum_shell,
    hemisphere,
    hemisphere_shell,
    hollowed,
    hoop,
    ring,
    rod,
    sphere,
    sphere_shell,
    tube,
)

R, H, TOP = 4.0, 11.0, 2.5
"""Metres, large because trimesh drops faces that are small in its own units."""
Z = sp.symbols("z", real=True)


def solid_by_calculus(radius, height):
    """Amount, centre, spread across and along, of a solid of revolution: ∫ over discs."""
    area = sp.pi * radius**2
    amount = sp.integrate(area, (Z, 0, height))
    centre = sp.integrate(area * Z, (Z, 0, height)) / amount
    across = sp.integrate(area * radius**2 / 4, (Z, 0, height)) / amount
    along = sp.integrate(area * Z**2, (Z, 0, height)) / amount - centre**2
    return [float(v) for v in (amount, centre, across, along)]


def sheet_by_calculus(radius, height):
    """The same of a thin surface of revolution: ∫ over rings along the arc."""
    ring_length = 2 * sp.pi * sp.sqrt(sp.simplify(radius**2 * (1 + sp.diff(radius, Z) ** 2)))
    amount = sp.integrate(sp.simplify(ring_length), (Z, 0, height))
    centre = sp.integrate(sp.simplify(ring_length * Z), (Z, 0, height)) / amount
    across = sp.integrate(sp.simplify(ring_length * radius**2 / 2), (Z, 0, height)) / amount
    along = sp.integrate(sp.simplify(ring_length * Z**2), (Z, 0, height)) / amount - centre**2
    return [float(v) for v in (amount, centre, across, along)]


def of(shape):
    moments = shape.moments
    return [moments.amount, moments.centre_m[2], moments.spread_m2[0], moments.spread_m2[2]]


HEIGHT, BASE = sp.Integer(11), sp.Integer(4)
LINE = BASE - sp.Rational(3, 22) * Z
CONE = BASE * (1 - Z / HEIGHT)
DOME = sp.sqrt(BASE**2 - Z**2)
BALL = sp.sqrt(2 * BASE * Z - Z**2)


@pytest.mark.parametrize(
    ("shape", "radius", "height"),
    [
        (cylinder(R, H), BASE, HEIGHT),
        (cone(R, H), CONE, HEIGHT),
        (frustum(R, TOP, H), LINE, HEIGHT),
        (hemisphere(R), DOME, BASE),
        (sphere(R), BALL, 2 * BASE),
        (turned([(0, R), (H, TOP)]), LINE, HEIGHT),
        (revolved(lambda z: float(R - (R - TOP) * z / H), H), LINE, HEIGHT),
    ],
)
def test_solids_agree_with_calculus(shape, radius, height):
    np.testing.assert_allclose(of(shape), solid_by_calculus(radius, height), rtol=1e-9)


@pytest.mark.parametrize(
    ("shape", "radius", "height"),
    [
        (tube(R, H), BASE, HEIGHT),
        (cone_shell(R, H), CONE, HEIGHT),
        (frustum_shell(R, TOP, H), LINE, HEIGHT),
        (hemisphere_shell(R), DOME, BASE),
        (sphere_shell(R), BALL, 2 * BASE),
        (turned_shell([(0, R), (H, TOP)]), LINE, HEIGHT),
    ],
)
def test_sheets_agree_with_calculus(shape, radius, height):
    np.testing.assert_allclose(of(shape), sheet_by_calculus(radius, height), rtol=1e-9)


def test_flat_and_thin_shapes_agree_with_calculus():
    rho = sp.symbols("rho", positive=True)
    area = sp.integrate(2 * sp.pi * rho, (rho, 0, R))
    across = sp.integrate(2 * sp.pi * rho * rho**2 / 2, (rho, 0, R)) / area
    np.testing.assert_allclose(of(disc(R)), [float(area), 0, float(across), 0], rtol=1e-12)
    turn = sp.symbols("t", real=True)
    across = sp.integrate((R * sp.cos(turn)) ** 2, (turn, 0, 2 * sp.pi)) / (2 * sp.pi)
    np.testing.assert_allclose(of(hoop(R)), [2 * np.pi * R, 0, float(across), 0], rtol=1e-12)
    along = sp.integrate((Z - HEIGHT / 2) ** 2, (Z, 0, HEIGHT)) / HEIGHT
    np.testing.assert_allclose(of(rod(H)), [H, H / 2, 0, float(along)], rtol=1e-12)


def weighed_mesh(mesh):
    """Volume, centre and the three spreads of a mesh of a uniform solid."""
    inertia = mesh.moment_inertia / mesh.volume
    spread = np.trace(inertia) / 2 - np.diag(inertia)
    return mesh.volume, mesh.center_mass, spread


def lathe(outline):
    """A mesh turned from ``(radius, height)`` points, with 512 sides."""
    return trimesh.creation.revolve(np.array(outline), sections=512)


ARC = np.linspace(0, np.pi / 2, 200)[:-1]
QUARTER = [*zip(R * np.cos(ARC), R * np.sin(ARC), strict=True), (0.0, R)]
SOLIDS = {
    "cylinder": (cylinder(R, H), lathe([(0, 0), (R, 0), (R, H), (0, H)])),
    "cone": (cone(R, H), lathe([(0, 0), (R, 0), (0, H)])),
    "frustum": (frustum(R, TOP, H), lathe([(0, 0), (R, 0), (TOP, H), (0, H)])),
    "hemisphere": (hemisphere(R), lathe([(0, 0), *QUARTER])),
    "ring": (ring(R, TOP, H), lathe([(TOP, 0), (R, 0), (R, H), (TOP, H), (TOP, 0)])),
    "sphere": (
        sphere(R),
        trimesh.creation.icosphere(subdivisions=5, radius=R).apply_translation((0, 0, R)),
    ),
    "box": (
        box(R, TOP, H),
        trimesh.creation.box((R, TOP, H)).apply_translation((0, 0, H / 2)),
    ),
    "drilled cone": (
        hollowed(frustum(R, TOP, H), cone(TOP, 5.0)),
        lathe([(0, 5.0), (TOP, 0), (R, 0), (TOP, H), (0, H)]),
    ),
    "vase": (
        turned([(0, 3), (2, R), (8, 1), (H, TOP)]),
        lathe([(0, 0), (3, 0), (R, 2), (1, 8), (TOP, H), (0, H)]),
    ),
}


@pytest.mark.parametrize("name", SOLIDS)
def test_solids_agree_with_a_mesh(name):
    """512 sides miss a circle's area by one part in 40 000, its fourth moment by more."""
    shape, mesh = SOLIDS[name]
    volume, centre, spread = weighed_mesh(mesh)
    assert shape.moments.amount == pytest.approx(volume, rel=1e-3)
    np.testing.assert_allclose(shape.moments.centre_m, centre, atol=1e-4 * H)
    np.testing.assert_allclose(shape.moments.spread_m2, spread, rtol=2e-3)


@pytest.mark.parametrize(
    ("shape", "outline"),
    [
        (tube(R, H), [(R, 0), (R, H)]),
        (cone_shell(R, H), [(R, 0), (0, H)]),
        (frustum_shell(R, TOP, H), [(R, 0), (TOP, H)]),
        (hemisphere_shell(R), QUARTER),
        (turned_shell([(0, 0), (0, R), (H, R)]), [(0, 0), (R, 0), (R, H)]),
    ],
)
def test_sheets_agree_with_the_surface_of_a_mesh(shape, outline):
    """trimesh: ``centroid`` is of the surface, ``center_mass`` of the volume."""
    mesh = lathe(outline)
    assert shape.moments.amount == pytest.approx(mesh.area, rel=1e-3)
    np.testing.assert_allclose(shape.moments.centre_m, mesh.centroid, atol=1e-4 * H)


def test_prism_agrees_with_an_extruded_mesh():
    corners = [(-3.0, 0.0), (5.0, 0.0), (2.0, 6.0), (-3.0, 9.0)]
    triangles = np.array([[0, 1, 2], [0, 2, 3]])
    mesh = trimesh.creation.extrude_triangulation(np.array(corners), triangles, height=4.0)
    volume, centre, spread = weighed_mesh(mesh)
    shape = prism(corners, 4.0)
    assert shape.moments.amount == pytest.approx(abs(volume), rel=1e-9)
    x, y, z = shape.moments.centre_m
    np.testing.assert_allclose((x, z, y), (centre[0], centre[1], 0.0), atol=1e-12)
    x, y, z = shape.moments.spread_m2
    np.testing.assert_allclose((x, z, y), spread, rtol=1e-9)


def test_frustum_and_shell_by_the_handbook():
    square = R**2 + R * TOP + TOP**2
    solid = H * (R**2 + 2 * R * TOP + 3 * TOP**2) / (4 * square)
    assert frustum(R, TOP, H).moments.centre_m[2] == pytest.approx(solid, rel=1e-12)
    shell = H * (R + 2 * TOP) / (3 * (R + TOP))
    assert frustum_shell(R, TOP, H).moments.centre_m[2] == pytest.approx(shell, rel=1e-12)


def test_tube_with_a_base_of_the_same_sheet_by_the_handbook():
    tin = together([tube(R, H).moments, disc(R).moments])
    assert tin.centre_m[2] == pytest.approx(H**2 / (2 * H + R), rel=1e-12)
