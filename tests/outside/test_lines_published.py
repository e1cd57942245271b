"""Edges in real photographs, against ground truth that others measured.

The photographs come with scikit-image: the *Motorcycle* pair of the Middlebury 2014
stereo benchmark (Scharstein et al., High-resolution stereo datasets with
subpixel-accurate ground truth, German Conference on Pattern Recognition 2014), whose
disparities say where each point of the left picture lies in the right one.
"""

from __future__ import annotations

from math import degrees, sqrt

import cv2
import numpy as np
import pytest
from skimage import data

from vision.lines import find_segments, measure_edges

STEADY_PX = 1.0
"""Largest range of disparity about an edge: both its sides lie at one depth."""
BESIDE = np.arange(-4, 5)
FOUND = 0.7


@pytest.mark.parametrize(
    ("count", "error_px", "published_deg"), [(400, 0.1, 0.0025), (150, 0.3, 0.032)]
)
def test_the_bound_on_a_lines_angle_by_simulation(count, error_px, published_deg):
    """σ = (σ_e/Δ)√(12/N(N²−1)), the variance of a fitted slope: any text on regression.

    The degrees are recomputed here; so is the scatter of 4000 fitted lines.
    """
    bound = error_px * sqrt(12 / (count * (count**2 - 1)))
    assert degrees(bound) == pytest.approx(published_deg, rel=0.02)
    noise = np.random.default_rng(1).normal(0, error_px, (count, 4000))
    slopes = np.polyfit(np.arange(count), noise, 1)[0]
    assert np.std(slopes) == pytest.approx(bound, rel=0.05)


def _steep_segments(grey: np.ndarray) -> np.ndarray:
    segments = find_segments(grey, 30.0)
    across, down = np.abs(segments[:, 2:] - segments[:, :2]).T
    return segments[down > 2 * across]


def _disparity_along(segment: np.ndarray, disparity: np.ndarray) -> np.ndarray | None:
    """Disparity at the segment's two ends by a plane through what is beside it."""
    share = np.linspace(0, 1, 40)
    along = segment[2:] - segment[:2]
    normal = np.array([-along[1], along[0]]) / np.hypot(*along)
    points = segment[:2] + share[:, None] * along
    pixels = np.rint(points[:, None] + BESIDE[:, None] * normal).astype(int)
    inside = (pixels >= 0).all() and (pixels < [disparity.shape[1], disparity.shape[0]]).all()
    if not inside:
        return None
    beside = disparity[pixels[..., 1], pixels[..., 0]]
    if not np.isfinite(beside).all() or np.ptp(beside) > STEADY_PX:
        return None
    columns = [np.ones(beside.size), np.repeat(share, len(BESIDE)), np.tile(BESIDE, len(share))]
    plane = np.linalg.lstsq(np.column_stack(columns), beside.ravel(), rcond=None)[0]
    return plane[0] + np.array([0.0, plane[1]])


def _measured_middle(grey: np.ndarray, segment: np.ndarray, sign: float) -> float | None:
    """Where the edge crosses the row of the segment's middle, if it is found."""
    edges = measure_edges(grey.astype(np.float32), segment[None], np.array([[sign]]), 3)
    if not edges.share[0] > FOUND:
        return None
    (one, two), row = edges.points(segment[None])[0][0], (segment[1] + segment[3]) / 2
    return one[0] + (row - one[1]) * (two[0] - one[0]) / (two[1] - one[1])


def _errors_px() -> np.ndarray:
    left, right, disparity = data.stereo_motorcycle()
    left, right = (cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY) for picture in (left, right))
    errors = []
    for segment in _steep_segments(left):
        shift = _disparity_along(segment, disparity)
        if shift is None:
            continue
        moved = segment - [shift[0], 0.0, shift[1], 0.0]
        for sign in (1.0, -1.0):
            seen = _measured_middle(left, segment, sign), _measured_middle(right, moved, sign)
            if None not in seen:
                errors.append(seen[0] - seen[1] - shift.mean())
    return np.array(errors)


def test_straight_edges_of_a_photographed_garage_lie_where_the_ground_truth_has_them():
    """Sub-pixel edges have a standard deviation below 0.1 px (Devernay, INRIA RR-2724, 1995).

    Two are measured here, one in either picture, and the published disparity has an
    error of its own.
    """
    errors = _errors_px()
    assert len(errors) >= 8
    assert abs(np.median(errors)) < 0.1
    assert 1.4826 * np.median(np.abs(errors - np.median(errors))) < 0.1 * sqrt(2)
    assert np.abs(errors).max() < 0.3


def test_the_courses_of_a_photographed_wall_meet_in_one_point():
    """Parallel lines meet in the picture (any text on perspective): scikit-image's brick wall.

    Bricks are uneven by a millimetre or two in 200, some 0.3°.
    """
    wall = data.brick()
    segments = find_segments(wall, 60.0)
    across, down = np.abs(segments[:, 2:] - segments[:, :2]).T
    segments = segments[down > 3 * across]
    measured = []
    for sign in (1.0, -1.0):
        contrast = np.full((len(segments), 1), sign)
        edges = measure_edges(wall.astype(np.float32), segments, contrast, 3)
        measured.append(edges.points(segments)[0][edges.share > FOUND])
    points = np.concatenate(measured)
    assert len(points) >= 20
    along = points[:, 1] - points[:, 0]
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    middle = points.mean(axis=1)
    meeting = _nearest_to_all(normal, middle)
    towards = meeting - middle
    towards /= np.hypot(*towards.T)[:, None]
    off_deg = np.degrees(np.arcsin(np.sum(normal * towards, axis=1)))
    assert 1.4826 * np.median(np.abs(off_deg)) < 0.5
    assert abs(np.median(off_deg)) < 0.15


def _nearest_to_all(normal: np.ndarray, middle: np.ndarray) -> np.ndarray:
    """The point whose direction from every edge's middle differs least from the edge's."""
    weight = np.ones(len(normal))
    for _ in range(20):
        rows = normal * weight[:, None]
        meeting = np.linalg.lstsq(rows, np.sum(rows * middle, axis=1), rcond=None)[0]
        away = np.hypot(*(meeting - middle).T)
        off = np.sum(normal * (meeting - middle), axis=1) / away
        weight = 1 / away / np.sqrt(1 + np.square(off / 0.01))
    return meeting
