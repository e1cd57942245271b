"""Fit the scene to measured edges, all frames at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import log, radians

import numpy as np
from numpy.typing import NDArray

from vision.arrowhead import BEND, RIDGE, Prior, Solution, normal_equations, solve, weight
from vision.edges import MID_BOARD, Kind
from vision.scene import BODY, CAMERA, LEAN, SHIFT_X, SHIFT_Y, SLIP, TILT, Scene
from vision.slopes import Slopes, distances

Floats = NDArray[np.float64]

FOCAL = 0.75
"""Of the longer side: 67° across it, in the middle of what phones have."""
FOCAL_U = 0.10
"""Relative: 60 to 75°."""
PITCH_RAD = radians(6.0)
TURN_U_RAD = np.radians([6.0, 8.0, 4.0])
"""Where the camera is thought to be before the picture speaks: square on, a little down,
give or take this much pitch, yaw and roll."""
POSE_U = np.array([*TURN_U_RAD, FOCAL_U])
"""Of turn and log focal length together, the first unknowns of a scene."""
BOARD_U = 0.04
"""How far board edges lie from the hinge's plane, in hinge depths."""
PLACE_U = 0.5
BODY_CENTRE, BODY_U = np.array([0.25, MID_BOARD, 0.05]), np.array([0.3, 0.15, 0.05])
"""Where on the board a body stands, and its radius, in hinge depths."""
START_U_RAD = 1e-4
"""Ties the first frame to the start tilt, whose own uncertainty is reckoned apart."""


@dataclass(frozen=True)
class Edges:
    """Measured edges: two points on each, in pixels of the first frame's view."""

    points: Floats
    """Shape ``(N, L, 2, 2)``: frame, line, which point, ``(x, y)``; NaN where not found."""
    u_px: Floats
    """Standard uncertainty of a point across its edge, shape ``(N, L)``."""

    @property
    def found(self) -> NDArray[np.bool_]:
        """Which lines were found in which frames, shape ``(N, L)``."""
        return np.asarray(np.isfinite(self.points).all(axis=(2, 3)))

    def at(self, frames: NDArray[np.int64]) -> Edges:
        """The edges of some of the frames."""
        return Edges(self.points[frames], self.u_px[frames])


@dataclass(frozen=True)
class Freedom:
    """How freely a frame's unknowns may vary (standard uncertainties); 0 fixes them."""

    lean_rad: float = 0.0
    slip: float = 0.0
    shift: float = 0.0
    near: Floats | None = None
    """Where the unknowns are thought to be, ``(N, 5)``; zero if not given."""

    def at_rest(self) -> Freedom:
        """The same with a body that neither leans nor slips."""
        return replace(self, lean_rad=0.0, slip=0.0)

    @cached_property
    def columns(self) -> list[int]:
        """The unknowns of a frame that are fitted."""
        return [TILT, *self._loose]

    def pulls(self, own: Floats) -> Floats:
        """How far all but the tilt are from where they are thought to be, in standard
        uncertainties, ``(N, K - 1)``."""
        if self.near is not None:
            own = own - self.near
        return own[:, self._loose] * self.by_own

    @cached_property
    def by_own(self) -> Floats:
        """How each of these pulls answers to its unknown, ``(K - 1,)``."""
        return 1 / np.array([self._widths[column] for column in self._loose])

    @cached_property
    def _loose(self) -> list[int]:
        return [column for column, width in self._widths.items() if width > 0]

    @property
    def _widths(self) -> dict[int, float]:
        return {LEAN: self.lean_rad, SLIP: self.slip, SHIFT_X: self.shift, SHIFT_Y: self.shift}


@dataclass(frozen=True)
class SceneFit:
    """A fitted scene and the motion in its frames."""

    scene: Scene
    own: Floats
    """Shape ``(N, 5)``; columns as in vision.scene."""
    solution: Solution
    edge_residuals: Floats
    """Distance of points from the fitted lines in their uncertainties, ``(N, L, 2)``."""


def start_camera(width: int, height: int) -> Floats:
    """The camera's unknowns before the picture speaks."""
    focal = FOCAL * max(width, height)
    return np.array([PITCH_RAD, 0.0, 0.0, log(focal), 0.0, 0.0])


