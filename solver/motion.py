"""How a body on a board moves once it topples or slides, driven by the board's tilt.

The board turns about a fixed hinge; the body rests at a distance ``d`` up the
slope from it. Both motions are written in axes fixed to the pivot or the board,
so the board's own acceleration acts as a force of inertia: lifting in jerks
makes a body go a little before or after its static brink.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, sin, tan

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GRAVITY_M_S2 = 9.81


@dataclass(frozen=True)
class Drive:
    """The board's tilt on an even grid of time; arrays of shape ``(N,)``."""

    step_s: float
    tilt_rad: Floats
    rate_rad_s: Floats
    acceleration_rad_s2: Floats


def toppling_turn(
    drive: Drive, brink_rad: float, k_per_s: float, pivot_m: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """How a body that can only topple turns, and when it is off the board.

    The equation of motion about the pivot, a distance ``pivot_m`` up the slope
    from the hinge, with ``ψ = turn − brink`` the centre's angle past the vertical
    through the pivot (angular momentum about an accelerated point; any text on
    rigid-body dynamics)::

        turn″ = k² [sin ψ (1 + a_y/g) + cos ψ a_x/g],   k² = m g l / I

    where ``a`` is the pivot's acceleration, ``l`` the centre's distance from it and
    ``I`` the moment of inertia about it. The board carries the body: its turn is
    never less than the tilt, and it lands without a bounce.

    Returns
    -------
    turn_rad : shape ``(N,)``
        The body's turn from upright; lean is turn less tilt.
    free : shape ``(N,)``
        Whether it stands on the lower point of its rim alone.
    """
    out, free = np.empty(len(drive.tilt_rad)), np.zeros(len(drive.tilt_rad), dtype=bool)
    h, k2, reach = drive.step_s, k_per_s**2, pivot_m / GRAVITY_M_S2
    turn, speed, off = float(drive.tilt_rad[0]), float(drive.rate_rad_s[0]), False
    for i, (tilt, rate, acceleration) in enumerate(_rows(drive)):
        if turn < tilt or not off:
            turn, speed, off = tilt, rate, False
        c, s, spin = cos(tilt), sin(tilt), rate * rate
        a_x = reach * (-spin * c - acceleration * s)
        a_y = reach * (-spin * s + acceleration * c)
        past = turn - brink_rad
        push = k2 * (sin(past) * (1 + a_y) + cos(past) * a_x)
        out[i], off = turn, off or push > acceleration
        free[i] = off
        if off:
            turn += h * (speed + h * push / 2)
            speed += h * push
        if turn - tilt > 1.0:
            out[i + 1 :], free[i + 1 :] = turn, True
            break
    return out, free


def _rows(drive: Drive) -> Iterator[tuple[float, float, float]]:
    return zip(
        drive.tilt_rad.tolist(),
        drive.rate_rad_s.tolist(),
        drive.acceleration_rad_s2.tolist(),
        strict=True,
    )


def sliding_slip(
    drive: Drive, friction_rad: float, moving_friction_rad: float, distance_m: float
) -> Floats:
    """Slip down the slope of a body that can only slide, in metres, shape ``(N,)``.

    The body starts when its share of gravity and inertia along the board exceeds
    ``tan(friction_rad)`` times the share across it, and from then on rubs with
    ``tan(moving_friction_rad)`` (Coulomb's law); ``distance_m`` is where it
    stands, up the slope from the hinge.
    """
    slip, speed = 0.0, 0.0
    out = np.empty(len(drive.tilt_rad))
    h, g = drive.step_s, GRAVITY_M_S2
    rest, rub = tan(friction_rad), tan(moving_friction_rad)
    for i, (tilt, rate, acceleration) in enumerate(_rows(drive)):
        out[i] = slip
        d = distance_m - slip
        along = g * sin(tilt) - d * rate * rate
        across = g * cos(tilt) + d * acceleration - 2 * speed * rate
        if speed > 0.0 or along > rest * across:
            speed = max(0.0, speed + h * (along - rub * across))
            slip += h * speed
    return out
