"""The motion by MuJoCo, for the clips that are drawn."""

from __future__ import annotations

from math import cos, sin

import mujoco
import numpy as np

from tests.scenes.lift import STEP_S, TiltProgram
from tests.scenes.motion import Floats, Motion
from tests.scenes.scene import GRAVITY_M_S2, Board, Scene

_DRIVE_INERTIA = 1e5
_BELOW_M = 0.1
"""The board goes on below its underside, so that nothing is pushed out there."""


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
    turn, rim = np.empty(tilt.size), np.empty((tilt.size, 2))
    for i in range(tilt.size):
        data.qpos[0], data.qvel[0] = tilt[i], program.rate_rad_s[i]
        turn[i], rim[i] = data.qpos[3], _rim(scene, data.qpos)
        data.qfrc_applied[0] = _DRIVE_INERTIA * program.acceleration_rad_s2[i]
        mujoco.mj_step(model, data)
    slip = scene.board.body_at_m - scene.body.radius_m - rim[:, 0]
    gap = rim[:, 1] - scene.board.top_m
    return Motion(program.time_s, tilt, turn - tilt, slip, gap)


def _placed(scene: Scene, tilt: float) -> tuple[float, float]:
    """World position of the middle of the body's base, standing."""
    along, above = scene.board.body_at_m, scene.board.top_m
    return (
        along * cos(tilt) - above * sin(tilt),
        along * sin(tilt) + above * cos(tilt),
    )


def _rim(scene: Scene, qpos: Floats) -> tuple[float, float]:
    """Where the lower rim is, along the board and above its underside, metres."""
    tilt, x, z, turn = qpos
    x -= scene.body.radius_m * cos(turn)
    z -= scene.body.radius_m * sin(turn)
    return x * cos(tilt) + z * sin(tilt), z * cos(tilt) - x * sin(tilt)


def _model_xml(scene: Scene) -> str:
    body, board = scene.body, scene.board
    half_x, half_y, half_z = (
        board.length_m / 2,
        board.width_m / 2,
        (board.top_m + _BELOW_M) / 2,
    )
    tall = body.height_m / 2
    return f"""<mujoco>
  <option iterations="200" tolerance="1e-12" timestep="{STEP_S}"
          integrator="implicitfast" cone="elliptic" impratio="10" gravity="0 0 {-GRAVITY_M_S2}"/>
  <default><geom solref="0.002 1" solimp="0.99 0.9999 0.0001"
                 friction="{board.friction} 0 0"/></default>
  <worldbody>
    <geom type="plane" size="2 2 0.1" contype="2" conaffinity="2"/>
    <body>
      <joint type="hinge" axis="0 -1 0" armature="{_DRIVE_INERTIA}"/>
      <geom type="box" size="{half_x} {half_y} {half_z}" pos="{half_x} 0 {half_z - _BELOW_M}"
            mass="1" contype="1" conaffinity="1"/>
      {_stop_xml(board)}
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


def _stop_xml(board: Board) -> str:
    if not board.stop_at_m:
        return ""
    deep, tall = 0.01, board.stop_height_m / 2
    return f"""<geom type="box" size="{deep / 2} {board.width_m / 2} {tall}" mass="1"
            pos="{board.stop_at_m - deep / 2} 0 {board.top_m + tall}"
            contype="1" conaffinity="1"/>"""
