"""Motion on a driven board against closed forms, another integration and MuJoCo."""

from __future__ import annotations

from dataclasses import replace
from math import atan, cos, cosh, degrees, radians, sin, sinh, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import cumulative_trapezoid

from solver.motion import GRAVITY_M_S2, Drive, sliding_slip, toppling_turn
from tests.scenes.engine import by_engine
from tests.scenes.equation import by_equation
from tests.scenes.lift import STEP_S, TiltProgram, tilt_program
from tests.scenes.scene import Board, Body, Lift, Scene

FINE_S = 1 / 2000
FLAT = Board(thickness_m=0.0, mat_thickness_m=0.0, friction=3.0)
"""The pivot on a level with the hinge, as the equation has it."""


def _steady(rate: float, seconds: float, start: float = 0.0, step_s: float = FINE_S) -> Drive:
    time_s = np.arange(0, seconds, step_s)
    still = np.zeros_like(time_s)
    return Drive(step_s, start + rate * time_s, still + rate, still)


def _drive(program: TiltProgram) -> Drive:
    """The program's rate integrated to second order, as the equation's own steps are."""
    rate = program.rate_rad_s
    tilt = program.tilt_rad[0] + cumulative_trapezoid(rate, dx=STEP_S, initial=0.0)
    return Drive(STEP_S, tilt, rate, program.acceleration_rad_s2)


def _k_per_s(body: Body) -> float:
    """k² = m g l / I about the rim."""
    reach2 = body.radius_m**2 + body.centre_height_m**2
    about_rim = body.inertia_kg_m2 + body.mass_kg * reach2
    return (body.mass_kg * GRAVITY_M_S2 * reach2**0.5 / about_rim) ** 0.5


@settings(max_examples=25)
@given(st.floats(0.005, 0.06), st.floats(3, 9), st.floats(0.1, 0.7))
def test_lean_at_a_steady_tilt_is_the_closed_form(rate, k, brink):
    """φ(τ) = (ω/k)(sinh kτ − kτ), for small angles and a pivot at the hinge."""
    start = brink - 0.2 * rate
    drive = _steady(rate, 2.0, start)
    turn, _ = toppling_turn(drive, brink, k, 0.0)
    tau = np.arange(len(turn)) * FINE_S - 0.2
    lean = turn - drive.tilt_rad
    small = (tau > 0) & (rate * tau + lean < 0.05)
    closed = rate / k * (np.sinh(k * tau) - k * tau)
    assert lean[small] == pytest.approx(closed[small], abs=radians(0.005), rel=0.01)
    assert lean[tau < 0] == pytest.approx(0, abs=1e-12)


@settings(max_examples=25)
@given(st.floats(0.005, 0.06), st.floats(3, 9), st.floats(-0.3, 0.9))
def test_what_rocks_as_it_sets_off_grows_as_if_further_on(rate, k, share):
    """Beside the lean from rest, rocking · sinh kτ: the solution of φ″ = k²φ with speed
    k · rocking and no lean. ``share`` is the rocking in units of rate/k."""
    brink, rocking = 0.4, share * rate / k
    drive = _steady(rate, 2.0, brink - 0.2 * rate)
    rest, free = toppling_turn(drive, brink, k, 0.0)
    rocked, still_free = toppling_turn(drive, brink, k, 0.0, rocking)
    tau = np.arange(len(rest)) * FINE_S - 0.2
    small = (tau > 0.01) & (np.maximum(rest, rocked) - brink < 0.05)
    assert (rocked - rest)[small] == pytest.approx(
        rocking * np.sinh(k * tau[small]), abs=0.02 * abs(rocking) + 1e-9, rel=0.02
    )
    assert np.array_equal(rocked[~free], rest[~free]) and np.array_equal(free, still_free)


def test_a_body_that_stands_does_not_rock_off():
    drive = _steady(0.05, 2.0, 0.1)
    turn, free = toppling_turn(drive, 0.35, 6.0, 0.1, rocking_rad=0.002)
    assert np.array_equal(turn, drive.tilt_rad) and not free.any()


def test_lean_one_degree_late_is_most_of_a_degree_too_far():
    """At 3°/s and k = 6 per second the board is 0.8° past the brink when 1° of lean is seen."""
    rate, k, brink = radians(3), 6.0, radians(20)
    drive = _steady(rate, 3.0, radians(18))
    turn, _ = toppling_turn(drive, brink, k, 0.0)
    seen = int(np.argmax(turn - drive.tilt_rad > radians(1)))
    late_deg = degrees(drive.tilt_rad[seen] - brink)
    assert late_deg == pytest.approx(1.1, abs=0.15)
    tau = radians(late_deg) / rate
    assert rate / k * (sinh(k * tau) - k * tau) == pytest.approx(radians(1), rel=0.02)


