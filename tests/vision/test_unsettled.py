"""A camera that the picture leaves open is spoken of, where it matters, and only there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.scene import Lift
from tests.vision.conftest import filmed, refined
from vision.budget import CAMERA, Picture
from vision.fit import POSE_U
from vision.reading import level_start
from vision.unsettled import HARDLY_NARROWER, unsettled

NEAR_EDGE, FAR_EDGE, OUTLINES = 0, 1, (4, 5)


def _seen_by(*kept: int) -> Picture:
    """The lift of a standing tin of which only some lines were found."""
    film = filmed(Lift(rate_deg_s=6, jerk=0.1, most_deg=16), noise_px=0.3)
    lost = ~np.isin(np.arange(6), kept)
    followed = [
        replace(f, points=np.where(lost[:, None, None], np.nan, f.points)) for f in film.followed
    ]
    return Picture(refined(replace(film, followed=followed)))


def _told(picture: Picture, time_s: float = 3.0) -> tuple[float, tuple[str, ...]]:
    """Standard uncertainty of the tilt, and what is said of it."""
    u_rad = picture.tilt(time_s, level_start()).std_dev
    return u_rad, unsettled(picture, time_s, u_rad)


@pytest.fixture(scope="module")
def bare() -> Picture:
    """By the board's near edge alone."""
    return _seen_by(NEAR_EDGE)


def test_one_edge_alone_leaves_the_camera_open(bare):
    narrowing = bare.camera_narrowing(POSE_U)
    assert np.all(narrowing[[0, 1, 3]] > HARDLY_NARROWER) and narrowing[2] < 0.6
    u_rad, (said,) = _told(bare)
    assert "looks down, how far the camera stands off square and the camera's focal" in said
    assert f"to ± {2 * np.degrees(u_rad):.1f}°" in said
    assert "Come closer" in said and "far edge" in said


@pytest.mark.parametrize(
    "kept", [(NEAR_EDGE, FAR_EDGE, 2, 3, *OUTLINES), (NEAR_EDGE, *OUTLINES)], ids=["all", "few"]
)
def test_a_camera_that_is_settled_or_does_not_matter_is_not_spoken_of(kept):
    """With the outlines the focal length may stay open, but costs next to nothing."""
    picture = _seen_by(*kept)
    assert np.all(picture.camera_narrowing(POSE_U)[:3] < 0.5)
    assert _told(picture)[1] == ()


def test_the_cost_is_what_conditioning_on_the_unknowns_takes_away(bare):
    """Var(t) less Var(t | known), by the covariance's inverse without their rows."""
    row, unknowns = bare.row_at(3.0), np.array([0, 1, 3])
    answer, covariance = bare.by_scene(row), bare.scene_covariance
    others = np.setdiff1d(np.arange(len(answer)), unknowns)
    left = np.linalg.inv(np.linalg.inv(covariance)[np.ix_(others, others)])
    known = answer[others] @ left @ answer[others]
    cost2 = bare.cost_rad(row, unknowns) ** 2
    assert cost2 == pytest.approx(answer @ covariance @ answer - known, rel=1e-3)
    assert cost2 <= bare.camera_u_rad(row) ** 2 * (1 + 1e-9)


def test_nothing_is_added_to_the_interval(bare):
    """It is in the budget already, under its own name."""
    parts = {k.tag: u for k, u in bare.tilt(3.0, level_start()).error_components().items()}
    assert parts[CAMERA] >= bare.cost_rad(bare.row_at(3.0), np.array([0, 1, 3])) * (1 - 1e-9)
