"""What the reader would measure of a scene's edges, made by geometry: no picture is drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.scenes.camera import camera_of, tilted
from tests.scenes.scene import Scene as Drawn
from tests.scenes.scene import View
from tests.study.trial import Course, Trial
from tests.vision.geometry import scene_of, seen_edges
from vision.lines import RUN, EdgeLines
from vision.scene import BODY, CAMERA, Scene

Floats = NDArray[np.float64]

SPACING_PX, MOST_SAMPLES = 2.0, 160
BENT_AT = np.linspace(-0.5, 0.5, 33)
"""Places along an edge at which a lens bends it."""


@dataclass(frozen=True)
class SeenEdges:
    """Edges measured in every frame; N frames, L edges."""

    scene: Scene
    """In the reader's terms, as it truly is."""
    points: Floats
    """Shape ``(N, L, 2, 2)``, NaN where lost."""
    stated_u_px: Floats
    """As the reader is told, shape ``(N, L)``."""
    put_in_u_px: Floats
    """Standard deviation of the noise that was put in, shape ``(N, L)``; NaN where the
    edge was lost or false."""


def seen(trial: Trial, course: Course) -> SeenEdges:
    """The trial's edges with lens, noise, losses and false edges."""
    rng = np.random.default_rng([*trial.seed, 1])
    kept = np.flatnonzero(trial.kept)
    scene = true_scene(trial.drawn).with_only(kept.tolist())
    ends = _ends(trial.drawn, course.motion)[:, kept]
    segments = ends.reshape(-1, 4)
    length = np.hypot(*(segments[:, 2:] - segments[:, :2]).T)
    samples = np.clip((length / SPACING_PX).astype(int), 6, MOST_SAMPLES)
    reach = length / np.sqrt(12)
    offset, slope = _bent(ends.reshape(-1, 2, 2), trial.drawn.view, trial.lens)
    noise_px = trial.noise_px * np.sqrt(RUN / samples)
    noise = _alike_noise(ends.shape[:2], trial.alike, rng) * noise_px[:, None]
    chance = rng.random((2, *ends.shape[:2]))
    false = (chance[0] < np.array(trial.false_shares)[kept]).ravel()
    lost = (chance[1] < np.array(trial.lost_shares)[kept]).ravel()
    offset = offset + noise[:, 0] + np.where(false, _astray(trial.drawn.view, len(false), rng), 0.0)
    offset[lost] = np.nan
    lines = EdgeLines(
        offset_px=offset,
        slope=slope + noise[:, 1] / reach,
        middle_px=np.zeros(len(segments)),
        spread_px=np.full(len(segments), trial.noise_px),
        reach_px=reach,
        samples=samples.astype(np.float64),
        share=np.ones(len(segments)),
        contrast=np.empty((len(segments), 0)),
    )
    points, stated = lines.points(segments)
    put_in = np.where(false | np.isnan(offset), np.nan, np.sqrt(2) * noise_px)
    return SeenEdges(
        scene,
        points.reshape(*ends.shape),
        stated.reshape(ends.shape[:2]),
        put_in.reshape(ends.shape[:2]),
    )


def true_scene(drawn: Drawn) -> Scene:
    """The drawn scene in the reader's terms, with the underside of the board's near edge
    second: near top, near underside, far, hinge, lifted end, outlines."""
    scene = scene_of(drawn)
    top = CAMERA + BODY + 2
    return replace(
        scene,
        lines=(scene.lines[0], *scene.lines),
        shared=np.concatenate([scene.shared[:top], [0.0, 0.0], scene.shared[top:]]),
    )


def _ends(drawn: Drawn, motion: Floats) -> Floats:
    """Ends of the edges in every frame, in that order, shape ``(N, 7, 2, 2)``."""
    return np.insert(seen_edges(drawn, motion), 1, underside(drawn, motion[:, 0]), axis=1)


def underside(drawn: Drawn, tilts_rad: Floats) -> Floats:
    """Ends in pixels of the board's lower near edge, hinge first, shape ``(N, 2, 2)``."""
    camera, board = camera_of(drawn), drawn.board
    near = np.array([[0.0, -board.width_m / 2, 0.0], [board.length_m, -board.width_m / 2, 0.0]])
    return np.stack([camera.project(tilted(near, tilt)) for tilt in tilts_rad])


def lens_shift(points: Floats, view: View) -> Floats:
    """How far a lens of unit distortion at the corner moves points, pixels (Brown's
    model, first term)."""
    middle = np.array([(view.width - 1) / 2, (view.height - 1) / 2])
    away = points - middle
    return away * np.sum(away**2, axis=-1, keepdims=True) / (middle @ middle)


def _bent(ends: Floats, view: View, lens: float) -> tuple[Floats, Floats]:
    """Offset and slope beside its chord of the straight line through a bent edge."""
    along = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(along, axis=1)
    along = along / length[:, None]
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    s = BENT_AT * length[:, None]
    points = ends.mean(axis=1)[:, None] + s[..., None] * along[:, None]
    across = lens * np.sum(lens_shift(points, view) * normal[:, None], axis=-1)
    return across.mean(axis=1), np.sum(across * s, axis=1) / np.sum(s * s, axis=1)


def _alike_noise(shape: tuple[int, int], alike: float, rng: np.random.Generator) -> Floats:
    """Noise of unit variance of each edge's offset and slope, shape ``(N L, 2)``, that
    neighbouring frames share (autoregression of first order)."""
    fresh = rng.standard_normal((*shape, 2))
    for k in range(1, len(fresh)):
        fresh[k] = alike * fresh[k - 1] + np.sqrt(1 - alike**2) * fresh[k]
    return fresh.reshape(-1, 2)


def _astray(view: View, count: int, rng: np.random.Generator) -> Floats:
    """A false edge lies anywhere within the reach of the search."""
    reach_px = max(4, round(max(view.width, view.height) / 240))
    return rng.uniform(-reach_px, reach_px, count)
