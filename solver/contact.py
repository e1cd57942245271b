"""What the surface does to a body at rest on it: how hard it presses, holds, and where.

Symbols as in `solver.friction`. Resolving across and along the surface and
taking moments about the pivot, with d = +1 for a push down the slope, −1 up it:

    N = m g cos α − P sin β
    F = P cos β + d m g sin α
    N e = m g (r cos α − d x sin α) − P (h cos β + b sin β)

where e is how far behind the pivot the normal reaction acts. At the point of
toppling e is 0; at the point of sliding F is μ N.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin

from uncertainties import nominal_value

from solver.friction import Push, Stand, Way
from solver.quantities import GRAVITY_M_S2, NEWTON, in_range

NO_PUSH = Push(0.0)


@dataclass(frozen=True)
class Reaction:
    """Of the surface on the body, plain numbers."""

    normal_n: float
    friction_n: float
    """Against the way of the push."""
    behind_m: float
    """From the pivot back to where the normal reaction acts: e."""


def reaction(
    stand: Stand, force_n: float, how: Push = NO_PUSH, tilt_rad: float = 0.0
) -> Reaction | None:
    """The reaction while a push of that force has not moved the body.

    None where the push lifts the body off the surface. Raises `InputError` for a
    force that is below 0 or not finite, as where no force moves the body.
    """
    in_range(force_n, "force of the push", NEWTON, ends="[)")
    weight = nominal_value(stand.mass_kg) * GRAVITY_M_S2
    across, along = weight * cos(tilt_rad), how.way * weight * sin(tilt_rad)
    level, lift = force_n * cos(how.angle_rad), force_n * sin(how.angle_rad)
    normal = across - lift
    if normal <= 0:
        return None
    r, x, h = map(nominal_value, (stand.radius_m, stand.centre_height_m, how.height_m))
    b = 0.0 if how.behind_m is None else nominal_value(how.behind_m)
    turning = across * r - along * x - level * h - lift * b
    return Reaction(normal, level + along, turning / normal)


def reaction_raised(stand: Stand, tilt_rad: float) -> Reaction:
    """The reaction of a board raised to that tilt, below 90°, and no push."""
    held = reaction(stand, 0.0, Push(0.0, way=Way.DOWN), tilt_rad)
    assert held is not None, "a board below 90° presses on what stands on it"
    return held
