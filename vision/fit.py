"""Fit the scene to measured edges, all frames at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, log, radians

import numpy as np
from numpy.typing import NDArray

from vision.arrowhead import BEND, Prior, Solution, solve, weight_root
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

    def columns(self) -> list[int]:
        """The unknowns of a frame that are fitted."""
        loose = {TILT: inf, **dict(zip(_LOOSE, self._widths(), strict=True))}
        return [column for column, width in loose.items() if width > 0]

    def pulls(self, own: Floats) -> Floats:
        """Departures in standard uncertainties, shape ``(N, 4)``; NaN where fixed."""
        if self.near is not None:
            own = own - self.near
        widths = np.array(self._widths())
        return own[:, _LOOSE] / np.where(widths > 0, widths, np.nan)

    def by_own(self) -> Floats:
        """How the pulls answer to a frame's unknowns, ``(4, 5)``; zero where fixed."""
        widths = np.array(self._widths())
        out = np.zeros((len(widths), 5))
        loose = widths > 0
        out[np.flatnonzero(loose), np.array(_LOOSE)[loose]] = 1 / widths[loose]
        return out

    def _widths(self) -> list[float]:
        return [self.lean_rad, self.slip, self.shift, self.shift]


_LOOSE = [LEAN, SLIP, SHIFT_X, SHIFT_Y]


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
    start_tilt_rad: float

    def whole(self, own: Floats) -> Floats:
        full = self.fixed.copy()
        full[:, self.freedom.columns()] = own
        return full

    def at(self, shared: Floats, own: Floats) -> _ScenePoint:
        scene = replace(self.scene, shared=shared)
        return _ScenePoint(replace(self, scene=scene), self.whole(own))

    def weighted(self, full: Floats, bend: float = BEND) -> tuple[Floats, Floats]:
        """Residuals ``(N, M)`` and their derivatives ``(N, M, K)`` by the fitted unknowns of
        each frame, both with the weights of a Cauchy loss; 0 where nothing was measured."""
        at = _ScenePoint(self, full)
        r = at.of_frames
        root = weight_root(r, bend)
        return np.nan_to_num(r) * root, np.nan_to_num(at.by_own()) * root[..., None]


class _ScenePoint:
    """The residuals and their derivatives at one point of the unknowns."""

    def __init__(self, problem: _SceneProblem, full: Floats) -> None:
        self._problem, self._full = problem, full
        self._slopes = Slopes(problem.scene, full, problem.edges.points)
        seen = self._slopes.distances / problem.edges.u_px[..., None]
        pulls = problem.freedom.pulls(full)
        self.of_frames = np.hstack([seen.reshape(len(full), -1), pulls])
        """Of edges and pulls, ``(N, M)``."""

    @property
    def residuals(self) -> Floats:
        start = np.full((len(self._full), 1), np.nan)
        start[0] = (self._full[0, TILT] - self._problem.start_tilt_rad) / START_U_RAD
        return np.hstack([self.of_frames, start])

    def derivatives(self) -> tuple[Floats, Floats]:
        columns = self._problem.freedom.columns()
        by_own, of_edges = self.by_own(), self._in_units(self._slopes.by_shared())
        by_own = np.pad(by_own, ((0, 0), (0, 1), (0, 0)))
        by_own[0, -1, columns.index(TILT)] = 1 / START_U_RAD
        by_shared = np.zeros((*by_own.shape[:2], of_edges.shape[-1]))
        by_shared[:, : of_edges.shape[1]] = of_edges
        return by_own, by_shared

    def by_own(self) -> Floats:
        """Derivatives of the residuals of edges and pulls, ``(N, M, K)``."""
        freedom = self._problem.freedom
        columns = freedom.columns()
        of_edges = self._in_units(self._slopes.by_own()[..., columns])
        pulls = freedom.by_own()[:, columns]
        pulls = np.broadcast_to(pulls, (len(of_edges), *pulls.shape))
        return np.concatenate([of_edges, pulls], axis=1)

    def _in_units(self, slopes: Floats) -> Floats:
        """Per standard uncertainty of the edges, both points of all lines in one row each."""
        of_edges = slopes / self._problem.edges.u_px[..., None, None]
        return of_edges.reshape(len(of_edges), -1, of_edges.shape[-1])


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
    solution = solve(problem, scene.shared, own[:, freedom.columns()], prior, settled=settled)
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
    columns = freedom.columns()
    problem = _SceneProblem(scene, edges, freedom, own, 0.0)
    # Far from the truth every edge looks false: trust is narrowed as it is neared.
    for bend in BEND * 4.0 ** np.arange(steps)[::-1]:
        r, slope = problem.weighted(own, bend)
        normal = np.swapaxes(slope, 1, 2) @ slope + 1e-9 * np.eye(len(columns))
        step = np.linalg.solve(normal, np.swapaxes(slope, 1, 2) @ r[..., None])[..., 0]
        own = own.copy()
        own[:, columns] -= step
    covariance = np.zeros((len(own), 5, 5))
    covariance[np.ix_(range(len(own)), columns, columns)] = np.linalg.inv(normal)
    return own, covariance


def redundancy(scene: Scene, own: Floats, edges: Edges, freedom: Freedom) -> Floats:
    """What share of each residual its frame's own unknowns leave to it, ``(N, L, 2)``.

    One less the leverage: an edge that leads the fit takes its own errors along, and its
    residuals are that much smaller than they are.
    """
    problem = _SceneProblem(scene, edges, freedom, own, 0.0)
    columns = freedom.columns()
    _, slope = problem.weighted(own)
    normal = np.swapaxes(slope, 1, 2) @ slope + 1e-9 * np.eye(len(columns))
    leverage = np.einsum("nmp,npq,nmq->nm", slope, np.linalg.inv(normal), slope)
    seen = 2 * len(scene.lines)
    return 1.0 - leverage[:, :seen].reshape(len(own), -1, 2)


def response(
    scene: Scene, own: Floats, edges: Edges, freedom: Freedom, start_tilt_rad: float
) -> Floats:
    """How each frame's fitted unknowns answer to the scene's, shape ``(N, 5, S)``."""
    columns = freedom.columns()
    problem = _SceneProblem(scene, edges, freedom, own, start_tilt_rad)
    # The pull of the start is left out: it belongs to the first frame of a fit alone.
    at = _ScenePoint(problem, own)
    root = weight_root(at.of_frames)[..., None]
    by_own, by_shared = (np.nan_to_num(d[:, :-1]) * root for d in at.derivatives())
    normal = np.swapaxes(by_own, 1, 2) @ by_own + 1e-9 * np.eye(len(columns))
    out = np.zeros((len(own), 5, len(scene.shared)))
    out[:, columns] = -np.linalg.solve(normal, np.swapaxes(by_own, 1, 2) @ by_shared)
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
