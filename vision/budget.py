"""What moves a measured angle, each by name."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from vision.brink import Brink
from vision.fit import Edges, fit_motion, fit_scene, response
from vision.refine import Motion
from vision.scene import LEAN, SLIP, TILT

Floats = NDArray[np.float64]

LENS_SHARE = 0.01
"""Radial distortion a phone may leave at the picture's corner, either way (common
practice: phones correct their lenses before they save)."""


def angle_with_budget(motion: Motion, brink: Brink, start_tilt: UFloat) -> UFloat:
    """The brink's angle, its error components tagged with the names of the budget."""
    row = int(np.argmin(np.abs(motion.time_s - brink.onset_s)))
    from_lift = {"brink": brink.u_rad, "tremor of the lift": brink.tremor_u_rad}
    return _tagged(brink.angle_rad, start_tilt, _picture(motion, row) | from_lift)


def tilt_with_budget(motion: Motion, row: int, start_tilt: UFloat) -> UFloat:
    """The tilt in one frame, likewise."""
    return _tagged(float(motion.own[row, TILT]), start_tilt, _picture(motion, row))


def _picture(motion: Motion, row: int) -> dict[str, float]:
    """Standard uncertainties of the tilt that come from the picture, by name."""
    return {
        "edge noise": sqrt(float(motion.covariance[row, TILT, TILT])),
        "camera and focal length": camera_u_rad(motion, row),
        "lens": lens_u_rad(motion, row),
    }


def _tagged(angle_rad: float, start_tilt: UFloat, sources: dict[str, float]) -> UFloat:
    """The angle with each source of uncertainty that is not nothing."""
    parts = [ufloat(0.0, u_rad, name) for name, u_rad in sources.items() if u_rad > 0]
    return angle_rad + (start_tilt - start_tilt.nominal_value) + sum(parts)


def camera_u_rad(motion: Motion, row: int) -> float:
    """Standard uncertainty of the tilt from camera, hinge and places of the edges.

    Residuals of neighbouring frames share what the edges' looks do to them, so the
    fit's covariance is widened by how long they stay alike.
    """
    rows = np.array([row])
    start = float(motion.fit.own[0, TILT])
    by_shared = response(
        motion.scene, motion.own[rows], motion.edges.at(rows), motion.freedom, start
    )[0, TILT]
    covariance = motion.fit.solution.shared_covariance * likeness(motion.fit.edge_residuals)
    return sqrt(float(by_shared @ covariance @ by_shared))


def likeness(residuals: Floats) -> float:
    """How many neighbouring frames count as one; ``residuals`` has shape ``(N, L, 2)``.

    ``(1 + ρ)/(1 − ρ)`` with ρ the correlation of neighbours (the variance of a
    mean of an autoregression of first order; Priestley, Spectral Analysis and Time
    Series, 1981, section 5.3).
    """
    series = np.nan_to_num(residuals.reshape(len(residuals), -1))
    series = np.clip(series, -4, 4)
    power = np.sum(np.square(series))
    neighbours = float(np.sum(series[1:] * series[:-1]) / power) if power > 0 else 0.0
    neighbours = min(max(neighbours, 0.0), 1.0 - 2.0 / len(series))
    return (1 + neighbours) / (1 - neighbours)


def lens_u_rad(motion: Motion, row: int) -> float:
    """Standard uncertainty of the tilt from a lens that bends straight lines a little.

    The fit is made once more with the edges bent as a radial distortion of 1 % at
    the corner bends them (Brown's model, first term); the shift is a half-width.
    """
    bent = Edges(_bent(motion), motion.edges.u_px)
    own = motion.own[motion.calm].copy()
    own[:, [LEAN, SLIP]] = 0.0
    freedom = motion.freedom.at_rest()
    start = float(own[0, TILT])
    fit = fit_scene(motion.scene, own, bent.at(motion.calm), freedom, 0, start, settled=1e-4)
    rows = np.array([row])
    moved, _ = fit_motion(fit.scene, motion.own[rows], bent.at(rows), motion.freedom)
    straight, _ = fit_motion(motion.scene, motion.own[rows], motion.edges.at(rows), motion.freedom)
    return abs(float(moved[0, TILT] - straight[0, TILT])) / sqrt(3)


def _bent(motion: Motion) -> Floats:
    middle = np.array([(motion.scene.width - 1) / 2, (motion.scene.height - 1) / 2])
    away = motion.edges.points - middle
    bend = LENS_SHARE * np.sum(away**2, axis=-1, keepdims=True) / (middle @ middle)
    return middle + away * (1 + bend)
