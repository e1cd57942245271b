"""The scene and the motion again, from all that was followed.

The scene was found from the first few degrees. Now that the board has been
followed all the way, camera, hinge, body and edges are fitted to the whole of
it, up to where the body first did anything of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import radians
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.signal import medfilt

from vision.fit import Edges, Freedom, SceneFit, fit_motion, fit_scene, redundancy
from vision.scene import LEAN, SHIFT_X, SHIFT_Y, SLIP, TILT, Scene

Floats = NDArray[np.float64]

MOST_FRAMES = 60
CALM_LEAN_RAD = radians(1.0)
CALM_SLIP = 0.1
"""Of the body's radius."""
CALM_BEFORE_S = 0.4
SMOOTHED = 5
"""Frames: one in which another edge was taken for the body's is no stir."""
ROUND_SETTLED = 1e-4
"""All but the last round of a fit need only tell how far edges scatter."""
UNLED_U_RAD = radians(0.5)
"""How well a tilt is known from frames before and after alone."""
RESTING_RAD = radians(0.06)
SCATTER = 0.3, 200.0
"""Least and most of what an edge says of its own uncertainty."""
LEAST_REDUNDANCY = 0.02
JOINED_S = 1.0


class Followed(Protocol):
    """What is needed of a followed frame; see vision.follow."""

    @property
    def index(self) -> int: ...
    @property
    def time_s(self) -> float: ...
    @property
    def points(self) -> Floats: ...
    @property
    def u_px(self) -> Floats: ...
    @property
    def own(self) -> Floats: ...
    @property
    def body_seen(self) -> bool: ...


@dataclass(frozen=True)
class Motion:
    """The refined scene and its motion in every followed frame."""

    scene: Scene
    index: NDArray[np.int64]
    time_s: Floats
    own: Floats
    """Shape ``(N, 5)``; columns as in vision.scene. Lean and slip are NaN where the body
    was not seen."""
    covariance: Floats
    """Of the own unknowns from edge noise, shape ``(N, 5, 5)``."""
    turn_u_rad: Floats
    """Standard uncertainty of tilt and lean together, the body's turn, ``(N,)``."""
    edges: Edges
    """What the fit rests on, uncertainties as found from the scatter."""
    calm: NDArray[np.int64]
    """Frames the scene was fitted to."""
    fit: SceneFit
    """That fit."""
    freedom: Freedom
    """Of the frames' unknowns."""


def refine(
    scene: Scene, followed: Sequence[Followed], start_tilt_rad: float, shift_u: float
) -> Motion:
    """Fit the scene to the calm frames, then the motion to every frame."""
    freedom = Freedom(lean_rad=1.0, slip=1.0, shift=shift_u)
    fit, edges, calm = fit_calm(scene, followed, start_tilt_rad, freedom)
    own, covariance, turn_u = _motion(fit.scene, followed, edges, freedom)
    unseen = ~np.array([f.body_seen for f in followed])
    for column in (LEAN, SLIP):
        own[unseen, column] = np.nan
    return Motion(
        scene=fit.scene,
        index=np.array([f.index for f in followed]),
        time_s=np.array([f.time_s for f in followed]),
        own=_rest_at(own, start_tilt_rad),
        covariance=covariance,
        turn_u_rad=turn_u,
        edges=edges,
        calm=calm,
        fit=fit,
        freedom=freedom,
    )


def _motion(
    scene: Scene, followed: Sequence[Followed], edges: Edges, freedom: Freedom
) -> tuple[Floats, Floats, Floats]:
    """Each frame's unknowns, their covariance, and the uncertainty of the body's turn.

    As long as the body stands it tells the tilt as well as the board does. Later the
    board tells it alone, and is taken to be as wrong as it was in the last second before.
    """
    own, covariance = fit_motion(scene, np.stack([f.own for f in followed]), edges, freedom)
    turn = own[:, TILT] + own[:, LEAN]
    turn_u = np.sqrt(np.einsum("nij->n", covariance[:, [[TILT], [LEAN]], [TILT, LEAN]]))
    stands = _calm(followed, scene.radius)
    upright = own * [1.0, 0.0, 1.0, 1.0, 1.0]
    at_rest = replace(freedom, lean_rad=0.0)
    standing, its_covariance = fit_motion(scene, upright, edges, at_rest)
    time_s = np.array([f.time_s for f in followed])
    seen = stands & np.array([f.body_seen for f in followed])
    last = seen & (time_s > time_s[stands][-1] - JOINED_S)
    apart = standing[last, TILT] - own[last, TILT]
    wrong = np.mean(apart) if len(apart) else 0.0
    tilt = np.where(stands, standing[:, TILT], own[:, TILT] + wrong)
    own = own.copy()
    for column in (SLIP, SHIFT_X, SHIFT_Y):
        own[stands, column] = standing[stands, column]
    covariance[stands] = its_covariance[stands]
    covariance[stands, LEAN, LEAN] = turn_u[stands] ** 2
    unled = ~stands & ~led(scene, edges)
    tilt[unled] = np.interp(time_s[unled], time_s[~unled], tilt[~unled])
    covariance[unled, TILT, TILT] = UNLED_U_RAD**2
    own[:, TILT], own[:, LEAN] = tilt, turn - tilt
    return own, covariance, turn_u


