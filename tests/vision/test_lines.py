"""Sub-pixel edges against edges drawn by algebra, and against what noise allows."""

from __future__ import annotations

from math import degrees, radians, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import correlate1d, map_coordinates

from tests.vision.drawn_edges import half_plane, segment
from vision.lines import (
    BLUR_PX,
    FAINTEST,
    RUN,
    EdgeLines,
    find_segments,
    gradient_across,
    measure_edges,
    measure_edges_in,
)
from vision.straight import SETTLED

DARK, STEP = 80.0, 90.0
LOCK_PX = 0.08
"""A clean edge along the pixels' rows is read up to this far off, by where it falls
between them; noise and slant average it out."""
FAR_PX = 0.35
MIDDLE = np.array([110.3, 79.8])
SHAPE = (160, 220)


def _edge(angle_rad: float, middle=MIDDLE, shape=SHAPE, dark=DARK, step=STEP) -> np.ndarray:
    return (dark + step * half_plane(shape, middle, angle_rad)).astype(np.float32)


def _measured(grey, *segments, contrast=((1.0,),), reach=5, spacing=2.0) -> EdgeLines:
    asked = np.broadcast_to(np.array(contrast), (len(segments), len(contrast[0])))
    return measure_edges(grey, np.array(segments), asked, reach, spacing)


@settings(max_examples=40)
@given(
    st.floats(-180, 180), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5),
    st.floats(-2, 2), st.floats(-2, 2),
)  # fmt: skip
def test_place_and_direction_of_a_clean_edge(angle_deg, dx, dy, off_px, turn_deg):
    """Looked for up to 2 px and 2° away, it is found, and where it is when looked for there.

    From far off the sample nearest the middle may be taken beside the steepest.
    """
    angle, middle = radians(angle_deg), MIDDLE + [dx, dy]
    grey = _edge(angle, middle)
    normal = np.array([-np.sin(angle), np.cos(angle)])
    looked = segment(middle - off_px * normal, angle - radians(turn_deg), 90.0)
    points, _ = _measured(grey, looked).points(looked[None])
    assert (points[0] - middle) @ normal == pytest.approx([0, 0], abs=FAR_PX)
    looked = points[0].ravel()
    edges = _measured(grey, looked)
    points, _ = edges.points(looked[None])
    assert (points[0] - middle) @ normal == pytest.approx([0, 0], abs=LOCK_PX)
    along = (points[0, 1] - points[0, 0]) @ [np.cos(angle), np.sin(angle)]
    assert along == pytest.approx(2 * edges.reach_px[0], rel=1e-3)
    assert edges.share[0] > 0.95


@settings(max_examples=15)
@given(st.floats(-80, 80), st.sampled_from([20.0, 50.0, 120.0]))
def test_contrast_is_signed_and_proportional_to_the_step(angle_deg, step):
    """A step of height A, smoothed by the pixel and by reading it, peaks below A / px."""
    angle = radians(angle_deg)
    looked = segment(MIDDLE, angle, 90.0)
    up = _measured(_edge(angle, step=step), looked).contrast[0, 0]
    one = _measured(_edge(angle, step=100.0), looked).contrast[0, 0]
    assert up == pytest.approx(one * step / 100, rel=1e-3)
    assert 0.25 * step < up < 0.5 * step
    turned = np.roll(looked, 2)
    down = _measured(_edge(angle, step=step), turned, contrast=((-1.0,),)).contrast[0, 0]
    assert down == pytest.approx(-up, rel=1e-3)


def test_an_edge_of_the_other_sign_is_not_taken():
    looked = segment(MIDDLE, 0.3, 90.0)
    edges = _measured(_edge(0.3), looked, contrast=((-1.0,),))
    assert not edges.share[0] > 0.2
    assert np.isnan(edges.offset_px[0])


def test_a_fainter_edge_than_asked_for_is_not_taken():
    looked = segment(MIDDLE, 0.3, 90.0)
    there = _measured(_edge(0.3), looked).contrast[0, 0]
    assert _measured(_edge(0.3), looked, contrast=((2.9 * there,),)).share[0] > 0.9
    assert np.isnan(_measured(_edge(0.3), looked, contrast=((3.3 * there,),)).offset_px[0])


def test_contrast_that_turns_round_on_the_way():
    """Bright above on the left half, below on the right: one edge all the same."""
    share = half_plane(SHAPE, MIDDLE, 0.0)
    left = np.arange(SHAPE[1]) < MIDDLE[0]
    grey = np.where(left, DARK + STEP * share, DARK + STEP * (1 - share)).astype(np.float32)
    looked = segment(MIDDLE, 0.0, 120.0)
    either = _measured(grey, looked, contrast=((1.0, -1.0),))
    assert either.share[0] > 0.93
    assert either.offset_px[0] == pytest.approx(0, abs=LOCK_PX)
    assert either.contrast[0, 0] == pytest.approx(-either.contrast[0, 1], rel=0.02)
    one = _measured(grey, looked, contrast=((1.0, 1.0),))
    assert one.share[0] == pytest.approx(0.5, abs=0.05)