def test_a_released_body_past_its_brink_falls_as_a_pendulum_upside_down():
    """Board held still ψ₀ past the brink: ψ = ψ₀ cosh kt while small."""
    k, brink, past = 5.0, 0.3, 0.002
    turn, free = toppling_turn(_steady(0.0, 0.6, brink + past), brink, k, 0.1)
    time_s = np.arange(len(turn)) * FINE_S
    expected = [past * cosh(k * t) for t in time_s]
    # Semi-implicit Euler lags by about half a step.
    assert turn - brink == pytest.approx(np.array(expected), rel=0.01)
    assert free.all()


@given(st.floats(0, 0.29), st.floats(3, 9))
def test_below_the_brink_it_stands(tilt, k):
    turn, free = toppling_turn(_steady(0.0, 0.2, tilt), 0.3, k, 0.1)
    assert np.all(turn == tilt) and not free.any()


def test_a_jolt_sets_it_off_before_the_brink():
    """A board that slows takes the weight off: it goes when k²(turn − brink) > acceleration."""
    brink, k, short = 0.35, 6.0, radians(0.5)
    still = np.zeros(400)
    needed = -(k**2) * sin(short)
    for share, goes in [(0.95, False), (1.05, True)]:
        jolt = np.where(np.arange(400) < 4, share * needed, 0.0)
        _, free = toppling_turn(Drive(FINE_S, still + brink - short, still, jolt), brink, k, 0.0)
        assert free[:4].any() == goes


@pytest.mark.parametrize("share", [0.5, 0.8, 1.2, 1.5])
def test_a_lift_that_stops_dead_rocks_the_body(share):
    """The body keeps turning at ω: short of the brink by more than ω/k it settles back.

    Conservation of ½ψ′² − ½k²ψ² (small angles): it leans by δ − √(δ² − (ω/k)²) at most.
    """
    rate, k, brink, stop_s = 0.05, 5.0, 0.35, 0.01
    time_s = np.arange(0, 3, FINE_S)
    left_s = np.clip(0.5 - time_s, 0.0, stop_s)  # until it stands, as it slows evenly
    speed = rate * left_s / stop_s
    slows = (left_s > 0) & (time_s > 0.5 - stop_s - FINE_S / 2)
    slowing = np.where(slows, -rate / stop_s, 0.0)
    to_go = rate * (np.maximum(0.5 - stop_s - time_s, 0.0) + left_s**2 / (2 * stop_s))
    short = rate / k / share
    tilt = brink - short - to_go
    turn, free = toppling_turn(Drive(FINE_S, tilt, speed, slowing), brink, k, 0.0)
    lean = turn - tilt
    if share > 1:
        assert lean[-1] > 1.0 and free[-1]
    else:
        assert lean[-1] == 0 and not free[-1]
        left = short + rate * stop_s / 2  # of the way to the brink, as it leaves the board
        highest = short - (left**2 - (rate / k) ** 2) ** 0.5
        assert lean.max() == pytest.approx(highest, rel=0.05)


@pytest.mark.parametrize("rate_deg_s", [1.0, 3.0, 8.0])
@pytest.mark.parametrize("jerk", [0.0, 0.5])
def test_the_tests_own_integration_topples_alike(rate_deg_s, jerk):
    scene = Scene(board=FLAT, lift=Lift(rate_deg_s=rate_deg_s, jerk=jerk))
    program = tilt_program(scene.lift, 5)
    theirs = by_equation(scene, program)
    pivot_m = scene.board.body_at_m - scene.body.radius_m
    turn, _ = toppling_turn(_drive(program), scene.body.brink_rad, _k_per_s(scene.body), pivot_m)
    _assert_same_tilt_at_lean(program, turn, theirs.lean_rad, apart_deg=0.02)


@pytest.mark.parametrize("rate_deg_s", [1.0, 3.0, 8.0])
def test_mujoco_topples_alike(rate_deg_s):
    scene = Scene(board=FLAT, lift=Lift(rate_deg_s=rate_deg_s, jerk=0.3))
    program = tilt_program(scene.lift, 9)
    theirs = by_engine(scene, program)
    pivot_m = scene.board.body_at_m - scene.body.radius_m
    turn, _ = toppling_turn(_drive(program), scene.body.brink_rad, _k_per_s(scene.body), pivot_m)
    _assert_same_tilt_at_lean(program, turn, theirs.lean_rad, apart_deg=0.02)


