"""What moves a measured angle, each by name."""

from __future__ import annotations

from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from vision.brink import Brink
from vision.fit import Edges, fit_motion, fit_scene, response
from vision.refine import Motion
from vision.scene import LEAN, SLIP, TILT, Scene

Floats = NDArray[np.float64]

LENS_SHARE = 0.01
"""Radial distortion a phone may leave at the picture's corner, either way (common
practice: phones correct their lenses before they save)."""


CAMERA = "camera and focal length"


class Picture:
    """How sure a picture is of the board's tilt."""

    def __init__(self, motion: Motion) -> None:
        self._motion = motion

    def row_at(self, time_s: float) -> int:
        """The frame nearest to a moment."""
        return int(np.argmin(np.abs(self._motion.time_s - time_s)))

    def angle(self, brink: Brink, start_tilt: UFloat) -> UFloat:
        """The brink's angle, its error components tagged with the names of the budget."""
        row = self.row_at(brink.onset_s)
        from_lift = {"brink": brink.u_rad, "tremor of the lift": brink.tremor_u_rad}
        return _tagged(brink.angle_rad, start_tilt, self._sources(row) | from_lift)

    def tilt(self, time_s: float, start_tilt: UFloat) -> UFloat:
        """The tilt in the frame nearest to a moment, likewise."""
        row = self.row_at(time_s)
        return _tagged(float(self._motion.own[row, TILT]), start_tilt, self._sources(row))

    def _sources(self, row: int) -> dict[str, float]:
        """Standard uncertainties of the tilt that come from the picture, by name."""
        return {
            "edge noise": sqrt(float(self._motion.covariance[row, TILT, TILT])),
            CAMERA: self.camera_u_rad(row),
            "lens": self.lens_u_rad(row),
        }

    def camera_u_rad(self, row: int) -> float:
        """Standard uncertainty of the tilt from camera, hinge and places of the edges."""
        by_shared = self.by_scene(row)
        return sqrt(float(by_shared @ self.scene_covariance @ by_shared))

    def by_scene(self, row: int) -> Floats:
        """How the tilt in a frame answers to the scene's unknowns, shape ``(S,)``."""
        motion, rows = self._motion, np.array([row])
        edges = motion.edges.at(rows)
        return response(motion.scene, motion.own[rows], edges, motion.freedom)[0, TILT]

    @cached_property
    def scene_covariance(self) -> Floats:
        """Of the scene's unknowns, shape ``(S, S)``.

        Residuals of neighbouring frames share what the edges' looks do to them, so the
        fit's covariance is widened by how long they stay alike.
        """
        fit = self._motion.fit
        return fit.solution.shared_covariance * likeness(fit.edge_residuals)

    def camera_narrowing(self, prior_u: Floats) -> Floats:
        """How wide pitch, yaw, roll and log focal length still are, as parts of how wide
        they were thought beforehand, shape ``(4,)``."""
        covariance = self._motion.fit.solution.shared_covariance
        return np.sqrt(np.diag(covariance)[: len(prior_u)]) / prior_u

    def cost_rad(self, row: int, unknowns: NDArray[np.int64]) -> float:
        """What not knowing some of the scene's unknowns adds to the tilt's standard
        uncertainty, in squares: by conditioning a Gaussian on them."""
        shared = self.scene_covariance @ self.by_scene(row)
        known = self.scene_covariance[np.ix_(unknowns, unknowns)]
        return sqrt(float(shared[unknowns] @ np.linalg.solve(known, shared[unknowns])))

    def lens_u_rad(self, row: int) -> float:
        """Standard uncertainty of the tilt from a lens that bends straight lines a little.

        The fit is made once more with the edges bent as a radial distortion of 1 % at
        the corner bends them (Brown's model, first term); the shift is a half-width.
        """
        (bent, scene), motion, rows = self._bent, self._motion, np.array([row])
        own = motion.own[rows]
        moved, _ = fit_motion(scene, own, bent.at(rows), motion.freedom)
        straight, _ = fit_motion(motion.scene, own, motion.edges.at(rows), motion.freedom)
        return abs(float(moved[0, TILT] - straight[0, TILT])) / sqrt(3)

    @cached_property
    def _bent(self) -> tuple[Edges, Scene]:
        """The edges as a lens bends them, and the scene that fits them."""
        motion = self._motion
        edges = Edges(_bent(motion), motion.edges.u_px)
        own = motion.own[motion.calm].copy()
        own[:, [LEAN, SLIP]] = 0.0
        freedom, start = motion.freedom.at_rest(), float(own[0, TILT])
        calm = edges.at(motion.calm)
        fit = fit_scene(motion.scene, own, calm, freedom, 0, start, settled=1e-3)
        return edges, fit.scene


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


def _tagged(angle_rad: float, start_tilt: UFloat, sources: dict[str, float]) -> UFloat:
    """The angle with each source of uncertainty that is not nothing."""
    parts = [ufloat(0.0, u_rad, name) for name, u_rad in sources.items() if u_rad > 0]
    return angle_rad + (start_tilt - start_tilt.nominal_value) + sum(parts)


def _bent(motion: Motion) -> Floats:
    middle = motion.scene.middle_px
    away = motion.edges.points - middle
    bend = LENS_SHARE * np.sum(away**2, axis=-1, keepdims=True) / (middle @ middle)
    return middle + away * (1 + bend)
