"""Drafts of the scene: some of its lines, where they were measured, and a fit to them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.arrowhead import robust_chi_squared
from vision.candidates import Candidate
from vision.edges import Kind
from vision.first_look import KeptFrame
from vision.fit import (
    POSE_U,
    Edges,
    Freedom,
    SceneFit,
    edge_residuals,
    fit_scene,
    start_camera,
)
from vision.reading import Marks
from vision.scene import Scene
from vision.search import Search, SweptLine, in_equal_parts

Floats = NDArray[np.float64]

FARTHEST = 3.0
"""Standard uncertainties from where a camera is thought to be."""
WORST_PX, HELD_TIMES = 0.3, 2.0
WORST_OUTLINE_PX = 0.5
COARSE_U_PX = (3.0, 1.0)
"""The first fits trust edges little: a false one cannot lock them, and what a few edges'
looks do to them cannot bend the camera out of its usual place."""


@dataclass(frozen=True)
class Seen:
    """What the steps of the finding share."""

    search: Search
    side: int
    start_tilt_rad: float
    freedom: Freedom
    marks: Marks | None
    upright: tuple[Candidate, ...] = ()
    """Edges across the board's that were seen to turn with it."""

    @property
    def worst_px(self) -> float:
        """How far an edge may typically be from where it should be and still belong."""
        return WORST_PX if self.freedom.shift == 0 else HELD_TIMES * WORST_PX

    @property
    def worst_outline_px(self) -> float:
        """The same of an outline, where the scene is first fitted."""
        return WORST_OUTLINE_PX if self.freedom.shift == 0 else HELD_TIMES * WORST_OUTLINE_PX

    @property
    def frames(self) -> list[KeptFrame]:
        return self.search.frames

    def holding(self, upright: Iterable[Candidate]) -> Seen:
        """The same with other upright edges."""
        return replace(self, upright=tuple(upright))


@dataclass(frozen=True)
class Draft:
    """A scene and where its lines were measured, ``(N, L, 2, 2)`` in the first view."""

    fit: SceneFit
    points: Floats
    u_px: float
    """What the residuals of the fit are in units of."""

    def errors_px(self) -> Floats:
        """How far each line typically is from where it should be, shape ``(L,)``;
        infinite where it was not found in most frames."""
        apart = np.abs(self.fit.edge_residuals).swapaxes(0, 1).reshape(len(self.points[0]), -1)
        apart = np.where(np.isfinite(apart), apart, np.inf)
        return 1.4826 * np.median(apart, axis=1) * self.u_px

    def misfit_px(self) -> float:
        """How far the worse of the body's outlines typically is from where it should be."""
        outline = [line.is_outline for line in self.fit.scene.lines]
        return float(np.max(self.errors_px()[outline]))

    def cost(self, u_px: float) -> float:
        """Robust chi-squared of the residuals and of how the camera stands."""
        off = np.nan_to_num(self.fit.edge_residuals) * self.u_px / u_px
        return robust_chi_squared(off) + float(np.sum(np.square(pose(self.fit.scene))))

    def only(self, keep: list[int]) -> Draft:
        """The draft with some of its lines."""
        fit = replace(
            self.fit,
            scene=self.fit.scene.with_only(keep),
            edge_residuals=self.fit.edge_residuals[:, keep],
        )
        return replace(self, fit=fit, points=self.points[:, keep])

    def with_lines(self, swept: list[SweptLine], kinds: list[Kind]) -> Draft:
        """The draft with further lines placed but nothing fitted."""
        points = np.stack([line.points for line in swept], axis=1)
        scene = self.fit.scene.with_lines(kinds, self.fit.own, points)
        lines = tuple(line.scene_line(kind) for line, kind in zip(swept, kinds, strict=True))
        scene = replace(scene, lines=self.fit.scene.lines + lines)
        points = np.concatenate([self.points, points], axis=1)
        edges = Edges(points, np.full(points.shape[:2], self.u_px))
        residuals = edge_residuals(scene, self.fit.own, edges)
        return Draft(replace(self.fit, scene=scene, edge_residuals=residuals), points, self.u_px)


def fit_draft(seen: Seen, draft: Draft, *stages: float) -> Draft:
    """The draft fitted with its edges trusted more at each stage (pixels)."""
    fit = draft.fit
    for u_px in stages:
        edges = Edges(draft.points, np.full(draft.points.shape[:2], u_px))
        fit = fit_scene(
            fit.scene, fit.own, edges, seen.freedom, 0, seen.start_tilt_rad, settled=1e-3
        )
    return Draft(fit, draft.points, stages[-1])


def measured_again(seen: Seen, draft: Draft) -> Draft:
    """The draft's lines measured where the fit now has them."""
    scene = draft.fit.scene
    expected = in_equal_parts([line.contrast for line in scene.lines])
    points, contrast = seen.search.measured(scene.segments(draft.fit.own), _hoped(expected))
    contrast = np.where(contrast != 0, contrast, expected)
    lines = tuple(
        replace(line, contrast=tuple(steps))
        for line, steps in zip(scene.lines, contrast, strict=True)
    )
    return Draft(replace(draft.fit, scene=replace(scene, lines=lines)), points, draft.u_px)


def _hoped(contrast: Floats) -> Floats:
    """Contrasts ``(L, B)`` with parts in which none was seen asked to step as the nearest
    that was: a sweep with the camera a little off loses one end of an edge."""
    hoped = contrast.copy()
    for line, seen in zip(hoped, contrast != 0, strict=True):
        if seen.any():
            parts = np.flatnonzero(seen)
            nearest = np.abs(np.arange(len(line))[:, None] - parts).argmin(axis=1)
            line[:] = line[parts[nearest]]
    return hoped


def likely(scene: Scene) -> bool:
    """Whether a camera could well stand there: a false pair of outlines bends it out of
    where phones are held."""
    return bool(np.abs(pose(scene)).max() < FARTHEST)


def pose(scene: Scene) -> Floats:
    """How far from their usual values turn and focal length are, in their uncertainties."""
    usual = start_camera(scene.width, scene.height)
    known = slice(len(POSE_U))
    return (scene.shared[known] - usual[known]) / POSE_U
