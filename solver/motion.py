"""How a body on a board moves once it topples or slides, driven by the board's tilt.

The board turns about a fixed hinge; the body rests at a distance ``d`` up the
slope from it. Both motions are written in axes fixed to the pivot or the board,
so the board's own acceleration acts as a force of inertia: lifting in jerks
makes a body go a little before or after its static brink.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, inf, sin, tan

import numpy as np
from numpy.typing import NDArray

from solver.compiled import compiled

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
    pushes = _Push(drive, brink_rad, k_per_s, pivot_m)
    carried, rates = drive.tilt_rad, drive.rate_rad_s
    lifts_off = pushes.standing > drive.acceleration_rad_s2
    out, free = np.array(carried), np.zeros(len(carried), dtype=bool)
    falling = np.full(len(carried), -inf)
    begin = _next(lifts_off, 0)
    while begin < len(out):
        landed = pushes.fly(out, begin, float(rates[begin]), carried)
        free[begin:landed] = True
        begin = _next(lifts_off, landed)
    if rocking_rad != 0.0 and free[-1]:
        off_at = int(np.flatnonzero(np.append(True, ~free))[-1])
        pushes.fly(out, off_at, float(rates[off_at]) + k_per_s * rocking_rad, falling)
    return out, free


def _next(true: NDArray[np.bool_], start: int) -> int:
    """The first index from ``start`` on at which it is true, else the length."""
    later = true[start:]
    return start + int(np.argmax(later)) if later.any() else len(true)


class _Push:
    """The angular acceleration of a body that stands on the lower point of its rim."""

    def __init__(self, drive: Drive, brink_rad: float, k_per_s: float, pivot_m: float) -> None:
        self._step_s, self._brink_rad, self._k2 = drive.step_s, brink_rad, k_per_s**2
        c, s, spin = np.cos(drive.tilt_rad), np.sin(drive.tilt_rad), drive.rate_rad_s**2
        reach, turned = pivot_m / GRAVITY_M_S2, drive.acceleration_rad_s2
        a_x, a_y = reach * (-spin * c - turned * s), 1 + reach * (-spin * s + turned * c)
        past = drive.tilt_rad - brink_rad
        self.standing = self._k2 * (np.sin(past) * a_y + np.cos(past) * a_x)
        """Of a body that turns with the board, at every instant, shape ``(N,)``."""
        self._a_x, self._a_y = a_x, a_y

    def fly(self, out: Floats, begin: int, speed: float, floor: Floats) -> int:
        """Write how a body turns that is free from ``begin`` on, there with this speed.

        It ends where the body comes back to the floor, or has gone too far to be
        followed; returned is the index of that end.
        """
        pushes = self._a_x, self._a_y, self._brink_rad, self._k2
        return int(_fly(*pushes, self._step_s, out, begin, speed, floor))


@compiled
def _fly(
    a_x: Floats,
    a_y: Floats,
    brink: float,
    k2: float,
    h: float,
    out: Floats,
    begin: int,
    speed: float,
    floor: Floats,
) -> int:
    turn = began = out[begin]
    for i in range(begin, len(out)):
        if turn < floor[i]:
            return i
        out[i] = turn
        if abs(turn - began) > GONE_RAD:
            for later in range(i + 1, len(out)):
                out[later] = turn
            break
        push = k2 * (sin(turn - brink) * a_y[i] + cos(turn - brink) * a_x[i])
        turn += h * (speed + h * push / 2)
        speed += h * push
    return len(out)


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
    tilt, rate, turned = drive.tilt_rad, drive.rate_rad_s, drive.acceleration_rad_s2
    pull = GRAVITY_M_S2 * np.sin(tilt) - centre_height_m * turned
    press = GRAVITY_M_S2 * np.cos(tilt) - centre_height_m * rate**2
    out, slip, begin = np.zeros(len(tilt)), 0.0, 0
    while begin < len(out):
        d = distance_m - slip
        starts = pull - d * rate**2 > tan(friction_rad) * (press + d * turned)
        slides = _next(starts, begin)
        out[begin:slides] = slip
        rub, h = tan(moving_friction_rad), drive.step_s
        begin = int(_slide(pull, press, rate, turned, slides, slip, distance_m, rub, h, out))
        slip = float(out[begin - 1])
    return out


@compiled
def _slide(
    pull: Floats,
    press: Floats,
    rate: Floats,
    turned: Floats,
    begin: int,
    slip: float,
    distance_m: float,
    rub: float,
    h: float,
    out: Floats,
) -> int:
    """Write the slips of a body that begins to slide, until it rests again; returned is the
    index of that. Pull and press are per unit of mass: gravity and inertia down the board and
    across it, at the hinge and at no speed; then the board's rate and acceleration."""
    speed, d = 0.0, distance_m - slip
    for i in range(begin, len(out)):
        out[i] = distance_m - d
        along = pull[i] - d * rate[i] * rate[i]
        across = press[i] + d * turned[i] - 2 * speed * rate[i]
        speed += h * (along - rub * across)
        if speed <= 0.0:
            return i + 1
        d -= h * speed
    return len(out)
