"""One scene of the study, and the shortcomings its edges are measured with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log

import numpy as np

from tests.scenes.equation import by_equation
from tests.scenes.lift import TiltProgram, tilt_program
from tests.scenes.motion import Motion, Truth, truth_of
from tests.scenes.random_scene import random_scene
from tests.scenes.scene import Scene as Drawn
from vision.budget import LENS_SHARE
from vision.fit import FOCAL
from vision.follow import FALLEN_RAD

MOST_START_DEG = 0.2
"""A table is level, and a board lies on it, to this."""
NOISE_PX = (0.1, 0.6)
"""Samples of an edge scatter by this across it: as in clips, from clean to dim."""
MOST_ALIKE = 0.9
"""Correlation of an edge's errors in neighbouring frames: as found in drawn clips."""
KEPT_SHARES = (1.0, 0.7, 0.6, 0.4, 0.4, 1.0, 1.0)
"""How often an edge is found at all; the order is that of tests.study.edges."""
LOST_SHARES = (0.0, 0.0, 0.05, 0.05, 0.05, 0.05, 0.05)
FALSE_SHARES = (0.005, 0.005, 0.02, 0.02, 0.02, 0.01, 0.01)
"""Of each edge in single frames: the board's near edges stand out, the others do not."""
LEAST_SEEN = 0.9
"""Of a body's height its outlines are found at least to this."""
MOST_SLIP_M = 0.06
UNEVEN_M = 1e-4
"""Rims and boards are flat to about this (one standard deviation), and bodies rock on them."""
Law = Callable[[Drawn, TiltProgram], Motion]


@dataclass(frozen=True)
class Trial:
    """A scene with known truth, and how well its edges are seen."""

    drawn: Drawn
    lens: float
    """Radial distortion at the picture's corner, relative."""
    noise_px: float
    alike: float
    lost_shares: tuple[float, ...]
    false_shares: tuple[float, ...]
    kept: tuple[bool, ...]
    seen_to: float
    rocking_rad: float
    """Speed in hand as the body sets off; see tests.scenes.equation."""
    seed: tuple[int, int]

    @property
    def focal_error(self) -> float:
        """How far the focal length is from where the reader expects it, relative."""
        view = self.drawn.view
        return log(view.focal_px / (FOCAL * max(view.width, view.height)))


@dataclass(frozen=True)
class Course:
    """What happens in a trial, finely and at the frames until the body has gone."""

    program: TiltProgram
    truth: Truth
    seen: Motion
    """At the frames."""

    @property
    def motion(self) -> np.ndarray:
        """Rows of tilt, lean and slip, radians and metres, shape ``(N, 3)``."""
        return np.column_stack([self.seen.tilt_rad, self.seen.lean_rad, self.seen.slip_m])


def random_trial(seed: int, number: int, width: int = 1280) -> Trial:
    """The trial of that number, the same for the same seed; ``width`` is the longer side
    of its picture, pixels."""
    rng = np.random.default_rng([seed, number])
    drawn = random_scene(rng, width=width)
    start_deg = float(rng.uniform(-MOST_START_DEG, MOST_START_DEG))
    return Trial(
        drawn=replace(drawn, lift=replace(drawn.lift, start_deg=start_deg)),
        lens=float(rng.uniform(-LENS_SHARE, LENS_SHARE)),
        noise_px=float(np.exp(rng.uniform(*np.log(NOISE_PX)))),
        alike=float(rng.uniform(0, MOST_ALIKE)),
        lost_shares=LOST_SHARES,
        false_shares=FALSE_SHARES,
        kept=tuple(bool(rng.random() < share) for share in KEPT_SHARES),
        seen_to=float(rng.uniform(LEAST_SEEN, 1.0)),
        rocking_rad=abs(float(rng.normal(0, UNEVEN_M / (2 * drawn.body.radius_m)))),
        seed=(seed, number),
    )


def course_of(trial: Trial, law: Law | None = None) -> Course:
    """The motion frame by frame until the body has gone.

    By the tests' own equation, where Coulomb's law is exact: an engine's body creeps
    before it slides, its friction being softened.
    """
    drawn = trial.drawn
    program = tilt_program(drawn.lift, drawn.seed)
    whole = law(drawn, program) if law else by_equation(drawn, program, trial.rocking_rad)
    times = np.arange(0, whole.time_s[-1], 1 / drawn.view.frames_per_second)
    seen = whole.at(times)
    gone = np.flatnonzero((seen.lean_rad > FALLEN_RAD) | (seen.slip_m > MOST_SLIP_M))
    count = int(gone[0]) + 1 if len(gone) else len(times)
    return Course(program, truth_of(drawn, whole), seen.at(times[:count]))


def spotless(trial: Trial) -> Trial:
    """The same seen by a perfect camera: no noise, no lens, nothing lost or false; the
    board is level at the start and so thin that it turns about its standing surface."""
    drawn = trial.drawn
    board = replace(drawn.board, thickness_m=0.0, mat_thickness_m=0.0, mat_margin_m=0.0)
    lift = replace(drawn.lift, start_deg=0.0, jerk=0.1)
    view = replace(drawn.view, focal_px=FOCAL * max(drawn.view.width, drawn.view.height))
    return replace(
        trial,
        drawn=replace(drawn, board=board, lift=lift, view=view),
        lens=0.0,
        noise_px=1e-3,
        alike=0.0,
        lost_shares=(0.0,) * len(LOST_SHARES),
        false_shares=(0.0,) * len(FALSE_SHARES),
        kept=(True, False, *[True] * 5),
        seen_to=1.0,
        rocking_rad=0.0,
    )
