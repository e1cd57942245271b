"""The scene fit on edges of known scenes: the tilt comes back, and so does its uncertainty."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians

import numpy as np
import pytest

from tests.scenes.scene import Side
from tests.vision.geometry import (
    KINDS,
    drawn_scene,
    own_of,
    raised,
    scene_of,
    seen_edges,
)
from vision.edges import Kind
from vision.fit import (
    BODY_CENTRE,
    FOCAL,
    FOCAL_U,
    PITCH_RAD,
    TURN_U_RAD,
    Edges,
    Freedom,
    SceneFit,
    edge_residuals,
    fit_motion,
    fit_scene,
    response,
    start_camera,
)
from vision.scene import BODY, CAMERA, LEAN, SLIP, TILT, Scene, SceneLine

NOISE_PX = 0.1
TILT_RAD = radians(25)


def _camera(seed: int) -> dict[str, float]:
    """Up to 15° off square, 15° down and 5° rolled; 60 to 75° along the longer side."""
    rng = np.random.default_rng([7, seed])
    return {
        "yaw_deg": rng.uniform(-15, 15),
        "pitch_deg": rng.uniform(1, 15),
        "roll_deg": rng.uniform(-5, 5),
        "focal_px": 640 / np.tan(radians(rng.uniform(60, 75)) / 2),
    }


def _noisy(points: np.ndarray, seed: int, noise_px: float = NOISE_PX) -> Edges:
    rng = np.random.default_rng([9, seed])
    u_px = np.full(points.shape[:2], noise_px)
    return Edges(points + rng.normal(0, noise_px, points.shape), u_px)


def _from_scratch(drawn, edges: Edges, frames: int) -> SceneFit:
    """As the finding begins: a usual camera, one edge's slope for the tilt, lines placed."""
    along = edges.points[:, 0, 1] - edges.points[:, 0, 0]
    slope = np.unwrap(np.arctan2(-along[:, 1], np.abs(along[:, 0])))
    own = np.zeros((frames, 5))
    own[:, TILT] = slope - slope[0]
    width, height = drawn.view.width, drawn.view.height
    camera = start_camera(width, height)
    hinge = edges.points[0, 0, 0] - [(width - 1) / 2, (height - 1) / 2]
    camera[4:6] = hinge / np.exp(camera[3])
    away = -drawn.mirror
    body = np.array([0.2, 0.12 * away, 0.04])
    bare = Scene(width, height, drawn.mirror, (), np.concatenate([camera, body]))
    scene = bare.with_lines(list(KINDS), own, edges.points)
    for u_px in (3.0, 1.0, 0.3):
        loose = Edges(edges.points, np.full_like(edges.u_px, u_px))
        fit = fit_scene(scene, own, loose, Freedom(), 0, 0.0, settled=1e-4)
        scene, own = fit.scene, fit.own
    return fit_scene(scene, own, edges, Freedom(), 0, 0.0)


def _tilt_u(fit: SceneFit) -> np.ndarray:
    """Standard uncertainty of each frame's tilt, camera and edges together."""
    follow = fit.solution.own_by_shared[:, 0]
    shared = np.einsum("ns,st,nt->n", follow, fit.solution.shared_covariance, follow)
    return np.sqrt(fit.solution.own_covariance[:, 0, 0] + shared)


@pytest.fixture(scope="module")
def fits() -> list[tuple[np.ndarray, SceneFit]]:
    """Errors of the tilt, degrees, and the fits, over random cameras on either side."""
    out = []
    for seed in range(12):
        drawn = drawn_scene(Side.LEFT if seed % 2 else Side.RIGHT, **_camera(seed))
        motion = raised(TILT_RAD, 20)
        fit = _from_scratch(drawn, _noisy(seen_edges(drawn, motion), seed), 20)
        out.append((np.degrees(fit.own[:, TILT] - motion[:, 0]), fit))
    return out


def test_the_tilt_comes_back_whatever_the_camera(fits):
    """Read off the picture, a 25° lift is up to 2.8° wrong through such cameras."""
    last = np.array([errors[-1] for errors, _ in fits])
    assert np.median(np.abs(last)) < 0.04
    assert np.abs(last).max() < 0.1


def test_the_errors_are_within_what_the_fit_says(fits):
    scores = np.array([errors[-1] / degrees(_tilt_u(fit)[-1]) for errors, fit in fits])
    assert np.abs(scores).max() < 3.3
    assert 0.4 < np.sqrt(np.mean(scores**2)) < 1.6


def test_residuals_are_the_noise(fits):
    for _, fit in fits:
        assert np.std(fit.edge_residuals) == pytest.approx(1.0, abs=0.15)


def test_a_clean_scene_is_a_fixed_point():
    """Without noise and with the truth as prior, nothing moves."""
    drawn = drawn_scene()
    truth, motion = scene_of(drawn), raised(TILT_RAD, 10)
    edges = Edges(seen_edges(drawn, motion), np.full((10, 6), NOISE_PX))
    own = own_of(drawn, motion)
    assert edge_residuals(truth, own, edges) == pytest.approx(np.zeros((10, 6, 2)), abs=1e-6)


