"""The drawn clips' motion: an equation of our own against MuJoCo and closed forms."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, radians, sqrt, tan

import numpy as np
import pytest

from tests.scenes.engine import by_engine
from tests.scenes.equation import by_equation
from tests.scenes.lift import STEP_S, TiltProgram, tilt_program
from tests.scenes.motion import Motion, first_tilt_deg, truth_of
from tests.scenes.random_scene import random_scene
from tests.scenes.scene import GRAVITY_M_S2, Board, Body, Lift, Scene

LIFTS = {
    "steady": Lift(rate_deg_s=3.0),
    "slow": Lift(rate_deg_s=1.0),
    "fast": Lift(rate_deg_s=10.0),
    "in jerks": Lift(rate_deg_s=3.0, jerk=0.8),
    "paused": Lift(rate_deg_s=4.0, pauses=((10.0, 1.0), (20.0, 2.0))),
    "from seven degrees": Lift(rate_deg_s=3.0, start_deg=7.0),
}


def _tilt_at_lean(motion: Motion, lean_deg: float) -> float:
    return first_tilt_deg(motion, motion.lean_rad, radians(lean_deg))


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_equation_topples_when_mujoco_does(lift: Lift) -> None:
    scene = Scene(lift=lift, board=Board(friction=1.5))
    program = tilt_program(lift, scene.seed)
    ours, engine = by_equation(scene, program), by_engine(scene, program)
    for lean_deg in (0.3, 1.0, 5.0):
        assert _tilt_at_lean(ours, lean_deg) == pytest.approx(
            _tilt_at_lean(engine, lean_deg), abs=0.01
        )


@pytest.mark.parametrize("lift", LIFTS.values(), ids=list(LIFTS))
def test_equation_slides_when_mujoco_does(lift: Lift) -> None:
    """MuJoCo's sliding contacts chatter by micrometres, and so start a little fast."""
    scene = Scene(lift=lift, board=Board(friction=0.3))
    program = tilt_program(lift, scene.seed)
    ours, engine = by_equation(scene, program), by_engine(scene, program)
    for slip_m in (0.002, 0.010):
        assert first_tilt_deg(ours, ours.slip_m, slip_m) == pytest.approx(
            first_tilt_deg(engine, engine.slip_m, slip_m), abs=0.25
        )


def test_slip_at_a_slow_steady_rate_is_the_closed_form() -> None:
    """slip = g rate t**3 / (6 cos(angle of friction)) soon after it starts."""
    scene = Scene(board=Board(friction=0.3))
    angle, rate = atan(0.3), radians(0.2)
    time_s = np.arange(round(2.5 / STEP_S), dtype=float) * STEP_S
    tilt = angle - rate * 1.0 + rate * time_s
    program = TiltProgram(np.asarray(tilt, float), np.full_like(tilt, rate), np.zeros_like(tilt))
    motion = by_equation(scene, program)
    since = np.maximum(motion.time_s - 1.0, 0)
    expected = GRAVITY_M_S2 * rate * since**3 / 6 / np.cos(angle)
    assert motion.slip_m == pytest.approx(expected, rel=0.01, abs=5e-6)


@pytest.mark.parametrize("ratio, outcome", [(0.97, "slides"), (1.03, "topples")])
def test_friction_decides_between_sliding_and_toppling(ratio: float, outcome: str) -> None:
    scene = Scene(lift=Lift(rate_deg_s=1.0))
    friction = ratio * tan(scene.body.brink_rad)
    scene = replace(scene, board=replace(scene.board, friction=friction))
    truth = truth_of(scene, by_engine(scene, tilt_program(scene.lift, scene.seed)))
    assert truth.outcome == outcome
    expected = atan(friction) if outcome == "slides" else scene.body.brink_rad
    assert truth.angle_rad == pytest.approx(expected)


def test_lean_at_a_steady_rate_is_the_closed_form() -> None:
    """lean = (rate / k)(sinh kt - kt) for small angles, with t from the brink on."""
    scene = Scene(board=Board(friction=3.0))
    body, rate = scene.body, radians(0.5)
    time_s = np.arange(round(2.5 / STEP_S), dtype=float) * STEP_S
    tilt = body.brink_rad - rate * 1.0 + rate * time_s
    program = TiltProgram(np.asarray(tilt, float), np.full_like(tilt, rate), np.zeros_like(tilt))
    motion = by_equation(scene, program)
    reach = body.radius_m**2 + body.centre_height_m**2
    about_rim = body.inertia_kg_m2 + body.mass_kg * reach
    k = sqrt(body.mass_kg * GRAVITY_M_S2 * sqrt(reach) / about_rim)
    since = motion.time_s - 1.0
    expected = np.where(since > 0, rate / k * (np.sinh(k * since) - k * since), 0)
    early = expected < radians(3)
    assert motion.lean_rad[early] == pytest.approx(expected[early], rel=0.01, abs=2e-6)


def test_tilt_program_derivatives_are_the_tilts_own() -> None:
    program = tilt_program(LIFTS["in jerks"], seed=5)
    rate = np.gradient(program.tilt_rad, STEP_S)
    assert program.rate_rad_s[2:-2] == pytest.approx(rate[2:-2], abs=2e-3)
    assert program.tilt_rad[0] == 0
    assert degrees(program.tilt_rad[-1]) == pytest.approx(36, abs=0.1)


def test_a_pause_holds_the_board() -> None:
    program = tilt_program(LIFTS["paused"], seed=1)
    held = np.abs(np.degrees(program.tilt_rad) - 20.0) < 0.02
    assert held.sum() * STEP_S > 1.7


def test_a_lowered_board_ends_where_it_began_and_nothing_moves() -> None:
    lift = Lift(most_deg=15.0, lowered_again=True)
    scene = Scene(lift=lift)
    motion = by_engine(scene, tilt_program(lift, 3))
    assert truth_of(scene, motion).outcome == "stays"
    assert motion.tilt_rad[-1] == pytest.approx(0, abs=radians(0.01))
    assert np.abs(motion.lean_rad).max() < radians(0.01)
    assert np.abs(motion.slip_m).max() < 1e-4


@pytest.mark.parametrize("seed", range(12))
def test_random_scenes_do_in_the_engine_what_the_equation_says(seed: int) -> None:
    """Jerked hard, the engine's body also slips a little at its rim as it turns."""
    scene = random_scene(np.random.default_rng(seed))
    program = tilt_program(scene.lift, scene.seed)
    ours, engine = by_equation(scene, program), by_engine(scene, program)
    truth = truth_of(scene, ours)
    assert truth_of(scene, engine) == truth
    if truth.outcome == "topples":
        assert _tilt_at_lean(ours, 1.0) == pytest.approx(_tilt_at_lean(engine, 1.0), abs=0.1)


def test_a_taller_centre_topples_earlier() -> None:
    low, high = Body(centre_height_m=0.08), Body(centre_height_m=0.12)
    assert high.brink_rad < low.brink_rad
