from dataclasses import replace

import numpy as np
import pytest

from tests.study.score import Score
from tests.study.table import budget, coverage, efficiency, factors, outcomes, thirds, ways

ROW = Score(
    number=0, true_outcome="topples", outcome="topples", angle_deg=20, yaw_deg=-5, pitch_deg=6,
    roll_deg=1, distance_m=0.8, rate_deg_s=3, jerk=0.3, focal_error=0.05, noise_px=0.2,
    radius_mm=30, alike=0.4, plain_error=1.5, edge_error=0.8, error=0.1, half_width=0.25,
    bound=0.1, known_start_bound=0.02, start_error=0.08, geometry_error=0.01, fall_error=0.01,
    start_u=0.115, geometry_u=0.02, fall_u=0.03,
)  # fmt: skip


def test_a_share_s_interval_is_clopper_and_pearson_s() -> None:
    """8 of 10: 0.4439 to 0.9748, from the F distribution (as tables of it have)."""
    assert coverage(8, 10) == pytest.approx((0.8, 0.4439, 0.9748), abs=1e-4)


def test_thirds_are_equal_and_few_values_stand_alone() -> None:
    values = np.random.default_rng(1).normal(size=99)
    assert [chosen.sum() for _, chosen in thirds(values, ".1f")] == [33, 33, 33]
    named = thirds(np.array([0.1, 0.8, 0.1, 0.3]), ".1f")
    assert [(label, chosen.sum()) for label, chosen in named] == [
        ("0.1", 2),
        ("0.3", 1),
        ("0.8", 1),
    ]


def test_every_scene_is_in_one_third_of_every_factor() -> None:
    scores = [replace(ROW, number=k, yaw_deg=k, jerk=0.1 * (k % 3)) for k in range(12)]
    counts = [int(line.split("|")[2]) for line in factors(scores).splitlines()[2:]]
    assert sum(counts[:3]) == 12
    assert counts[:3] == [4, 4, 4]


def test_an_outcome_taken_for_another_is_counted_apart() -> None:
    scores = [ROW, replace(ROW, outcome="slides"), replace(ROW, true_outcome="stays")]
    assert [line.split(" | ")[1:3] for line in outcomes(scores).splitlines()[2:4]] == [
        ["1", "1"],
        ["0", "0"],
    ]


def test_errors_of_either_sign_count_alike() -> None:
    scores = [replace(ROW, error=error) for error in (-0.3, 0.1, 0.2)]
    line = next(line for line in ways(scores).splitlines() if line.startswith("| Brinkangle |"))
    assert "| 0.200 |" in line
    assert line.endswith("| 0.30 |")


def test_efficiency_is_one_where_errors_scatter_as_the_bound() -> None:
    errors = 0.02 * np.random.default_rng(2).standard_normal(4000)
    scores = [replace(ROW, error=0.08 + error) for error in errors]
    assert efficiency(scores) == pytest.approx(1, abs=0.05)


def test_a_budget_twice_too_wide_shows_as_a_half() -> None:
    errors = np.random.default_rng(3).normal(0, 0.02, 2000)
    scores = [replace(ROW, fall_error=error, fall_u=0.04) for error in errors]
    line = next(line for line in budget(scores).splitlines() if line.startswith("| fall"))
    assert [float(cell) for cell in line.split("|")[5:7]] == pytest.approx([0.5, 0.5], abs=0.03)


def test_a_part_that_no_clip_tells_is_left_out() -> None:
    nothing = float("nan")
    scores = [replace(ROW, number=k, geometry_error=nothing, fall_error=nothing) for k in range(4)]
    names = [line.split("|")[1].strip() for line in budget(scores).splitlines()[2:]]
    assert names == ["start tilt", "geometry and fall", "all"]
