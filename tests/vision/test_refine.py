"""The scene refined on all that was followed: what comes back, and how sure it is."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from tests.scenes.scene import Lift
from tests.vision.conftest import filmed, refined
from tests.vision.followed import blinded
from vision.fit import Freedom
from vision.refine import MOST_FRAMES, fit_calm
from vision.scene import LEAN, SLIP, TILT


def _standing(film) -> np.ndarray:
    return (film.truth[:, 1] == 0) & (film.truth[:, 2] == 0)


def test_tilt_lean_and_slip_come_back(toppling_film, toppling_motion):
    film, motion = toppling_film, toppling_motion
    tilt_off = np.degrees(motion.own[:, TILT] - film.truth[:, 0])
    lean_off = np.degrees(motion.own[:, LEAN] - film.truth[:, 1])
    assert np.abs(tilt_off).max() < 0.12
    assert np.sqrt(np.mean(tilt_off**2)) < 0.05
    assert np.sqrt(np.mean(lean_off**2)) < 0.1
    slip_m = motion.own[:, SLIP] / motion.scene.radius * film.drawn.body.radius_m
    assert np.abs(slip_m[_standing(film)]).max() < 0.001


def test_times_and_frames_are_those_followed(toppling_film, toppling_motion):
    assert list(toppling_motion.index) == [f.index for f in toppling_film.followed]
    assert list(toppling_motion.time_s) == [f.time_s for f in toppling_film.followed]


def test_the_scene_rests_on_frames_before_anything_happened(
    toppling_film, toppling_motion, sliding_film, sliding_motion
):
    for film, motion in [(toppling_film, toppling_motion), (sliding_film, sliding_motion)]:
        assert np.all(_standing(film)[motion.calm])
        assert motion.calm[0] == 0 and len(motion.calm) <= MOST_FRAMES
        assert np.all(np.diff(motion.calm) > 0)


def test_calm_frames_are_spread_over_the_tilt_not_the_time():
    """A pause of ten seconds counts no more than any other tilt."""
    film = filmed(Lift(rate_deg_s=6, most_deg=16, pauses=((8.0, 10.0),)))
    calm = refined(film).calm
    tilt = np.degrees(film.truth[calm, 0])
    assert np.sum(np.abs(tilt - 8.0) < 0.2) <= 4
    assert np.ptp(tilt) > 15.5


@pytest.mark.parametrize("noise_px", [0.1, 0.4])
def test_uncertainties_are_scaled_to_the_scatter(noise_px):
    """Edges that say 0.1 px but scatter by 0.4 are taken for what they do."""
    film = filmed(Lift(rate_deg_s=6, jerk=0.2), noise_px=noise_px)
    motion = refined(film)
    ratio = motion.edges.u_px[0] / noise_px
    assert np.median(ratio) == pytest.approx(1.0, abs=0.25)
    # The edge that leads the tilt takes its own scatter for tilt.
    assert ratio.min() > 0.5 and ratio.max() < 1.4
    u = np.sqrt(motion.covariance[:, TILT, TILT])
    rough = np.diff(motion.own[:, TILT] - film.truth[:, 0]) / np.sqrt(2)
    # For the same reason the stated uncertainty is a quarter to two fifths too small.
    assert 0.8 < np.std(rough) / np.median(u) < 1.5


def test_the_tilt_is_counted_from_the_rest():
    """The mean of the frames at rest is the start tilt, whatever one frame's noise."""
    film = filmed(Lift(rate_deg_s=6, start_deg=5.0, wait_s=1.0), noise_px=0.3)
    motion = refined(film)
    resting = np.abs(film.truth[:, 0] - radians(5)) < radians(0.01)
    assert np.degrees(motion.own[resting, TILT].mean()) == pytest.approx(5.0, abs=0.02)


def test_where_the_body_was_not_seen_lean_and_slip_are_not_known(toppling_film):
    film = blinded(toppling_film, slice(20, 30))
    motion = refined(film)
    unseen = np.zeros(len(film.followed), bool)
    unseen[20:30] = True
    for column in (LEAN, SLIP):
        assert np.array_equal(np.isnan(motion.own[:, column]), unseen)
    assert np.isfinite(motion.own[:, TILT]).all()
    assert np.degrees(motion.own[unseen, TILT] - film.truth[unseen, 0]) == pytest.approx(
        np.zeros(10), abs=0.1
    )


def test_a_calm_fit_does_not_need_to_know_the_lean(toppling_film):
    fit, edges, calm = fit_calm(
        toppling_film.scene, toppling_film.followed, 0.0, Freedom(lean_rad=1.0, slip=1.0)
    )
    assert np.all(fit.own[:, [LEAN, SLIP]] == 0)
    assert len(edges.points) == len(toppling_film.followed) and len(fit.own) == len(calm)
    assert fit.scene.radius == pytest.approx(toppling_film.scene.radius, rel=0.15)