def test_the_first_frame_is_the_start_tilt():
    drawn = drawn_scene(yaw_deg=6)
    motion = raised(radians(27), 15, start_rad=radians(7))
    edges = _noisy(seen_edges(drawn, motion), 3)
    truth, own = scene_of(drawn), own_of(drawn, motion)
    fit = fit_scene(truth, own, edges, Freedom(), 0, radians(7))
    assert degrees(fit.own[0, TILT]) == pytest.approx(7, abs=0.01)
    assert degrees(fit.own[-1, TILT]) == pytest.approx(27, abs=0.2)
    moved = fit_scene(truth, own, edges, Freedom(), 0, radians(7.2))
    turned = degrees(moved.own[-1, TILT] - fit.own[-1, TILT])
    assert turned == pytest.approx(0.2, abs=0.03)


def _draw_from_the_prior(rng: np.random.Generator) -> Scene:
    """A scene as likely as the fit thinks it to be beforehand."""
    camera = np.zeros(CAMERA)
    camera[:3] = rng.normal([PITCH_RAD, 0, 0], TURN_U_RAD)
    camera[3] = np.log(FOCAL * 1280) + rng.normal(0, FOCAL_U)
    camera[4:6] = rng.normal([-0.2, 0.1], 0.05)
    body = BODY_CENTRE * [1, -1, 1] + rng.normal(0, 1, 3) * [0.02, 0.03, 0.005]
    places = [[0.005, 0.0], [0.005, -0.24], [0.0, 0.005], [0.4, 0.005]]
    extents = [(0.0, 0.4)] * 2 + [(-0.24, 0.0)] * 2 + [(0.0, 0.25)] * 2
    lines = tuple(
        SceneLine(kind, (1.0,), *extent) for kind, extent in zip(KINDS, extents, strict=True)
    )
    shared = np.concatenate([camera, body, np.ravel(places)])
    return Scene(1280, 720, 1, lines, shared)


def test_the_covariance_is_honest():
    """Over 200 scenes drawn from the prior, error over uncertainty is a standard normal.

    Its standard deviation is known to 5 %; the camera's prior is curved, the fit linear.
    """
    scores, u_deg = [], []
    for seed in range(200):
        rng = np.random.default_rng([3, seed])
        scene = _draw_from_the_prior(rng)
        own = np.zeros((8, 5))
        own[:, TILT] = np.linspace(0, TILT_RAD, 8)
        points = scene.segments(own).reshape(8, 6, 2, 2)
        edges = _noisy(points, seed)
        fit = fit_scene(scene, own, edges, Freedom(), 0, 0.0, settled=1e-4)
        u = _tilt_u(fit)[-1]
        scores.append((fit.own[-1, TILT] - TILT_RAD) / u)
        u_deg.append(degrees(u))
    assert 0.8 < np.std(scores) < 1.2
    assert abs(np.mean(scores)) < 0.25
    assert np.mean(np.abs(scores) < 1.96) > 0.9
    assert 0.01 < np.median(u_deg) < 0.5


def test_lean_and_slip_are_followed_once_the_scene_is_known():
    drawn = drawn_scene(yaw_deg=-7, pitch_deg=8)
    motion = raised(radians(22), 12)
    motion[6:, 1] = np.radians([0.3, 0.8, 1.5, 3.0, 5.0, 8.0])
    motion[3:6, 2] = [0.001, 0.004, 0.010]
    truth, own = scene_of(drawn), own_of(drawn, motion)
    edges = _noisy(seen_edges(drawn, motion), 5)
    freedom = Freedom(lean_rad=1.0, slip=1.0)
    # From where the body stands and the board is a degree short.
    start = own.copy()
    start[:, [LEAN, SLIP]] = 0.0
    start[:, TILT] -= radians(1.0)
    found, covariance = fit_motion(truth, start, edges, freedom)
    u = np.sqrt(np.einsum("nkk->nk", covariance))
    scores = ((found - own) / np.where(u > 0, u, np.inf))[:, :3]
    assert np.abs(scores).max() < 4
    assert 0.6 < np.sqrt(np.mean(scores**2)) < 1.4
    assert np.degrees(u[:, TILT]).max() < 0.05
    assert np.degrees(u[:, LEAN]).max() < 0.1
    assert np.all(found[:, 3:] == 0) and np.all(covariance[:, 3:] == 0)


def test_the_motions_covariance_is_honest():
    """300 frames of the same tilt, lean and slip: scatter over uncertainty is 1."""
    drawn = drawn_scene(yaw_deg=5)
    motion = np.tile([radians(15), radians(1.0), 0.002], (300, 1))
    edges, own = _noisy(seen_edges(drawn, motion), 6), own_of(drawn, motion)
    found, covariance = fit_motion(scene_of(drawn), own, edges, Freedom(1.0, 1.0))
    u = np.sqrt(np.einsum("nkk->nk", covariance))[:, :3]
    ratio = np.std(found[:, :3] - own[:, :3], axis=0) / u.mean(axis=0)
    # Robust weights give away a few per cent of what Gaussian noise would allow.
    assert ratio == pytest.approx(np.ones(3), abs=0.2)


