"""What moves the angle, each by name, and by how much."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians, sqrt

import numpy as np
import pytest
from uncertainties import ufloat

from tests.scenes.scene import Lift
from tests.vision.conftest import filmed, refined
from vision.brink import Brink
from vision.budget import Picture, likeness
from vision.reading import level_start
from vision.scene import TILT

BRINK = Brink(
    angle_rad=radians(19.8), u_rad=radians(0.03), tremor_u_rad=radians(0.02),
    onset_s=3.0, rate_per_s=7.0, misfit=1.0,
)  # fmt: skip
NAMES = {
    "start tilt", "edge noise", "camera and focal length", "lens", "brink", "tremor of the lift",
}  # fmt: skip


def _parts(value) -> dict[str, float]:
    return {part.tag: u for part, u in value.error_components().items()}


def test_every_part_has_its_name_and_they_add_in_squares(toppling_motion):
    angle = Picture(toppling_motion).angle(BRINK, level_start())
    parts = _parts(angle)
    assert set(parts) == NAMES
    assert angle.nominal_value == pytest.approx(BRINK.angle_rad)
    assert angle.std_dev == pytest.approx(sqrt(sum(u**2 for u in parts.values())))
    assert parts["brink"] == BRINK.u_rad and parts["tremor of the lift"] == BRINK.tremor_u_rad
    # A rectangle of ±0.2°.
    assert parts["start tilt"] == pytest.approx(radians(0.2) / sqrt(3))
    assert 0.001 < degrees(parts["edge noise"]) < 0.1
    assert 0 < degrees(parts["lens"]) < 0.5


def test_a_start_tilt_given_by_the_user_moves_nothing_but_its_uncertainty(toppling_motion):
    """Its value is in the fit already."""
    given = ufloat(radians(7.0), radians(0.05), "start tilt")
    angle = Picture(toppling_motion).angle(BRINK, given)
    assert angle.nominal_value == pytest.approx(BRINK.angle_rad)
    assert degrees(_parts(angle)["start tilt"]) == pytest.approx(0.05)


def test_two_clips_share_a_start_tilt_that_is_one_and_the_same(toppling_motion):
    """Differences of angles on one board do not feel how level the table is."""
    start = level_start()
    one, two = (Picture(toppling_motion).angle(BRINK, start) for _ in range(2))
    assert "start tilt" not in {tag for tag, u in _parts(one - two).items() if u > 1e-12}


def test_the_tilt_of_a_frame_has_no_brink_in_it(toppling_motion):
    tilt = Picture(toppling_motion).tilt(toppling_motion.time_s[40], level_start())
    assert set(_parts(tilt)) == NAMES - {"brink", "tremor of the lift"}
    assert tilt.nominal_value == toppling_motion.own[40, TILT]


def test_the_cameras_share_is_little_at_rest_and_grows_with_the_tilt(toppling_motion):
    first, last = (Picture(toppling_motion).camera_u_rad(row) for row in (0, 90))
    assert degrees(first) < 0.02
    assert first < last < radians(0.2)


def test_the_cameras_share_is_honest():
    """Over eight films with new noise the tilt scatters as edges and camera together say."""
    scores = []
    for seed in range(8):
        film = filmed(Lift(rate_deg_s=8, jerk=0.1), frames_per_second=12.0)
        rng = np.random.default_rng([8, seed])
        film = replace(
            film,
            followed=[
                replace(f, points=f.points + rng.normal(0, 0.2, f.points.shape))
                for f in film.followed
            ],
        )
        motion = refined(film)
        row = int(motion.calm[-1])
        u = sqrt(motion.covariance[row, TILT, TILT] + Picture(motion).camera_u_rad(row) ** 2)
        scores.append((motion.own[row, TILT] - film.truth[row, 0]) / u)
    assert 0.3 < np.sqrt(np.mean(np.square(scores))) < 1.7


def test_a_lens_matters_more_the_further_from_the_middle(toppling_motion):
    near = Picture(toppling_motion).lens_u_rad(60)
    assert 0 < degrees(near) < 0.5
    assert degrees(Picture(toppling_motion).lens_u_rad(0)) < 0.05


@pytest.mark.parametrize(("rho", "frames"), [(0.0, 1.0), (0.5, 3.0), (0.8, 9.0)])
def test_likeness_of_an_autoregression(rho, frames):
    """(1 + ρ)/(1 − ρ) frames count as one (Priestley 1981, 5.3)."""
    noise = np.random.default_rng(1).normal(size=(400, 6, 2))
    series = np.empty_like(noise)
    series[0] = noise[0]
    for k in range(1, len(noise)):
        series[k] = rho * series[k - 1] + sqrt(1 - rho**2) * noise[k]
    assert likeness(series) == pytest.approx(frames, rel=0.15)


def test_residuals_that_never_change_count_once():
    assert likeness(np.ones((50, 3, 2))) == pytest.approx(49, rel=0.05)
    assert likeness(np.zeros((50, 3, 2))) == 1.0


def test_likeness_is_not_fooled_by_frames_without_edges():
    noise = np.random.default_rng(2).normal(size=(300, 4, 2))
    noise[::7, 1] = np.nan
    assert likeness(noise) == pytest.approx(1.0, abs=0.15)
