"""A body standing on an inclined plane in MuJoCo, let go from rest.

Contacts are stiff (`solref`, `solimp`, elliptic cones, `impratio`): with the
engine's defaults a body tips many degrees early. The engine holds a round base
by three points of its rim, which slender bodies stand on; a squat one rolls off.
"""

from __future__ import annotations

from math import acos, cos, degrees, radians, sin

import mujoco
import numpy as np

MODEL = """
<mujoco>
  <option timestep="0.0005" integrator="implicitfast" cone="elliptic" impratio="10"/>
  <default>
    <geom solref="0.002 1" solimp="0.99 0.9999 0.0001" friction="{mu} 0.005 0.0001"/>
  </default>
  <worldbody>
    <geom type="plane" size="2 2 0.1" euler="0 {tilt_deg} 0"/>
    <body euler="0 {tilt_deg} 0">
      <freejoint/>
      <inertial pos="0 0 {x}" mass="0.2" diaginertia="{inertia} {inertia} {inertia}"/>
      <geom {base} pos="0 0 {x}"/>
    </body>
  </worldbody>
</mujoco>
"""
BASES = {"square": 'type="box" size="{r} {r} {x}"', "round": 'type="cylinder" size="{r} {x}"'}
PATIENCE_S = 2.5
LEAN_RAD, SLIP_M = radians(5.0), 0.005


def let_go(r: float, x: float, mu: float, tilt_rad: float, base: str = "square") -> str:
    """What the body does within the patience: topples, slides or stays."""
    inertia = 0.2 * (r**2 / 4 + x**2 / 3)
    model = mujoco.MjModel.from_xml_string(
        MODEL.format(
            mu=mu,
            tilt_deg=degrees(tilt_rad),
            x=x,
            inertia=inertia,
            base=BASES[base].format(r=r, x=x),
        )
    )
    data = mujoco.MjData(model)
    normal = np.array([sin(tilt_rad), 0.0, cos(tilt_rad)])
    down = np.array([cos(tilt_rad), 0.0, -sin(tilt_rad)])
    while data.time < PATIENCE_S:
        mujoco.mj_step(model, data)
        turn = data.xmat[1].reshape(3, 3)
        if acos(min(1.0, turn[:, 2] @ normal)) > LEAN_RAD:
            return "topples"
        if (data.xpos[1] + r * turn[:, 0]) @ down - r > SLIP_M:
            return "slides"
    return "stays"
