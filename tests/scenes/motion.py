"""The true motion: how the board is raised, and what the body does on it."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, degrees, radians, sin

import mujoco
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from tests.scenes.scene import GRAVITY_M_S2, Lift, Scene

Floats = NDArray[np.float64]
STEP_S = 0.0005
_HAND_SMOOTHING_S = 0.06
_TREMOR_S = 0.12


@dataclass(frozen=True)
class Motion:
    """The practical step by step; every array has shape ``(N,)``."""

    time_s: Floats
    tilt_rad: Floats
    lean_rad: Floats
    slip_m: Floats

    def at(self, time_s: Floats) -> Motion:
        """The motion at other times, by linear interpolation."""
        return Motion(
            time_s,
            np.interp(time_s, self.time_s, self.tilt_rad),
            np.interp(time_s, self.time_s, self.lean_rad),
            np.interp(time_s, self.time_s, self.slip_m),
        )


@dataclass(frozen=True)
class TiltProgram:
    """The board's tilt and its two derivatives at every ``STEP_S``; shape ``(N,)``."""

    tilt_rad: Floats
    rate_rad_s: Floats
    acceleration_rad_s2: Floats

    @property
    def time_s(self) -> Floats:
        return np.arange(self.tilt_rad.size) * STEP_S


def tilt_program(lift: Lift, seed: int) -> TiltProgram:
    """A hand's lift: a noisy rate, pauses, perhaps lowered again, all smooth."""
    rng = np.random.default_rng(seed)
    rise = radians(lift.most_deg - lift.start_deg)
    rate = _hand_rate(radians(lift.rate_deg_s), rise, lift.jerk, rng)
    tilt = radians(lift.start_deg) + np.cumsum(rate) * STEP_S
    last = int(np.searchsorted(tilt, radians(lift.most_deg)))
    rate, tilt = rate[:last], tilt[:last]
    for pause_deg, pause_s in sorted(lift.pauses, reverse=True):
        at = int(np.searchsorted(tilt, radians(pause_deg)))
        if at < tilt.size:
            rate = np.insert(rate, at, np.zeros(_steps(pause_s)))
            tilt = np.insert(tilt, at, np.full(_steps(pause_s), tilt[at]))
    parts = [np.zeros(_steps(lift.wait_s)), rate, np.zeros(_steps(1.2))]
    if lift.lowered_again:
        parts += [-rate[::-1], np.zeros(_steps(0.6))]
    rate = gaussian_filter1d(
        np.concatenate(parts), _HAND_SMOOTHING_S / STEP_S, mode="nearest"
    )
    tilt = (
        radians(lift.start_deg) + np.concatenate([[0.0], np.cumsum(rate)[:-1]]) * STEP_S
    )
    return TiltProgram(tilt, rate, np.gradient(rate, STEP_S))


def _steps(seconds: float) -> int:
    return round(seconds / STEP_S)


def _hand_rate(
    rate_rad_s: float, rise_rad: float, jerk: float, rng: np.random.Generator
) -> Floats:
    count = int(3 * rise_rad / rate_rad_s / STEP_S) + _steps(2.0)
    tremor = gaussian_filter1d(
        rng.standard_normal(count), _TREMOR_S / STEP_S, mode="wrap"
    )
    return rate_rad_s * np.maximum(0.0, 1 + jerk * tremor / tremor.std())


def by_equation(scene: Scene, program: TiltProgram) -> Motion:
    """Lean and slip by the equation of motion of a rigid body on a moving board.

    The board's angular acceleration and the pivot's acceleration are in.  The body
    either turns about its lower rim without slipping, or slides without turning:
    whichever comes first.  Rocking back onto the base is taken without rebound.
    """
    count = program.tilt_rad.size
    lean, slip = np.zeros(count), np.zeros(count)
    state = [0.0, 0.0]
    sliding = tipping = False
    for i in range(count - 1):
        now = _Instant(scene, program, i)
        if not (sliding or tipping):
            tipping = now.lean_acceleration(0.0, 0.0) > 0
            sliding = not tipping and now.slip_acceleration(slip[i], 0.0) > 0
            state = [slip[i] if sliding else 0.0, 0.0]
        if tipping or sliding:
            law = now.lean_acceleration if tipping else now.slip_acceleration
            state = _advance(law, state)
            if state[0] < 0 or (sliding and state[1] <= 0):
                state = [max(state[0], 0.0), 0.0]
                tipping = sliding = False
            if state[0] > (1.2 if tipping else 0.2):
                count = i + 1
                break
        lean[i + 1] = state[0] if tipping else 0.0
        slip[i + 1] = state[0] if sliding else slip[i]
    cut = slice(0, count)
    return Motion(program.time_s[cut], program.tilt_rad[cut], lean[cut], slip[cut])


def _advance(law, state: list[float]) -> list[float]:
    """One leapfrog step: second order, and exact enough at half a millisecond."""
    place, speed = state
    half = speed + law(place, speed) * STEP_S / 2
    place += half * STEP_S
    return [place, half + law(place, half) * STEP_S / 2]