def led(scene: Scene, edges: Edges) -> NDArray[np.bool_]:
    """In which frames an edge of the board was found, ``(N,)``."""
    of_board = [line.of_board for line in scene.lines]
    return np.any(edges.found[:, of_board], axis=1)


def fit_calm(
    scene: Scene,
    followed: Sequence[Followed],
    start_tilt_rad: float,
    freedom: Freedom,
    rounds: int = 4,
    settled: float = 1e-6,
    most: int = MOST_FRAMES,
) -> tuple[SceneFit, Edges, NDArray[np.int64]]:
    """Fit the scene to frames in which the body stands.

    Each line's uncertainty is scaled to its own scatter, in a number of ``rounds`` of fits,
    the last ``settled`` as those of `fit_scene`; ``most`` frames at most are fitted.

    Returns
    -------
    fit : of the calm frames
    edges : of all frames, with the scaled uncertainties
    calm : indices of the frames fitted
    """
    own = np.stack([f.own for f in followed])
    u_px = np.stack([f.u_px for f in followed])
    edges = Edges(np.stack([f.points for f in followed]), np.where(np.isfinite(u_px), u_px, 1.0))
    calm = _spread(own, _calm(followed, scene.radius), most)
    own = own[calm]
    own[:, [LEAN, SLIP]] = 0.0
    for left in reversed(range(rounds)):
        enough = settled if left == 0 else max(settled, ROUND_SETTLED)
        fit = fit_scene(scene, own, edges.at(calm), freedom.at_rest(), 0, start_tilt_rad, enough)
        scene, own = fit.scene, fit.own
        scatter = _scatter(fit, redundancy(scene, own, edges.at(calm), freedom.at_rest()))
        edges = Edges(edges.points, edges.u_px * scatter)
    return fit, edges, calm


def _scatter(fit: SceneFit, share: Floats) -> Floats:
    """How far each line scatters, in units of its stated uncertainty, shape ``(L,)``.

    Residuals are set against what the fit leaves of them, ``r² / (1 − leverage)`` (as in
    the estimation of variance components; Förstner and Wrobel, Photogrammetric Computer
    Vision, 2016, section 4.2.4, from memory), by their median for the sake of outliers.
    """
    of_noise = np.square(fit.edge_residuals) / np.maximum(share, LEAST_REDUNDANCY)
    known = np.isfinite(of_noise)
    # 0.455 is the median of chi-squared with one degree of freedom.
    scatter = [
        np.sqrt(np.median(of_noise[:, k][known[:, k]]) / 0.455) if known[:, k].any() else np.inf
        for k in range(of_noise.shape[1])
    ]
    return np.clip(scatter, *SCATTER)


def _calm(followed: Sequence[Followed], radius: float) -> NDArray[np.bool_]:
    """Frames safely before the body leaned or slipped for good."""
    time_s = np.array([f.time_s for f in followed])
    own = np.stack([f.own for f in followed])
    lean = medfilt(own[:, LEAN] - np.median(own[:10, LEAN]), SMOOTHED)
    slip = medfilt((own[:, SLIP] - np.median(own[:10, SLIP])) / radius, SMOOTHED)
    stirred = (np.abs(lean) > CALM_LEAN_RAD) | (np.abs(slip) > CALM_SLIP)
    if not stirred.any():
        return stirred == 0
    seen = np.array([f.body_seen for f in followed])
    rested = np.flatnonzero(seen & ~stirred)
    last = int(rested[-1]) if len(rested) else 0
    went = seen & stirred & (np.arange(len(own)) > last)
    until_s = time_s[last] - (CALM_BEFORE_S if went.any() else 0.0)
    return (time_s <= max(until_s, time_s[min(5, len(time_s) - 1)])) & ~stirred


def _spread(own: Floats, calm: NDArray[np.bool_], most: int) -> NDArray[np.int64]:
    """So many calm frames at most, spread evenly over the tilt; the first is always in."""
    frames = np.flatnonzero(calm)
    tilt = own[frames, TILT]
    bins = np.linspace(tilt.min(), tilt.max() + 1e-9, most)
    _, first = np.unique(np.digitize(tilt, bins), return_index=True)
    return np.unique(np.append(frames[first], frames[0]))


def _rest_at(own: Floats, start_tilt_rad: float) -> Floats:
    """Tilt counted from the mean of the frames in which the board still rested."""
    stirred = np.flatnonzero(np.abs(own[:, TILT] - own[0, TILT]) > RESTING_RAD)
    resting = own[: stirred[0] if len(stirred) else len(own), TILT]
    moved = own.copy()
    moved[:, TILT] += start_tilt_rad - np.mean(resting)
    return moved
