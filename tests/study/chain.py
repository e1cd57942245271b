"""From measured edges to a verdict: the reader's own fits, begun where it would begin."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from tests.study.edges import SeenEdges
from tests.study.trial import Course, Trial
from tests.vision.followed import ByGeometry, unseen_frames
from vision.candidates import turning_point
from vision.edges import Kind
from vision.fit import Edges, Freedom, fit_motion, fit_scene, start_camera
from vision.reading import level_start
from vision.refine import Motion, refine
from vision.scene import TILT, Scene, SceneLine
from vision.verdict import Verdict, judge

Floats = NDArray[np.float64]

FIRST_LOOK_RAD = radians(6.5)
STEP_RAD = radians(0.6)
BODY_GUESS = (0.2, 0.0, 0.04)
STAGES_PX = (3.0, 1.0, 0.3)
"""The first fits trust the edges little."""


def read(trial: Trial, course: Course, seen: SeenEdges) -> tuple[Motion, Verdict]:
    """Find the scene in the first look, follow it, refine it and judge.

    Raises
    ------
    UncertainError
        Where the reader gives no answer.
    """
    start = level_start()
    turn = _picture_turn(seen.points[:, 0])
    look = np.arange(int(np.argmax(turn > FIRST_LOOK_RAD)) or len(turn))
    own = np.zeros((len(turn), 5))
    own[:, TILT] = turn
    scene = _found(trial, seen, own)
    edges = Edges(seen.points[look], seen.stated_u_px[look])
    guesses, _ = fit_motion(scene, own[look], edges, Freedom())
    follower = ByGeometry(scene, seen.points, seen.stated_u_px, start.nominal_value)
    frames = unseen_frames(course.seen.time_s)
    follower.measure(frames[: len(look)], guesses)
    for frame in frames[len(look) :]:
        follower.follow(frame)
        follower.refit_if_due()
        if follower.body_gone:
            break
    follower.finish()
    motion = refine(follower.scene, follower.followed, start.nominal_value, 0.0)
    verdict = judge(motion, trial.drawn.body.radius_m, start, None, follower.body_gone)
    return motion, verdict


def _found(trial: Trial, seen: SeenEdges, own: Floats) -> Scene:
    """The scene as the first look tells it, from a camera where phones usually are: the
    board's near edge first, then the body, then the other edges."""
    look = _first_look(own[:, TILT], seen.points)
    points, fitted = seen.points[look], own[look]
    kinds = [line.kind for line in seen.scene.lines]
    outlines = [k for k, kind in enumerate(kinds) if kind in (Kind.LEFT, Kind.RIGHT)]
    others = [k for k in range(1, len(kinds)) if k not in outlines]
    scene = _bare(trial, points[:, 0])
    placed: list[int] = []
    for added in ([0], outlines, others):
        scene = scene.with_lines([kinds[k] for k in added], fitted, points[:, added])
        placed += added
        scene = replace(scene, lines=_extents(trial, seen.scene, placed))
        for u_px in STAGES_PX:
            edges = Edges(points[:, placed], np.full((len(look), len(placed)), u_px))
            fit = fit_scene(scene, fitted, edges, Freedom(), 0, 0.0, settled=1e-4)
            scene, fitted = fit.scene, fit.own
    return scene.with_only([placed.index(k) for k in range(len(kinds))])


def _bare(trial: Trial, near_edge: Floats) -> Scene:
    """The camera where phones usually are, the hinge where the near edge turns about."""
    view = trial.drawn.view
    camera = start_camera(view.width, view.height)
    hinge = turning_point(near_edge.reshape(-1, 4))
    camera[4:6] = (hinge - [(view.width - 1) / 2, (view.height - 1) / 2]) / np.exp(camera[3])
    shared = np.array([*camera, *BODY_GUESS])
    return Scene(view.width, view.height, trial.drawn.mirror, (), shared)


def _first_look(turn: Floats, points: Floats) -> NDArray[np.int64]:
    """The first frame and those some tenths of a degree apart in which all was seen."""
    whole = np.isfinite(points).all(axis=(1, 2, 3))
    chosen = [int(np.argmax(whole))]
    for k in range(len(turn)):
        if whole[k] and turn[k] - turn[chosen[-1]] > STEP_RAD:
            chosen.append(k)
        if turn[k] > FIRST_LOOK_RAD:
            break
    return np.array(chosen)


def _picture_turn(edge: Floats) -> Floats:
    """Turn of an edge in the picture since the first frame it is seen in, radians."""
    along = edge[:, 1] - edge[:, 0]
    known = np.flatnonzero(np.isfinite(along).all(axis=1))
    angle = np.unwrap(np.arctan2(along[known, 1], along[known, 0]))
    return np.interp(np.arange(len(edge)), known, np.abs(angle - angle[0]))


def _extents(trial: Trial, scene: Scene, placed: list[int]) -> tuple[SceneLine, ...]:
    """The seen parts of the edges; of the body's outlines not all the way up."""
    return tuple(
        replace(line, high=line.low + trial.seen_to * (line.high - line.low))
        if line.is_outline
        else line
        for line in (scene.lines[k] for k in placed)
    )