def test_a_frame_in_which_nothing_is_seen_stays_where_it_was():
    drawn = drawn_scene()
    motion = raised(radians(20), 6)
    points = seen_edges(drawn, motion)
    points[3] = np.nan
    own = own_of(drawn, motion)
    edges = Edges(points, np.full((6, 6), NOISE_PX))
    found, covariance = fit_motion(scene_of(drawn), own, edges, Freedom(1.0, 1.0))
    assert found[3] == pytest.approx(own[3], abs=1e-6)
    assert np.sqrt(covariance[3, LEAN, LEAN]) == pytest.approx(1.0, rel=1e-3)
    assert np.isfinite(found).all()


def test_one_false_edge_in_one_frame_does_little():
    drawn = drawn_scene()
    motion = raised(radians(20), 10)
    clean = seen_edges(drawn, motion)
    wrong = clean.copy()
    wrong[6, 1] += 25.0
    own, u_px = own_of(drawn, motion), np.full((10, 6), NOISE_PX)
    found, _ = fit_motion(scene_of(drawn), own, Edges(wrong, u_px), Freedom(1.0, 1.0))
    assert np.degrees(np.abs(found - own)[6, TILT]) < 0.02


def test_the_response_foretells_a_small_change_of_the_scene():
    """Derivatives of each frame's unknowns by the scene's, against fitting again."""
    drawn = drawn_scene(yaw_deg=5, pitch_deg=7)
    motion = raised(radians(20), 5)
    scene, own = scene_of(drawn), own_of(drawn, motion)
    edges = Edges(seen_edges(drawn, motion), np.full((5, 6), NOISE_PX))
    freedom = Freedom(lean_rad=1.0, slip=1.0)
    by_scene = response(scene, own, edges, freedom)
    for column in (0, 1, 3, 4, CAMERA + 1, CAMERA + BODY + 1):
        nudge = np.zeros(len(scene.shared))
        nudge[column] = 1e-5
        moved = replace(scene, shared=scene.shared + nudge)
        again, _ = fit_motion(moved, own, edges, freedom, steps=8)
        change = (again - own) / 1e-5
        assert by_scene[:, :3, column] == pytest.approx(change[:, :3], rel=0.02, abs=2e-3)


def test_freedom_says_what_is_fitted_and_how_far_it_may_stray():
    assert Freedom().columns == [TILT]
    assert Freedom(lean_rad=1.0, slip=1.0).columns == [TILT, LEAN, SLIP]
    assert Freedom(shift=0.02).columns == [TILT, 3, 4]
    assert Freedom(1.0, 1.0, 0.02).at_rest() == Freedom(shift=0.02)
    held = Freedom(lean_rad=0.5, shift=0.02)
    pulls = held.pulls(np.array([[9.0, 1.0, 7.0, 0.04, 0.0]]))
    assert pulls == pytest.approx(np.array([[2.0, 2.0, 0.0]]))
    assert held.by_own == pytest.approx([2.0, 50.0, 50.0])


def test_residuals_count_in_uncertainties():
    drawn = drawn_scene()
    motion = raised(radians(10), 2)
    points, own = seen_edges(drawn, motion), own_of(drawn, motion)
    # Up by 3 px: the level near edge of the first frame is 3 px off.
    one = edge_residuals(scene_of(drawn), own, Edges(points - [0, 3.0], np.full((2, 6), 1.0)))
    half = edge_residuals(scene_of(drawn), own, Edges(points - [0, 3.0], np.full((2, 6), 0.5)))
    assert np.abs(one[0, 0]) == pytest.approx([3.0, 3.0], rel=0.01)
    assert half == pytest.approx(2 * one, rel=1e-9)


def test_edges_of_some_frames():
    edges = Edges(np.arange(48.0).reshape(4, 3, 2, 2), np.arange(12.0).reshape(4, 3))
    some = edges.at(np.array([2, 0]))
    assert np.array_equal(some.points, edges.points[[2, 0]])
    assert np.array_equal(some.u_px, edges.u_px[[2, 0]])


def test_a_scene_without_outlines_leaves_the_body_alone():
    drawn = drawn_scene()
    motion = raised(radians(20), 8)
    truth = scene_of(drawn)
    board = truth.with_only([0, 1, 2, 3])
    edges = _noisy(seen_edges(drawn, motion)[:, :4], 8)
    fit = fit_scene(board, own_of(drawn, motion), edges, Freedom(), 0, 0.0)
    body = slice(CAMERA, CAMERA + BODY)
    assert fit.scene.shared[body] == pytest.approx(truth.shared[body], abs=1e-4)
    assert [line.kind for line in fit.scene.lines] == [Kind.ALONG] * 2 + [Kind.ACROSS] * 2
