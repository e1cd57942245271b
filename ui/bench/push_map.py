"""The map of slide or topple: the height at which it changes, and how sure that is, against μ."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import norm
from uncertainties import nominal_value, std_dev

from solver.friction import SURE, Motion, Push, Stand, Verdict, push
from solver.quantities import MILLIMETRE, Quantity, measured

FRICTIONS = 41
FAR = 50.0
"""Times the axis, above which an edge need not be drawn truly."""
STEPS = 3
"""Of the secant towards a band's end; the first guess is right to first order."""


@dataclass(frozen=True)
class Mark:
    """A body on the map."""

    name: str
    friction: Quantity
    height: Quantity
    """In the map's own unit."""
    verdict: str
    own: bool = False


@dataclass(frozen=True)
class Map:
    """Curves over the coefficient of friction; heights in mm, or in distances r."""

    frictions: tuple[float, ...]
    edge: tuple[float, ...]
    """Where both come at once."""
    low: tuple[float, ...]
    high: tuple[float, ...]
    """Between these the verdict is not sure."""
    top: float
    """Of the axis."""
    marks: tuple[Mark, ...] = ()

    def rows(self) -> Iterator[tuple[float, float, float, float]]:
        """Friction, edge, and the ends of the band; the band no higher than the axis."""
        for mu, edge, *ends in zip(self.frictions, self.edge, self.low, self.high, strict=True):
            low, high = (min(max(0.0, end), self.top) for end in ends)
            yield mu, min(edge, FAR * self.top), low, high


def pushed_map(
    stand: Stand, how: Push, tilt_rad: float, top_m: float, marks: Sequence[Mark] = (),
    unit_m: float = MILLIMETRE.in_si,
) -> Map:  # fmt: skip
    """The map of a push's height. The body's uncertainties make the band.

    Frictions at which the body would slide by itself are left out.
    """
    u_mu, u_h = float(std_dev(stand.friction)), float(std_dev(how.height_m))
    open_stand = replace(stand, top_m=None)

    def at(mu: float) -> tuple[Stand, Callable[[float], Push]]:
        own = replace(open_stand, friction=measured(mu, u_mu, "friction"))
        return own, lambda h: replace(how, height_m=measured(h, u_h, "height of the push"))

    rows = []
    for mu in _frictions(stand, marks, tilt_rad):
        own, aim = at(mu)
        rows.append((mu, *_ends(own, aim, tilt_rad, u_h)))
    mus, *ends = zip(*rows, strict=True)
    edge, low, high = (tuple(value / unit_m for value in column) for column in ends)
    return Map(tuple(mus), edge, low, high, top_m / unit_m, tuple(marks))


def _frictions(stand: Stand, marks: Sequence[Mark], tilt_rad: float) -> list[float]:
    values = [float(nominal_value(mark.friction)) for mark in marks]
    least = float(np.tan(tilt_rad))
    most = max(1.0, 1.3 * max([*values, float(nominal_value(stand.friction))]))
    return np.linspace(least + 0.02 * (most - least), most, FRICTIONS).tolist()


def _ends(
    stand: Stand, aim: Callable[[float], Push], tilt_rad: float, u_h: float
) -> tuple[float, float, float]:
    """Crossing height and the ends of the band in which the verdict is not sure, metres."""
    crossing = push(stand, aim(1e-6), tilt_rad).crossing_m
    if crossing is None:
        return np.inf, np.inf, np.inf
    edge, u = float(nominal_value(crossing)), float(np.hypot(std_dev(crossing), u_h))
    if u == 0 or edge <= 0:
        return edge, edge, edge
    z = float(norm.ppf(SURE))
    ends = [_where(stand, aim, tilt_rad, sign * z, edge, u) for sign in (1, -1)]
    return edge, min(ends), max(ends)


def _where(
    stand: Stand,
    aim: Callable[[float], Push],
    tilt_rad: float,
    wanted: float,
    edge: float,
    u: float,
) -> float:
    """The height at which sliding first is so many standard uncertainties from even.

    By secants in 1/h, in which the lead is nearly straight (``r/h − μ`` on the level).
    """

    def lead(inverse: float) -> float:
        return sureness(push(stand, aim(1 / inverse), tilt_rad).verdict)

    before, here = 1 / edge, 1 / edge + wanted * u / edge**2
    lead_before = 0.0
    for _ in range(STEPS):
        if here <= 0:
            return np.inf
        lead_here = lead(here)
        if not np.isfinite(lead_here) or abs(lead_here - lead_before) < 1e-9:
            break
        slope = (here - before) / (lead_here - lead_before)
        before, lead_before = here, lead_here
        here += slope * (wanted - lead_here)
    return 1 / here if here > 0 else np.inf


def sureness(verdict: Verdict) -> float:
    """How many standard uncertainties from even; positive where it slides first."""
    sign = 1.0 if verdict.likely is Motion.SLIDES else -1.0
    return sign * float(norm.ppf(verdict.chance))


def spoken(verdict: Verdict) -> str:
    """The verdict for a mark on the map."""
    return str(verdict.likely) if verdict.sure else "too close to call"


def mark_of(
    name: str, stand: Stand, how: Push, unit_m: Quantity, tilt_rad: float = 0.0, own: bool = False
) -> Mark:
    """A body on the map, with its verdict. Raises what `solver.friction.push` raises."""
    verdict = push(stand, how, tilt_rad).verdict
    return Mark(name, stand.friction, how.height_m / unit_m, spoken(verdict), own)