def _assert_same_tilt_at_lean(program, turn, their_lean, apart_deg):
    """Leans grow exponentially: the same to a few steps of time, not at the same time."""
    for lean_deg in (0.3, 1.0, 6.0):
        ours = np.argmax(turn - _drive(program).tilt_rad > radians(lean_deg))
        theirs = np.argmax(their_lean > radians(lean_deg))
        assert ours > 0 and theirs > 0
        assert degrees(abs(program.tilt_rad[ours] - program.tilt_rad[theirs])) < apart_deg


@settings(max_examples=20)
@given(st.floats(0.1, 0.6), st.floats(0.0, 0.05), st.floats(0.01, 0.3))
def test_slip_on_a_still_board_is_uniform_acceleration(tilt, less, past):
    """s = ½ g (sin θ − μ cos θ) t² (any text on dynamics)."""
    friction = max(0.02, tilt - past)
    moving = max(0.01, friction - less)
    slip = sliding_slip(_steady(0.0, 0.3, tilt), friction, moving, 5.0)
    time_s = np.arange(len(slip)) * FINE_S
    pull = GRAVITY_M_S2 * (sin(tilt) - tan(moving) * cos(tilt))
    assert slip == pytest.approx(pull * time_s**2 / 2, rel=0.01, abs=pull * FINE_S * 0.3)


@given(st.floats(0.05, 0.6))
def test_a_board_less_steep_than_the_angle_of_friction_holds(friction):
    slip = sliding_slip(_steady(0.0, 0.2, friction - 0.001), friction, friction - 0.02, 0.14)
    assert not slip.any()


def test_slip_begins_at_the_angle_of_friction_as_the_board_rises_slowly():
    friction = radians(22)
    drive = _steady(radians(1), 4, radians(20))
    slip = sliding_slip(drive, friction, friction, 0.14)
    began = drive.tilt_rad[np.argmax(slip > 0)]
    # The turning board presses outwards by d ω², 0.0003 of a degree's worth here.
    assert degrees(began) == pytest.approx(22, abs=0.01)


def test_it_stops_when_the_board_is_laid_back():
    time_s = np.arange(0, 4, FINE_S)
    tilt = np.where(time_s < 0.3, radians(25), radians(10))
    still = np.zeros_like(tilt)
    slip = sliding_slip(Drive(FINE_S, tilt, still, still), radians(20), radians(20), 0.14)
    assert slip[-1] == slip[-1000] > 0
    assert np.all(np.diff(slip) >= 0)


@pytest.mark.parametrize("jerk", [0.0, 0.5])
def test_the_tests_own_integration_slides_alike(jerk):
    """Theirs counts the centre's height above the board, which ours leaves out: 2 % at 3°/s."""
    low = Body(centre_height_m=0.03, height_m=0.08)
    scene = Scene(body=low, board=replace(FLAT, friction=0.35), lift=Lift(jerk=jerk))
    program = tilt_program(scene.lift, 5)
    theirs = by_equation(scene, program)
    angle = atan(0.35)
    slip = sliding_slip(_drive(program), angle, angle, scene.board.body_at_m)
    for slip_m in (0.001, 0.004, 0.020):
        ours, other = np.argmax(slip > slip_m), np.argmax(theirs.slip_m > slip_m)
        assert degrees(abs(program.tilt_rad[ours] - program.tilt_rad[other])) < 0.1


def test_mujoco_slides_alike():
    low = Body(centre_height_m=0.03, height_m=0.08)
    scene = Scene(body=low, board=replace(FLAT, friction=0.35), lift=Lift(rate_deg_s=3, jerk=0.2))
    program = tilt_program(scene.lift, 6)
    theirs = by_engine(scene, program)
    angle = atan(0.35)
    slip = sliding_slip(_drive(program), angle, angle, scene.board.body_at_m)
    for slip_m in (0.002, 0.010, 0.020):
        ours, engine = np.argmax(slip > slip_m), np.argmax(theirs.slip_m > slip_m)
        assert degrees(abs(program.tilt_rad[ours] - program.tilt_rad[engine])) < 0.15


def test_a_fallen_body_stays_fallen():
    turn, free = toppling_turn(_steady(radians(10), 8.0), 0.2, 8.0, 0.1)
    assert free[-1] and np.all(np.diff(turn) >= 0)
    assert len(turn) == len(free) == len(_steady(radians(10), 8.0).tilt_rad)
