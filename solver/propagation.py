"""From the uncertainties of inputs to that of a result: linear, and by Monte Carlo.

Linear propagation follows JCGM 100:2008 (5.1, G.4), Monte Carlo JCGM 101:2008
(clauses 6 and 7). Inputs are named quantities; each independent source of
uncertainty inside them is known by its tag, or by the input's name where it has
none. Results are in the unit of whatever is propagated.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import fsum, inf, sqrt
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import norm, qmc, t, uniform
from uncertainties import UFloat, nominal_value, std_dev

from solver.errors import InputError
from solver.quantities import Quantity
from solver.rounding import last_decimal

Floats = NDArray[np.float64]
Span: TypeAlias = tuple[float, float]
Inputs: TypeAlias = Mapping[str, Quantity]

LEVEL = 0.95
LOG2_DRAWS = 17
"""Enough to settle the ends to 0.4 % of the standard uncertainty with seven sources."""
SEED = 101


@dataclass(frozen=True)
class Spread:
    """How the possible values of a source lie about its estimate."""

    freedoms: float
    """Degrees of freedom of its standard uncertainty."""
    quantile: Callable[[Floats], Floats]
    """From a probability to a deviation, in standard uncertainties."""


NORMAL = Spread(inf, norm.ppf)
RECTANGULAR = Spread(inf, uniform(-sqrt(3), 2 * sqrt(3)).ppf)


def student(freedoms: float) -> Spread:
    """The spread of a mean of repeats: Student's t (JCGM 101:2008, 6.4.9).

    Raises `InputError` below one degree of freedom.
    """
    if not freedoms >= 1:
        raise InputError(
            f"There are {freedoms:g} degrees of freedom; it takes at least 1, from two repeats."
        )
    return Spread(freedoms, t(freedoms).ppf)


Spreads: TypeAlias = Mapping[str, Spread]
ALL_NORMAL: Spreads = MappingProxyType({})
"""By tag; a source that is not named is normal."""


@dataclass(frozen=True)
class Contribution:
    """What one source of uncertainty does to the result."""

    name: str
    u: float
    """Standard uncertainty of the result from this source alone, in the result's unit."""
    share: float
    """Of the result's variance, 0 to 1."""


@dataclass(frozen=True)
class Linear:
    """A result by linear propagation, in its own unit."""

    value: float
    u: float
    """Standard uncertainty."""
    freedoms: float
    """Effective degrees of freedom, by Welch and Satterthwaite."""
    coverage_factor: float
    budget: tuple[Contribution, ...]
    """The largest first."""

    @property
    def half_width(self) -> float:
        """Half the width of the interval."""
        return self.coverage_factor * self.u

    @property
    def interval(self) -> Span:
        """Symmetric about the value."""
        return self.value - self.half_width, self.value + self.half_width


def linear(
    result: Quantity, inputs: Inputs, spreads: Spreads = ALL_NORMAL, level: float = LEVEL
) -> Linear:
    """The result's uncertainty, its interval and its budget, to first order.

    ``result`` has been computed from ``inputs`` and carries its derivatives. The
    coverage factor is Student's, for the effective degrees of freedom cut to a
    whole number (JCGM 100:2008, G.4.1); where a rectangle has part in it, that of the widest
    and a normal rest (G.1.4 and G.6.5).
    """
    names, u = _sources(inputs), std_dev(result)
    variances: defaultdict[str, float] = defaultdict(float)
    doubts, widest = [], 0.0
    for source, component in _components(result).items():
        name = names[source]
        variances[name] += component**2
        spread = spreads.get(name, NORMAL)
        doubts.append(component**4 / spread.freedoms)
        if spread is RECTANGULAR:
            widest = max(widest, abs(component))
    doubt = fsum(doubts)
    freedoms = u**4 / doubt if doubt else inf
    factor = float(t.ppf((1 + level) / 2, np.floor(freedoms * (1 + 1e-9))))
    if widest > 0:
        factor *= _boxed(widest / u, level) / float(norm.ppf((1 + level) / 2))
    return Linear(nominal_value(result), u, freedoms, factor, _budget(variances))


