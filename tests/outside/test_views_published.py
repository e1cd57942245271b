"""What a camera off square does to an angle, against the formula of a distant view.

Foreshortening across the line of sight by cos ψ (algebra; any text on orthographic
projection): tan θ′ = tan θ / cos ψ. At 20° that is +0.07° for 5° off square, +0.28°
for 10° and +0.65° for 15°.
"""

from __future__ import annotations

from dataclasses import replace
from math import atan, cos, degrees, radians, tan

import numpy as np
import pytest

from vision.edges import Kind
from vision.fit import Edges, Freedom, fit_scene, start_camera
from vision.scene import CAMERA, TILT, Scene, SceneLine

FAR = 2000.0
"""Focal length in pictures: as good as infinitely far away."""
PUBLISHED = [(5, 0.07), (10, 0.28), (15, 0.65)]


def _scene(yaw_deg: float, focal: float) -> Scene:
    camera = start_camera(1280, 720)
    camera[:3], camera[3] = [0.0, radians(yaw_deg), 0.0], np.log(focal * 1280)
    lines = tuple(
        SceneLine(kind, (1.0,), 0.0, 0.3 / focal)
        for kind in (Kind.ALONG, Kind.ALONG, Kind.ACROSS, Kind.LEFT, Kind.RIGHT)
    )
    body = np.array([0.15, 0.1, 0.04]) / focal
    places = np.array([0.0, 0.0, 0.0, 0.2, 0.3, 0.0]) / focal
    return Scene(1280, 720, 1, lines, np.concatenate([camera, body, places]))


def _tilted(tilt_rad: float, frames: int = 1) -> np.ndarray:
    own = np.zeros((frames, 5))
    own[:, TILT] = np.linspace(0, tilt_rad, frames) if frames > 1 else tilt_rad
    return own


@pytest.mark.parametrize(("yaw_deg", "more_deg"), PUBLISHED)
def test_a_distant_board_seen_off_square_looks_steeper(yaw_deg, more_deg):
    for way in (1, -1):
        x1, y1, x2, y2 = _scene(way * yaw_deg, FAR).segments(_tilted(radians(20)))[0, 0]
        seen_deg = degrees(np.arctan2(y1 - y2, x2 - x1))
        exact_deg = degrees(atan(tan(radians(20)) / cos(radians(yaw_deg))))
        assert seen_deg == pytest.approx(exact_deg, abs=0.001)
        assert seen_deg - 20 == pytest.approx(more_deg, abs=0.006)


@pytest.mark.parametrize(("yaw_deg", "more_deg"), PUBLISHED)
def test_the_fit_undoes_it_from_an_ordinary_distance(yaw_deg, more_deg):
    """From where a phone stands, the fitted tilt is free of what the picture adds."""
    scene, own = _scene(yaw_deg, 0.75), _tilted(radians(20), 15)
    shared = scene.shared.copy()
    shared[:3] += [radians(6), 0.0, 0.0]
    scene = replace(scene, shared=shared)
    points = scene.segments(own).reshape(15, 5, 2, 2)
    start = shared.copy()
    start[:CAMERA] = start_camera(1280, 720)
    edges = Edges(points, np.full((15, 5), 0.05))
    fit = fit_scene(replace(scene, shared=start), own, edges, Freedom(), 0, 0.0)
    assert abs(degrees(fit.own[-1, TILT]) - 20) < more_deg / 5 + 0.02
