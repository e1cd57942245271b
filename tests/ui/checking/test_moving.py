"""The tilts at which a body was seen to move."""

from dataclasses import replace
from math import degrees

import numpy as np
import pytest

from tests.ui.stand_in import ONSET_S, series
from ui.checking.moving import STOPS_AFTER_S, moving_tilts

RATE_DEG_S = 20.0 / 8.0


def test_from_a_lean_of_one_degree_to_where_the_hand_would_stop():
    """Tilt 2.5° a second; the lean is 5°·t² after 8 s, so 1° is passed at 8.447 s."""
    found = moving_tilts(series(), ONSET_S)
    assert degrees(found.from_rad) == pytest.approx(8.467 * RATE_DEG_S, abs=0.05)
    last = series().time_s[-1] + STOPS_AFTER_S
    assert degrees(found.to_rad) == pytest.approx(last * RATE_DEG_S, abs=0.05)


def test_a_body_that_slips_moves_too():
    still = replace(series(), lean_rad=np.zeros(270))
    slipping = replace(still, slip_m=np.where(still.time_s > 8.5, 0.003, 0.0))
    found = moving_tilts(slipping, ONSET_S)
    assert degrees(found.from_rad) == pytest.approx(8.533 * RATE_DEG_S, abs=0.05)
    assert moving_tilts(still, ONSET_S) is None


def test_a_board_that_is_lowered_again_goes_no_higher():
    tilts = series().tilt_rad.copy()
    tilts[240:] = tilts[240] - 0.01 * np.arange(30)
    found = moving_tilts(replace(series(), tilt_rad=tilts), ONSET_S)
    assert found.to_rad <= tilts[240]


def test_onset_in_the_last_frame_leaves_nothing_to_see():
    assert moving_tilts(series(), 9.5) is None