def test_parts_without_contrast_are_passed_over():
    looked = segment(MIDDLE, 0.0, 120.0)
    edges = _measured(_edge(0.0), looked, contrast=((1.0, 0.9 * FAINTEST, 1.0),))
    assert edges.samples[0] == pytest.approx(2 / 3 * 60, abs=1)
    assert edges.share[0] == 1.0
    assert np.isnan(edges.contrast[0, 1]) and np.isfinite(edges.contrast[0, [0, 2]]).all()


def test_a_quarter_of_the_edge_hidden_by_something_else_does_not_move_it():
    grey = _edge(0.0)
    grey[:, 120:145] = _edge(0.0, MIDDLE + [0, 2.5])[:, 120:145]
    edges = _measured(grey, segment(MIDDLE, 0.0, 100.0))
    assert edges.offset_px[0] == pytest.approx(0, abs=LOCK_PX)
    assert edges.slope[0] == pytest.approx(0, abs=5e-4)
    assert edges.share[0] == pytest.approx(0.75, abs=0.06)


def test_nothing_is_found_where_nothing_is():
    flat = np.full(SHAPE, 120, np.float32)
    edges = _measured(flat, segment(MIDDLE, 0.4, 90.0))
    assert np.isnan([edges.offset_px[0], edges.slope[0], edges.spread_px[0]]).all()
    assert edges.share[0] == 0.0
    points, u_px = edges.points(segment(MIDDLE, 0.4, 90.0)[None])
    assert np.isnan(points).all() and np.isnan(u_px).all()


def test_an_edge_out_of_the_picture_is_not_found_and_one_half_out_is_half_found():
    outside = segment(np.array([110.0, -30.0]), 0.0, 90.0)
    half = segment(np.array([0.0, MIDDLE[1]]), 0.0, 90.0)
    edges = _measured(_edge(0.0), outside, half)
    assert np.isnan(edges.offset_px[0])
    assert edges.share[1] == pytest.approx(0.5, abs=0.03)
    assert edges.offset_px[1] == pytest.approx(0, abs=LOCK_PX)


def test_many_edges_at_once_are_measured_as_one_by_one():
    grey = _edge(0.2) + np.random.default_rng(5).normal(0, 4, SHAPE).astype(np.float32)
    looked = [segment(MIDDLE + [0, k - 1], 0.2 + 0.01 * k, 60.0 + 11 * k) for k in range(4)]
    together = _measured(grey, *looked)
    for k, alone in enumerate(_measured(grey, each) for each in looked):
        assert together.offset_px[k] == pytest.approx(alone.offset_px[0], abs=SETTLED)
        assert together.slope[k] == pytest.approx(alone.slope[0], abs=SETTLED / 30)


def test_several_pictures_at_once_are_measured_as_one_by_one():
    """To where the rounds of the straight fit end; what is asked of the samples exactly."""
    rng, angles = np.random.default_rng(6), (0.2, -0.1, 0.7)
    greys = [_edge(angle) + rng.normal(0, 4, SHAPE).astype(np.float32) for angle in angles]
    looked = np.array(
        [
            [segment(MIDDLE + [0, k - 1], angle + 0.01 * k, 50.0 + 17 * k) for k in range(3)]
            for angle in angles
        ]
    )
    looked[1, 2] += 400.0  # out of its picture
    asked = np.array([[1.0, 1.0], [1.0, 0.0], [1.0, -1.0]])
    together = measure_edges_in(greys, looked, asked, 5)
    alone = [measure_edges(g, each, asked, 5) for g, each in zip(greys, looked, strict=True)]
    assert np.isnan(together.offset_px.reshape(3, 3)[1, 2])
    for name, within in {
        "offset_px": SETTLED, "slope": SETTLED / 30, "middle_px": 1.0, "reach_px": 1.0,
        "spread_px": SETTLED, "samples": 1.0, "share": 0.05, "contrast": 0.5,
    }.items():  # fmt: skip
        one_by_one = np.concatenate([getattr(edges, name) for edges in alone])
        assert getattr(together, name) == pytest.approx(one_by_one, abs=within, nan_ok=True)


def test_one_picture_among_several_pictures_is_that_picture():
    grey, looked = _edge(0.2), segment(MIDDLE, 0.2, 90.0)[None]
    one = measure_edges_in([grey], looked[None], np.array([[1.0]]), 5)
    assert vars(one) == vars(measure_edges(grey, looked, np.array([[1.0]]), 5))


@pytest.fixture(scope="module")
def noisy_edges() -> list[EdgeLines]:
    """The same edge under 150 draws of noise, 400 px long, step to noise 15."""
    rng = np.random.default_rng(8)
    angle, middle, shape = radians(11.0), np.array([220.3, 60.2]), (121, 441)
    clean, looked = _edge(angle, middle, shape), segment(middle, angle, 400.0)
    return [
        _measured(clean + rng.normal(0, 6, shape).astype(np.float32), looked) for _ in range(150)
    ]