class _Instant:
    """The laws of motion at one step of the tilt program."""

    def __init__(self, scene: Scene, program: TiltProgram, step: int) -> None:
        self._body, self._board = scene.body, scene.board
        self._tilt = float(program.tilt_rad[step])
        self._rate = float(program.rate_rad_s[step])
        self._jolt = float(program.acceleration_rad_s2[step])

    def lean_acceleration(self, lean: float, _speed: float) -> float:
        """Of the body about its lower rim, radians per second squared."""
        body, board = self._body, self._board
        along, above = board.body_at_m - body.radius_m, board.top_m
        c, s = cos(self._tilt), sin(self._tilt)
        pivot_x, pivot_z = along * c - above * s, along * s + above * c
        accel_x = -self._jolt * pivot_z - self._rate**2 * pivot_x
        accel_z = self._jolt * pivot_x - self._rate**2 * pivot_z
        turn = self._tilt + lean
        arm_x = body.radius_m * cos(turn) - body.centre_height_m * sin(turn)
        arm_z = body.radius_m * sin(turn) + body.centre_height_m * cos(turn)
        moment = -body.mass_kg * (arm_x * (GRAVITY_M_S2 + accel_z) - arm_z * accel_x)
        about_rim = body.inertia_kg_m2 + body.mass_kg * (
            body.radius_m**2 + body.centre_height_m**2
        )
        return moment / about_rim - self._jolt

    def slip_acceleration(self, slip: float, speed: float) -> float:
        """Down the slope, metres per second squared; negative when it would stick."""
        body, board = self._body, self._board
        along = board.body_at_m - slip
        above = board.top_m + body.centre_height_m
        press = (
            GRAVITY_M_S2 * cos(self._tilt)
            + self._jolt * along
            - self._rate**2 * above
            - 2 * self._rate * speed
        )
        pull = (
            GRAVITY_M_S2 * sin(self._tilt) - self._jolt * above - self._rate**2 * along
        )
        return pull - board.friction * press


def by_engine(scene: Scene, program: TiltProgram) -> Motion:
    """Lean and slip by MuJoCo: the board drives, the body is free in the plane.

    In the plane a cylinder that turns about its rim is its own cross-section, so the
    body is a box with an explicit inertia.  The tolerance is tight because the heavy
    drive sets the scale of the solver's residual: at the default the body creeps.
    """
    model = mujoco.MjModel.from_xml_string(_model_xml(scene))
    data = mujoco.MjData(model)
    tilt = program.tilt_rad
    data.qpos[:] = [tilt[0], *_placed(scene, tilt[0]), tilt[0]]
    turn, slip = np.empty(tilt.size), np.empty(tilt.size)
    for i in range(tilt.size):
        data.qpos[0], data.qvel[0] = tilt[i], program.rate_rad_s[i]
        turn[i], slip[i] = data.qpos[3], _slip(scene, data.qpos)
        data.qfrc_applied[0] = _DRIVE_INERTIA * program.acceleration_rad_s2[i]
        mujoco.mj_step(model, data)
    return Motion(program.time_s, tilt, turn - tilt, slip)


_DRIVE_INERTIA = 1e5


def _placed(scene: Scene, tilt: float) -> tuple[float, float]:
    """World position of the middle of the body's base, standing."""
    along, above = scene.board.body_at_m, scene.board.top_m
    return (
        along * cos(tilt) - above * sin(tilt),
        along * sin(tilt) + above * cos(tilt),
    )


def _slip(scene: Scene, qpos: Floats) -> float:
    """How far the lower rim has gone down the board, metres."""
    tilt, x, z, turn = qpos
    x -= scene.body.radius_m * cos(turn)
    z -= scene.body.radius_m * sin(turn)
    along = x * cos(tilt) + z * sin(tilt)
    return scene.board.body_at_m - scene.body.radius_m - along


def _model_xml(scene: Scene) -> str:
    body, board = scene.body, scene.board
    half_x, half_y, half_z = board.length_m / 2, board.width_m / 2, board.top_m / 2
    tall = body.height_m / 2
    return f"""<mujoco>
  <option iterations="200" tolerance="1e-12" timestep="{STEP_S}" integrator="implicitfast" cone="elliptic" impratio="10"
          gravity="0 0 {-GRAVITY_M_S2}"/>
  <default><geom solref="0.002 1" solimp="0.99 0.9999 0.0001"
                 friction="{board.friction} 0 0"/></default>
  <worldbody>
    <geom type="plane" size="2 2 0.1" contype="2" conaffinity="2"/>
    <body>
      <joint type="hinge" axis="0 -1 0" armature="{_DRIVE_INERTIA}"/>
      <geom type="box" size="{half_x} {half_y} {half_z}" pos="{half_x} 0 {half_z}" mass="1"
            contype="1" conaffinity="1"/>
    </body>
    <body>
      <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 0 1"/>
      <joint type="hinge" axis="0 -1 0"/>
      <inertial pos="0 0 {body.centre_height_m}" mass="{body.mass_kg}"
                diaginertia="{body.inertia_kg_m2} {body.inertia_kg_m2} {body.inertia_kg_m2}"/>
      <geom type="box" size="{body.radius_m} {body.radius_m} {tall}" pos="0 0 {tall}"
            contype="3" conaffinity="3"/>
    </body>
  </worldbody>
</mujoco>"""


@dataclass(frozen=True)
class Truth:
    """What the clip shows, and the value a reader should find."""

    outcome: str
    angle_rad: float | None
    passes_s: float | None
    """When the board passes that angle."""


def truth_of(scene: Scene, motion: Motion) -> Truth:
    """Topples where it leans for good, slides where it slips first, else stays."""
    leans = np.flatnonzero(motion.lean_rad > radians(12))
    slips = np.flatnonzero(motion.slip_m > 0.005)
    if slips.size and (not leans.size or slips[0] < leans[0]):
        outcome, angle = "slides", atan(scene.board.friction)
    elif leans.size:
        outcome, angle = "topples", scene.body.brink_rad
    else:
        return Truth("stays", None, None)
    passed = np.flatnonzero(motion.tilt_rad >= angle)
    return Truth(
        outcome, angle, float(motion.time_s[passed[0]]) if passed.size else None
    )


def first_tilt_deg(motion: Motion, amount: Floats, above: float) -> float:
    """The board's tilt when an amount first passes a value, degrees."""
    return degrees(motion.tilt_rad[int(np.argmax(amount > above))])
