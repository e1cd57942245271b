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
GONE_RAD = 1.0
"""A body that has leaned so far is not followed further."""


@dataclass(frozen=True)
class Drive:
    """The board's tilt on an even grid of time; arrays of shape ``(N,)``."""

    step_s: float
    tilt_rad: Floats
    rate_rad_s: Floats
    acceleration_rad_s2: Floats


def toppling_turn(
    drive: Drive, brink_rad: float, k_per_s: float, pivot_m: float, rocking_rad: float = 0.0
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

    A rim is never quite flat, and a body that rocks on it does not set off from
    rest. Of what that does only the growing part outlasts the first moments: it
    grows as if the last take-off had been ``rocking_rad`` further on, that is, with
    ``k · rocking_rad`` of speed in hand.

    Returns
    -------
    turn_rad : shape ``(N,)``
        The body's turn from upright; lean is turn less tilt.
    free : shape ``(N,)``
        Whether it stands on the lower point of its rim alone.
    """
    tilts, rates = drive.tilt_rad.tolist(), drive.rate_rad_s.tolist()
    accelerations = drive.acceleration_rad_s2.tolist()
    pushes = _Push(drive, brink_rad, k_per_s, pivot_m)
    out, free = np.array(drive.tilt_rad), np.zeros(len(tilts), dtype=bool)
    h, turn, speed, off = drive.step_s, tilts[0], rates[0], False
    for i, tilt in enumerate(tilts):
        if turn < tilt or not off:
            turn, speed, off = tilt, rates[i], False
        push = pushes.at(i, turn)
        off = off or push > accelerations[i]
        out[i], free[i] = turn, off
        if off:
            turn += h * (speed + h * push / 2)
            speed += h * push
        if turn - tilt > GONE_RAD:
            out[i + 1 :], free[i + 1 :] = turn, True
            break
    if rocking_rad != 0.0 and free[-1]:
        off_at = int(np.flatnonzero(np.append(True, ~free))[-1])
        _fly(pushes, out, off_at, rates[off_at] + k_per_s * rocking_rad)
    return out, free


class _Push:
    """The angular acceleration of a body that stands on the lower point of its rim."""

    def __init__(self, drive: Drive, brink_rad: float, k_per_s: float, pivot_m: float) -> None:
        self.step_s, self._brink_rad, self._k2 = drive.step_s, brink_rad, k_per_s**2
        c, s, spin = np.cos(drive.tilt_rad), np.sin(drive.tilt_rad), drive.rate_rad_s**2
        reach, turned = pivot_m / GRAVITY_M_S2, drive.acceleration_rad_s2
        self._a_x = (reach * (-spin * c - turned * s)).tolist()
        self._a_y = (1 + reach * (-spin * s + turned * c)).tolist()

    def at(self, i: int, turn_rad: float) -> float:
        past = turn_rad - self._brink_rad
        return float(self._k2 * (sin(past) * self._a_y[i] + cos(past) * self._a_x[i]))


def _fly(pushes: _Push, out: Floats, begin: int, speed: float) -> None:
    """Write how a body turns that is free from ``begin`` on, there with this speed."""
    h, turn, began = pushes.step_s, float(out[begin]), float(out[begin])
    for i in range(begin, len(out)):
        out[i] = turn
        if abs(turn - began) > GONE_RAD:
            out[i + 1 :] = turn
            break
        push = pushes.at(i, turn)
        turn += h * (speed + h * push / 2)
        speed += h * push


def _rows(drive: Drive) -> Iterator[tuple[float, float, float]]:
    return zip(
        drive.tilt_rad.tolist(),
        drive.rate_rad_s.tolist(),
        drive.acceleration_rad_s2.tolist(),
        strict=True,
    )


def sliding_slip(
    drive: Drive,
    friction_rad: float,
    moving_friction_rad: float,
    distance_m: float,
    centre_height_m: float = 0.0,
) -> Floats:
    """Slip down the slope of a body that can only slide, in metres, shape ``(N,)``.

    The body starts when its share of gravity and inertia along the board exceeds
    ``tan(friction_rad)`` times the share across it, and from then on rubs with
    ``tan(moving_friction_rad)`` (Coulomb's law); ``distance_m`` is where it
    stands, up the slope from the hinge, and ``centre_height_m`` how high above the
    board its centre is.
    """
    slip, speed = 0.0, 0.0
    out = np.empty(len(drive.tilt_rad))
    h, g, x = drive.step_s, GRAVITY_M_S2, centre_height_m
    rest, rub = tan(friction_rad), tan(moving_friction_rad)
    for i, (tilt, rate, acceleration) in enumerate(_rows(drive)):
        out[i] = slip
        d = distance_m - slip
        along = g * sin(tilt) - d * rate * rate - x * acceleration
        across = g * cos(tilt) + d * acceleration - x * rate * rate - 2 * speed * rate
        if speed > 0.0 or along > rest * across:
            speed = max(0.0, speed + h * (along - rub * across))
            slip += h * speed
    return out