def test_the_direction_is_as_good_as_noise_allows(noisy_edges):
    """σ = (σ_e/Δ) √(12 / N(N² − 1)): the Cramér–Rao bound of a line through N points.

    Algebra of the straight-line fit; 0.0025° for 400 points a pixel apart with 0.1 px.
    """
    assert degrees(_bound(0.1, 1.0, 400)) == pytest.approx(0.0025, abs=5e-5)
    count = np.mean([e.samples[0] for e in noisy_edges])
    scatter = np.mean([e.spread_px[0] for e in noisy_edges])
    bound = _bound(scatter, 400 / 160, count)
    found = np.std([e.slope[0] for e in noisy_edges])
    # 150 draws know a standard deviation to 6 %; weighing down the tails costs a few more.
    assert 0.85 * bound < found < 1.3 * bound
    assert scatter < 0.1
    assert abs(np.mean([e.slope[0] for e in noisy_edges])) < 4 * found / sqrt(150)


def test_the_place_is_as_good_as_noise_allows(noisy_edges):
    count = np.mean([e.samples[0] for e in noisy_edges])
    scatter = np.mean([e.spread_px[0] for e in noisy_edges])
    found = np.std([e.offset_px[0] for e in noisy_edges])
    # The samples' scatter holds some of the pixels' own pattern, which is the same each time.
    assert 0.7 < found * sqrt(count) / scatter < 1.3
    assert abs(np.mean([e.offset_px[0] for e in noisy_edges])) < 0.02


def test_the_two_points_are_independent_and_their_uncertainty_is_on_the_safe_side(noisy_edges):
    """White noise is better than stated by √RUN: pictures have runs of noise, this has none."""
    angle, middle = radians(11.0), np.array([220.3, 60.2])
    looked, normal = segment(middle, angle, 400.0), np.array([-np.sin(angle), np.cos(angle)])
    across, stated = [], []
    for edges in noisy_edges:
        points, u_px = edges.points(looked[None])
        across.append((points[0] - middle) @ normal)
        stated.append(sqrt(max(u_px[0] ** 2 - 0.03**2, 0)))
    across = np.array(across)
    assert abs(np.corrcoef(across.T)[0, 1]) < 0.25
    assert np.mean(stated) / np.std(across, axis=0) == pytest.approx([sqrt(RUN)] * 2, rel=0.25)


def _bound(error_px: float, apart_px: float, count: float) -> float:
    return error_px / apart_px * sqrt(12 / (count * (count**2 - 1)))


@pytest.mark.parametrize(("x", "y", "normal"), [(40, 30, (1.0, 0.0)), (41.5, 27.3, (0.6, 0.8))])
def test_gradients_of_a_slope_are_its_slope(x, y, normal):
    """The kernel of the profile reads 3 grey levels a pixel as 3."""
    rows, columns = np.mgrid[:60, :80]
    grey, gradient = (3.0 * columns - 2.0 * rows).astype(np.float32), np.empty(11)
    assert gradient_across(grey, x, y, *normal, gradient)
    assert gradient == pytest.approx(np.full(11, 3 * normal[0] - 2 * normal[1]), abs=1e-4)


@settings(max_examples=20)
@given(st.floats(10, 70), st.floats(10, 50), st.floats(-180, 180), st.integers(0, 99))
def test_gradients_are_those_of_scipy(x, y, turn_deg, seed):
    """Of a profile read by linear interpolation, by the derivative of a Gaussian."""
    grey, gradient = np.random.default_rng(seed).uniform(0, 255, (60, 80)), np.empty(5)
    normal = np.cos(radians(turn_deg)), np.sin(radians(turn_deg))
    assert gradient_across(grey, x, y, *normal, gradient)
    at = np.arange(-5, 6)
    profile = map_coordinates(grey, [y + at * normal[1], x + at * normal[0]], order=1)
    near = np.arange(-3, 4)
    kernel = near * np.exp(-(near**2) / (2 * BLUR_PX**2))
    there = correlate1d(profile, kernel / np.sum(near * kernel))[3:-3]
    assert gradient == pytest.approx(there, abs=1e-6)


def test_profiles_that_leave_the_picture_are_none():
    grey, gradient = np.zeros((60, 80), np.float32), np.empty(11)
    assert gradient_across(grey, 8.0, 30.0, 1.0, 0.0, gradient)
    assert not gradient_across(grey, 7.9, 30.0, 1.0, 0.0, gradient)
    assert not gradient_across(grey, 40.0, 51.1, 0.0, -1.0, gradient)


def test_the_sides_of_a_rectangle_are_found_as_segments():
    grey = np.full((160, 220), 60, np.uint8)
    grey[40:121, 50:181] = 190
    segments = find_segments(grey, 40.0)
    assert segments.shape == (4, 4)
    lengths = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    assert np.sort(lengths) == pytest.approx([80, 80, 130, 130], abs=6)
    assert len(find_segments(grey, 100.0)) == 2


def test_a_flat_picture_has_no_segments():
    assert find_segments(np.full((50, 60), 90, np.uint8), 10.0).shape == (0, 4)
