"""Every derivative of an edge's distance against a numerical one."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import approx_fprime

from tests.vision.geometry import drawn_scene, own_of, scene_of, seen_edges
from vision.edges import Kind
from vision.scene import Scene, SceneLine
from vision.slopes import Slopes, distances

angles = st.floats(-10, 10)


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["left", "right"]), angles, st.floats(1, 14), angles,
    st.floats(0, 40), st.floats(-3, 12), st.floats(-0.02, 0.05), st.floats(-6, 6),
)  # fmt: skip
def test_by_every_unknown(lifted, yaw, pitch, roll, tilt, lean, slip_m, off_px):
    """Also some pixels off the line, where the size of its normal begins to count."""
    drawn = drawn_scene(lifted, yaw_deg=yaw, pitch_deg=pitch, roll_deg=roll)
    motion = np.array([[radians(tilt), radians(lean), slip_m], [radians(tilt / 2), 0.0, 0.0]])
    scene, own = _with_axial(scene_of(drawn)), own_of(drawn, motion)
    own[:, 3:] = 0.01
    seen = seen_edges(drawn, motion)
    points = np.concatenate([seen, seen[:, :1]], axis=1) + off_px
    slopes = Slopes(scene, own, points)

    by_own = _numeric(lambda x: distances(scene, own + x, points), own.shape[1])
    assert slopes.by_own() == pytest.approx(by_own, rel=1e-4, abs=0.02)

    def moved(x: np.ndarray) -> np.ndarray:
        return distances(replace(scene, shared=scene.shared + x), own, points)

    by_shared = _numeric(moved, len(scene.shared))
    assert slopes.by_shared() == pytest.approx(by_shared, rel=1e-4, abs=0.02)


def _with_axial(scene: Scene) -> Scene:
    """The scene with a stripe along the body besides."""
    lines = (*scene.lines, SceneLine(Kind.AXIAL, (1.0,), 0.02, 0.1))
    return replace(scene, lines=lines, shared=np.append(scene.shared, [0.01, 0.02]))


def _numeric(values, unknowns: int) -> np.ndarray:
    flat = approx_fprime(np.zeros(unknowns), lambda x: values(x).ravel(), 1e-7)
    return flat.reshape(*values(np.zeros(unknowns)).shape, unknowns)


def test_the_distance_is_that_from_the_line_that_is_seen():
    """Pixels moved across a drawn edge lie as far from it as they were moved."""
    drawn = drawn_scene(yaw_deg=6, pitch_deg=8)
    motion = np.radians([[12.0, 0.0, 0.0]])
    scene, own = scene_of(drawn), own_of(drawn, motion)
    seen = seen_edges(drawn, motion)
    along = seen[:, :, 1] - seen[:, :, 0]
    across = np.stack([-along[..., 1], along[..., 0]], axis=-1)
    across /= np.linalg.norm(across, axis=-1, keepdims=True)
    assert distances(scene, own, seen) == pytest.approx(np.zeros(seen.shape[:3]), abs=1e-6)
    moved = distances(scene, own, seen + 3.0 * across[:, :, None])
    assert np.abs(moved) == pytest.approx(np.full(moved.shape, 3.0), abs=1e-6)
