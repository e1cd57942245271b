"""A block on a plane in MuJoCo: raised or pushed until it slides or tips.

Contacts are made stiff (`solref`, `solimp`, elliptic cones, `impratio`): with
the engine's defaults a body tips 10 to 20° early.
"""

from __future__ import annotations

from math import atan2, cos, degrees, sin

import mujoco
import numpy as np

from solver.friction import Push

MODEL = """
<mujoco>
  <option timestep="0.0005" integrator="implicitfast" cone="elliptic" impratio="10"/>
  <default>
    <geom solref="0.002 1" solimp="0.99 0.9999 0.0001" friction="{mu} 0.005 0.0001"/>
  </default>
  <worldbody>
    <geom type="plane" size="2 2 0.1"/>
    <body name="block" pos="0 0 {half}">
      <freejoint/>
      <inertial pos="0 0 {rise}" mass="{mass}" diaginertia="{inertia} {inertia} {inertia}"/>
      <geom type="box" size="{r} {r} {half}"/>
    </body>
  </worldbody>
</mujoco>
"""
GRAVITY = 9.81
SLID_M, TIPPED_RAD = 0.001, 0.02


class Bench:
    """A block of half-width r and centre height x, its inertia of any reasonable size."""

    def __init__(self, r: float, x: float, mu: float, height: float, mass: float = 0.2):
        text = MODEL.format(
            mu=mu, half=height / 2, rise=x - height / 2, mass=mass, r=r,
            inertia=mass * (r**2 + height**2 / 4) / 3,
        )  # fmt: skip
        self.model = mujoco.MjModel.from_xml_string(text)
        self.data = mujoco.MjData(self.model)
        self.weight_n, self.x, self.r, self.half = mass * GRAVITY, x, r, height / 2

    def raise_from(self, tilt: float, rate: float = 0.05) -> tuple[str, float]:
        """Raise the plane, radians a second; what the block does, and at which tilt."""
        self._settle(tilt)
        while True:
            now = tilt + rate * self.data.time
            self._lean_gravity(now)
            mujoco.mj_step(self.model, self.data)
            if moved := self._moved():
                return moved, now

    def push_at(self, how: Push, tilt: float, start_n: float) -> tuple[str, float]:
        """Push harder and harder; what the block does, and at which force in newtons.

        The force starts at ``start_n`` and grows by a fiftieth of the weight a
        second. +x is down the slope.
        """
        self._settle(tilt, how.way)
        behind = self.r if how.behind_m is None else how.behind_m
        direction = np.array([how.way * cos(how.angle_rad), 0.0, sin(how.angle_rad)])
        point = np.array([how.way * (self.r - behind), 0.0, how.height_m - self.x])
        while True:
            force = start_n + 0.02 * self.weight_n * self.data.time
            self.data.xfrc_applied[1, :3] = force * direction
            self.data.xfrc_applied[1, 3:] = np.cross(point, force * direction)
            mujoco.mj_step(self.model, self.data)
            if moved := self._moved():
                return moved, force

    def _settle(self, tilt: float, way: int = 1) -> None:
        """Let it come to rest, and mark the corner it would tip about."""
        self._lean_gravity(tilt)
        while self.data.time < 0.1:
            mujoco.mj_step(self.model, self.data)
        self.data.time = 0.0
        self.corner = np.array([way * self.r, 0.0, -self.half])
        self.start = self._corner_x()

    def _corner_x(self) -> float:
        turned = np.zeros(3)
        mujoco.mju_rotVecQuat(turned, self.corner, self.data.qpos[3:7])
        return float(self.data.qpos[0] + turned[0])

    def _lean_gravity(self, tilt: float) -> None:
        self.model.opt.gravity[:] = GRAVITY * np.array([sin(tilt), 0.0, -cos(tilt)])

    def _moved(self) -> str:
        """What the block has done, if anything: its lean, and its pivot's slip."""
        lean = abs(2 * atan2(self.data.qpos[5], self.data.qpos[3]))
        if lean > TIPPED_RAD:
            return "topples"
        if abs(self._corner_x() - self.start) > SLID_M:
            return "slides"
        return "" if self.data.time < 20 else f"stays, lean {degrees(lean):.2f}°"