def edge_residuals(scene: Scene, own: Floats, edges: Edges) -> Floats:
    """Signed distances in units of their uncertainty, shape ``(N, L, 2)``."""
    return distances(scene, own, edges.points) / edges.u_px[..., None]


@dataclass(frozen=True)
class _SceneProblem:
    """Edges and the pulls on each frame's unknowns, as residuals."""

    scene: Scene
    edges: Edges
    freedom: Freedom
    fixed: Floats
    """All unknowns of each frame, ``(N, 5)``; those fitted are written over."""
    start_tilt_rad: float | None = None
    """What ties the first frame; if not given, nothing does."""

    @cached_property
    def points(self) -> Floats:
        """As in Edges, but zero where nothing was found."""
        return np.nan_to_num(self.edges.points)

    @cached_property
    def per_u(self) -> Floats:
        """One over the uncertainty of each point, ``(N, L, 2)``; 0 where it was not found."""
        found = np.isfinite(self.edges.points).all(axis=-1)
        return np.where(found, 1 / self.edges.u_px[..., None], 0.0)

    def whole(self, own: Floats) -> Floats:
        full = self.fixed.copy()
        full[:, self.freedom.columns] = own
        return full

    def at(self, shared: Floats, own: Floats) -> _ScenePoint:
        return _ScenePoint(self, replace(self.scene, shared=shared), self.whole(own))

    def where(self, full: Floats) -> _ScenePoint:
        """The problem where all unknowns of each frame are these."""
        return _ScenePoint(self, self.scene, full)


class _ScenePoint:
    """The residuals and their derivatives at one point of the unknowns: those of both points
    of each line, then the pulls, then the tie of the first frame."""

    def __init__(self, problem: _SceneProblem, scene: Scene, full: Floats) -> None:
        self._problem, self._shape = problem, (len(full), 2 * len(scene.lines))
        self._slopes = Slopes(scene, full, problem.points)
        freedom, start, edges = problem.freedom, problem.start_tilt_rad, self._shape[1]
        pulls = edges + len(freedom.by_own)
        self.residuals = np.zeros((len(full), pulls + (start is not None)))
        """Shape ``(N, M)``; NaN of an outline from within the body, where it is not seen."""
        self.residuals[:, :edges] = (self._slopes.distances * problem.per_u).reshape(self._shape)
        self.residuals[:, edges:pulls] = freedom.pulls(full)
        if start is not None:
            self.residuals[0, -1] = (full[0, TILT] - start) / START_U_RAD

    def derivatives(self) -> Floats:
        of_edges = self._in_units(self._slopes.by_shared())
        by_own = self.by_own()
        out = np.zeros((*by_own.shape[:2], by_own.shape[2] + of_edges.shape[2]))
        out[..., : by_own.shape[2]] = by_own
        out[:, : self._shape[1], by_own.shape[2] :] = of_edges
        return out

    def by_own(self) -> Floats:
        """Shape ``(N, M, K)``."""
        freedom = self._problem.freedom
        out = np.zeros((*self.residuals.shape, len(freedom.columns)))
        of_edges, loose = self._shape[1], np.arange(len(freedom.by_own))
        out[:, :of_edges] = self._in_units(self._slopes.by_own()[..., freedom.columns])
        out[:, of_edges + loose, 1 + loose] = freedom.by_own
        if self._problem.start_tilt_rad is not None:
            out[0, -1, 0] = 1 / START_U_RAD
        return out

    def _in_units(self, slopes: Floats) -> Floats:
        """Per standard uncertainty of the edges, both points of all lines in one row each."""
        return (slopes * self._problem.per_u[..., None]).reshape(*self._shape, -1)