def _boxed(share: float, level: float) -> float:
    """Coverage factor of a rectangle with ``share`` of the standard uncertainty, 0 to 1,
    and a normal distribution with the rest.

    Half of the rectangle is ``a = √3 share`` wide; the normal's distribution function,
    averaged over it, has a closed form.
    """
    a, rest = sqrt(3) * share, sqrt(max(1.0 - share**2, 0.0))
    if rest < 1e-3:
        return level * a

    def within(x: float) -> float:
        high, low = (x + a) / rest, (x - a) / rest
        grown = high * norm.cdf(high) + norm.pdf(high) - low * norm.cdf(low) - norm.pdf(low)
        return float(rest * grown / (2 * a))

    return float(brentq(lambda x: within(x) - (1 + level) / 2, 0.0, 4.0))


def _components(result: Quantity) -> dict[Any, float]:
    if not isinstance(result, UFloat):
        return {}
    return {source: u for source, u in result.error_components().items() if u}


def _budget(variances: Mapping[str, float]) -> tuple[Contribution, ...]:
    total = fsum(variances.values())
    rows = (Contribution(name, sqrt(v), v / total) for name, v in variances.items())
    return tuple(sorted(rows, key=lambda row: row.u, reverse=True))


def _sources(inputs: Inputs) -> dict[Any, str]:
    """The independent sources in the inputs, each with its name."""
    return {
        source: source.tag or name
        for name, quantity in inputs.items()
        if isinstance(quantity, UFloat)
        for source in quantity.derivatives
    }


@dataclass(frozen=True)
class MonteCarlo:
    """A result by Monte Carlo, in its own unit."""

    mean: float | None
    """None where a draw went to infinity: the values then have no mean."""
    u: float | None
    """Standard deviation of the draws; None likewise."""
    interval: Span
    """With the same probability left out at either end."""


def monte_carlo(
    model: Callable[..., Floats],
    inputs: Inputs,
    spreads: Spreads = ALL_NORMAL,
    level: float = LEVEL,
) -> MonteCarlo:
    """The result's mean, standard uncertainty and interval, by drawing the inputs.

    ``model`` takes the inputs in their order, as arrays of draws or plain numbers.
    The draws are a scrambled Sobol sequence with a fixed seed: it settles the ends
    sooner than random numbers do (A. B. Owen, J. Complexity 14 (1998) 466).
    """
    draws = np.atleast_1d(model(*_draw(inputs, spreads)))
    low, high = np.quantile(draws, [(1 - level) / 2, (1 + level) / 2])
    settled = bool(np.isfinite(draws).all())
    mean, u = (float(draws.mean()), float(draws.std())) if settled else (None, None)
    return MonteCarlo(mean, u, (float(low), float(high)))


def _draw(inputs: Inputs, spreads: Spreads) -> list[Floats | float]:
    """Draws of every input; a source that several inputs share moves them together."""
    names = _sources(inputs)
    if not names:
        return [float(quantity) for quantity in inputs.values()]
    points = qmc.Sobol(len(names), seed=SEED).random_base2(LOG2_DRAWS) + 2.0**-31
    # By name and size, so that the same sources in another order give the same draws.
    ordered = sorted(names.items(), key=lambda pair: (pair[1], std_dev(pair[0])))
    deviations = {
        source: std_dev(source) * spreads.get(name, NORMAL).quantile(column)
        for (source, name), column in zip(ordered, points.T, strict=True)
    }
    return [_moved(quantity, deviations) for quantity in inputs.values()]


def _moved(quantity: Quantity, deviations: Mapping[Any, Floats]) -> Floats | float:
    if not isinstance(quantity, UFloat):
        return quantity
    moves = (slope * deviations[source] for source, slope in quantity.derivatives.items())
    moved: Floats = nominal_value(quantity) + sum(moves, np.zeros(1))
    return moved


def tolerance(result: Linear) -> float:
    """Half of the last figure of the interval as it is shown, in the result's unit.

    The numerical tolerance of JCGM 101:2008, 7.9.2, taken of the half-width because
    that is what people read; 0 where there is no uncertainty.
    """
    return 0.5 * 10.0 ** -last_decimal(result.half_width) if result.u else 0.0


def agree(first: Linear, second: MonteCarlo) -> bool:
    """Whether both ends of both intervals agree within `tolerance` (JCGM 101:2008, 8.1)."""
    gaps = (abs(a - b) for a, b in zip(first.interval, second.interval, strict=True))
    return max(gaps) <= tolerance(first)
