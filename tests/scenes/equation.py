"""The motion by an equation of our own, for hundreds of scenes."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, sin, sqrt

import numpy as np

from tests.scenes.lift import STEP_S, TiltProgram
from tests.scenes.motion import Motion
from tests.scenes.scene import GRAVITY_M_S2, Scene


def by_equation(scene: Scene, program: TiltProgram, rocking_rad: float = 0.0) -> Motion:
    """Lean and slip by the equation of motion of a rigid body on a moving board.

    The board's angular acceleration and the pivot's acceleration are in.  The body
    either turns about its lower rim without slipping, or slides without turning:
    whichever comes first.  Rocking back onto the base is taken without rebound.
    On an uneven rim it sets off with some speed in hand: ``rocking_rad`` times the rate
    at which a lean grows.
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
            if tipping:
                state[1] = rocking_rad * now.growth_per_s()
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
    return Motion(
        program.time_s[cut],
        program.tilt_rad[cut],
        lean[cut],
        slip[cut],
        np.zeros(count),
    )


def _advance(law: Callable[[float, float], float], state: list[float]) -> list[float]:
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
        about_rim = body.inertia_kg_m2 + body.mass_kg * (body.radius_m**2 + body.centre_height_m**2)
        return moment / about_rim - self._jolt

    def growth_per_s(self) -> float:
        """How fast a small lean past the brink grows."""
        apart = 1e-4
        slope = self.lean_acceleration(apart, 0.0) - self.lean_acceleration(0.0, 0.0)
        return sqrt(slope / apart)

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
        pull = GRAVITY_M_S2 * sin(self._tilt) - self._jolt * above - self._rate**2 * along
        return pull - board.friction * press
