from dataclasses import replace
from math import radians

import numpy as np
import pytest

from tests.scenes.motion import Motion
from tests.study.plain import first_visible, found_line, picture_turn, turn_of
from tests.study.trial import random_trial
from tests.vision.drawn_edges import half_plane, segment


@pytest.mark.parametrize(("yaw_deg", "excess_deg"), [(5, 0.07), (10, 0.28), (15, 0.65)])
def test_a_far_camera_off_square_reads_as_the_published_formula_has_it(
    yaw_deg: float, excess_deg: float
) -> None:
    """``tan θ' = tan θ / cos ψ`` for an orthographic view, at 20° (any text on
    descriptive geometry)."""
    trial = random_trial(1, 0)
    view = replace(
        trial.drawn.view, yaw_deg=yaw_deg, pitch_deg=0, roll_deg=0, distance_m=500, focal_px=1e6
    )
    far = replace(trial, drawn=replace(trial.drawn, view=view))
    read = np.degrees(picture_turn(far, np.radians([0.0, 20.0])))
    assert read == pytest.approx([0, 20 + excess_deg], abs=0.006)


def test_a_turn_is_counted_whichever_end_comes_first() -> None:
    rising = np.array([[0, 0, 10, 0], [0, 0, 10, -10]], float)
    assert turn_of(rising) == pytest.approx([0, radians(45)])
    assert turn_of(rising[:, [2, 3, 0, 1]]) == pytest.approx([0, radians(45)])


def test_a_lean_of_one_degree_or_a_slip_of_two_millimetres_is_seen_first() -> None:
    still = np.zeros(6)
    lean, slip = still.copy(), still.copy()
    lean[4:], slip[2:] = radians(1.5), 0.003

    def seen(lean_rad: np.ndarray, slip_m: np.ndarray) -> int:
        return first_visible(Motion(np.arange(6.0), still, lean_rad, slip_m, still))

    assert (seen(lean, still), seen(still, slip), seen(still, still)) == (4, 2, 5)


def test_the_detector_finds_the_edge_and_no_other() -> None:
    middle, angle = np.array([160.0, 120.0]), radians(17)
    grey = (40 + 170 * half_plane((240, 320), middle, angle)).astype(np.uint8)
    expected = segment(middle, angle, 200)
    found = found_line(grey, expected)
    assert found is not None
    way = found[2:] - found[:2]
    assert np.arctan(way[1] / way[0]) == pytest.approx(angle, abs=radians(0.3))
    assert found_line(grey, segment(middle, angle + radians(20), 200)) is None
    assert found_line(grey, expected + 30) is None
