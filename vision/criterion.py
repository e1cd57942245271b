"""How well a law of motion explains a measured record, in one number.

Schwarz's criterion, ``BIC = K ln n − 2 ln L`` (Annals of Statistics 6 (1978) 461), of
residuals whose errors are part alike from frame to frame and now and then gross:

- What neighbouring frames share must not count again and again. The errors are a level
  that wanders, and white noise on it: ``e_t = r_t − level_t``, ``level_t+1 = level_t + α e_t``
  (simple exponential smoothing in state-space form; Hyndman, Koehler, Ord and Snyder,
  Forecasting with Exponential Smoothing, 2008, chapter 2). A drift of the camera or a
  creeping foot goes into the level; only what comes faster speaks.
- The innovations ``e_t`` have Student's t with four degrees of freedom (Lange, Little and
  Taylor, Journal of the American Statistical Association 84 (1989) 881), so that a false
  edge costs little whichever law is held to it.

Both ``α`` and the scale are the record's own under each law, so no law gains by errors
that are larger or smaller than stated.
"""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter
from scipy.special import gammaln

Floats = NDArray[np.float64]

WANDERS = np.array([0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1.0])
FREEDOM = 4.0
ROUNDS = 25
SCALE_FLOOR = 0.05
"""Of the stated uncertainty: below that residuals say no more."""
LEVEL_FRAMES = 5
DISTINCT = 10.0
"""A difference from which two laws are told apart: beyond 10 the worse has 'essentially no'
support (Burnham and Anderson, Model Selection and Multimodel Inference, 2002, section 2.6),
and the evidence is 'very strong' (Kass and Raftery, Journal of the American Statistical
Association 90 (1995) 773, section 3.2)."""


def log_likelihood(residuals: Floats, u: Floats) -> float:
    """Natural logarithm of the largest likelihood of residuals ``(N,)``.

    ``u`` are their standard uncertainties up to a common factor, ``(N,)``.
    """
    return float(np.max(_by_wander(residuals, u)))


def bic(log_likelihood: float, unknowns: int, observations: int) -> float:
    """Schwarz's criterion; the smaller, the better."""
    return unknowns * log(observations) - 2 * log_likelihood


def _by_wander(residuals: Floats, u: Floats) -> Floats:
    """Log-likelihood for each of `WANDERS`, the scale at its best."""
    squares = np.square(_innovations(residuals) / u)
    scale2 = np.median(squares, axis=1, keepdims=True) + SCALE_FLOOR**2
    for _ in range(ROUNDS):
        trust = (FREEDOM + 1) / (FREEDOM + squares / scale2)
        scale2 = np.maximum(np.mean(trust * squares, axis=1, keepdims=True), SCALE_FLOOR**2)
    tails = (FREEDOM + 1) / 2 * np.log1p(squares / scale2 / FREEDOM)
    return np.sum(_PEAK - np.log(u) - np.log(scale2) / 2 - tails, axis=1)


def _innovations(residuals: Floats) -> Floats:
    """What each residual brings beyond the level before it, ``(A, N)``."""
    level = float(np.median(residuals[:LEVEL_FRAMES]))
    off = residuals - level
    rows = [off - np.append(0.0, lfilter([a], [1.0, a - 1.0], off)[:-1]) for a in WANDERS]
    return np.array(rows)


_PEAK = float(gammaln((FREEDOM + 1) / 2) - gammaln(FREEDOM / 2) - np.log(np.pi * FREEDOM) / 2)