def fit_scene(
    scene: Scene,
    own: Floats,
    edges: Edges,
    freedom: Freedom,
    reference: int,
    start_tilt_rad: float,
    settled: float = 1e-6,
) -> SceneFit:
    """Fit camera, hinge, body, edges and the motion; the first frame is the start.

    ``reference`` is the along line that marks place 0 along the hinge.
    """
    problem = _SceneProblem(scene, edges, freedom, own, start_tilt_rad)
    prior = _prior(scene, scene.shared, reference)
    solution = solve(problem, scene.shared, own[:, freedom.columns], prior, settled=settled)
    fitted, whole = replace(scene, shared=solution.shared), problem.whole(solution.own)
    return SceneFit(fitted, whole, solution, edge_residuals(fitted, whole, edges))


def fit_motion(
    scene: Scene, own: Floats, edges: Edges, freedom: Freedom, steps: int = 4
) -> tuple[Floats, Floats]:
    """Each frame's unknowns, the scene being known.

    Returns
    -------
    own : shape ``(N, 5)``
    covariance : shape ``(N, 5, 5)``
        From the edges' uncertainties; zero where an unknown is fixed.
    """
    columns = freedom.columns
    problem = _SceneProblem(scene, edges, freedom, own)
    # Far from the truth every edge looks false: trust is narrowed as it is neared.
    for bend in BEND * 4.0 ** np.arange(steps)[::-1]:
        at = problem.where(own)
        normal, slope = normal_equations(at.by_own(), at.residuals, bend)
        normal += RIDGE * np.eye(len(columns))
        own = own.copy()
        own[:, columns] -= np.linalg.solve(normal, slope[..., None])[..., 0]
    covariance = np.zeros((len(own), 5, 5))
    covariance[np.ix_(range(len(own)), columns, columns)] = np.linalg.inv(normal)
    return own, covariance


def redundancy(scene: Scene, own: Floats, edges: Edges, freedom: Freedom) -> Floats:
    """What share of each residual its frame's own unknowns leave to it, ``(N, L, 2)``.

    One less the leverage: an edge that leads the fit takes its own errors along, and its
    residuals are that much smaller than they are.
    """
    problem = _SceneProblem(scene, edges, freedom, own)
    at = problem.where(own)
    by_own = at.by_own()
    normal, _ = normal_equations(by_own, at.residuals)
    inverse = np.linalg.inv(normal + RIDGE * np.eye(len(freedom.columns)))
    leverage = np.einsum("nmp,npq,nmq->nm", by_own, inverse, by_own) * weight(at.residuals)
    seen = 2 * len(scene.lines)
    return 1.0 - leverage[:, :seen].reshape(len(own), -1, 2)


def response(scene: Scene, own: Floats, edges: Edges, freedom: Freedom) -> Floats:
    """How each frame's fitted unknowns answer to the scene's, shape ``(N, 5, S)``."""
    columns = freedom.columns
    at, k = _SceneProblem(scene, edges, freedom, own).where(own), len(columns)
    normal, _ = normal_equations(at.derivatives(), at.residuals)
    out = np.zeros((len(own), 5, len(scene.shared)))
    out[:, columns] = -np.linalg.solve(normal[:, :k, :k] + RIDGE * np.eye(k), normal[:, :k, k:])
    return out


def _prior(scene: Scene, shared: Floats, reference: int) -> Prior:
    centres, widths = np.zeros_like(shared), np.full_like(shared, PLACE_U)
    centres[:CAMERA] = start_camera(scene.width, scene.height)
    widths[: len(POSE_U)], widths[len(POSE_U) : CAMERA] = POSE_U, 1.0
    kinds = {line.kind for line in scene.lines}
    body = slice(CAMERA, CAMERA + BODY)
    away = np.sign(scene.rotation[2, 2])
    centres[body], widths[body] = BODY_CENTRE * [1.0, away, 1.0], BODY_U
    if not {Kind.LEFT, Kind.RIGHT} <= kinds:
        # Without its outlines the body has no place of its own.
        centres[body], widths[body] = shared[body], 1e-5
    at = CAMERA + BODY
    for k, line in enumerate(scene.lines):
        if line.is_outline:
            continue
        if line.kind is Kind.ALONG:
            widths[at] = BOARD_U
            if k == reference:
                widths[at + 1] = 1e-6
        elif line.kind is Kind.ACROSS:
            widths[at + 1] = BOARD_U
        else:
            widths[at : at + 2] = 0.1
        at += 2
    return Prior(centres, widths)
