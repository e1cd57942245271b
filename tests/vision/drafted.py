"""Drafts beside a scene whose truth is known, from geometry alone."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np

from tests.vision.followed import kept_frames
from tests.vision.geometry import Floats, drawn_scene, own_of, raised, scene_of, seen_edges
from vision.draft import Draft, Seen
from vision.fit import Edges, Freedom, edge_residuals, fit_scene
from vision.search import Search

DRAWN = drawn_scene(yaw_deg=6, pitch_deg=9)
MOTION = raised(radians(20), 12)
NOISE_PX, U_PX = 0.1, 0.5
SEEN = Seen(Search(kept_frames(MOTION[:, 0])), DRAWN.mirror, 0.0, Freedom(), None)


def clean_points() -> Floats:
    """The edges of `KINDS` in every frame, shape ``(N, 6, 2, 2)``: as `EdgeLines` has them,
    a root mean square reach either side of their middles."""
    ends = seen_edges(DRAWN, MOTION)
    middle = ends.mean(axis=2, keepdims=True)
    return middle + (ends - middle) / np.sqrt(3)


def noisy_points() -> Floats:
    """The same with noise."""
    points = clean_points()
    return points + np.random.default_rng(7).normal(0, NOISE_PX, points.shape)


def draft_of(points: Floats) -> Draft:
    """The true scene beside the points."""
    scene, own = scene_of(DRAWN), own_of(DRAWN, MOTION)
    edges = Edges(points, np.full(points.shape[:2], U_PX))
    fit = fit_scene(scene, own, edges, Freedom(), 0, 0.0)
    fit = replace(fit, scene=scene, own=own, edge_residuals=edge_residuals(scene, own, edges))
    return Draft(fit, points, U_PX)
