"""What several test modules look at, made once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.scenes.camera import fitted
from tests.scenes.film import render_clip
from tests.scenes.motion import Truth
from tests.scenes.scene import Board, Body, Lift, Look, Scene, Side, View
from tests.vision.courses import FLAT, simulated
from tests.vision.followed import Film, film_of
from tests.vision.geometry import drawn_scene
from vision import measure
from vision.reading import ClipReading, ClipSetup
from vision.refine import Motion, refine

TIN = Body(height_m=0.2, centre_height_m=0.1)
"""Topples at 19.8°."""
SMALL = View(640, 360, focal_px=500.0, yaw_deg=5, pitch_deg=7)


def filmed(lift: Lift, board: Board = FLAT, **changes: float) -> Film:
    """A lift of the tin seen from 6° off square and 8° down, by geometry alone."""
    scene = drawn_scene(board=board, yaw_deg=6, pitch_deg=8)
    scene = replace(scene, body=TIN, lift=lift, seed=4)
    return film_of(scene, simulated(scene), **changes)


def refined(film: Film) -> Motion:
    """The scene and motion fitted to what was followed."""
    return refine(film.scene, film.followed, radians(film.drawn.lift.start_deg), 0.0)


@pytest.fixture(scope="session")
def toppling_film() -> Film:
    return filmed(Lift(rate_deg_s=6, jerk=0.2))


@pytest.fixture(scope="session")
def sliding_film() -> Film:
    return filmed(Lift(rate_deg_s=6, jerk=0.1), replace(FLAT, friction=0.25))


@pytest.fixture(scope="session")
def staying_film() -> Film:
    return filmed(Lift(rate_deg_s=6, jerk=0.1, most_deg=14, lowered_again=True))


@pytest.fixture(scope="session")
def toppling_motion(toppling_film: Film) -> Motion:
    return refined(toppling_film)


@pytest.fixture(scope="session")
def sliding_motion(sliding_film: Film) -> Motion:
    return refined(sliding_film)


@pytest.fixture(scope="session")
def staying_motion(staying_film: Film) -> Motion:
    return refined(staying_film)


@dataclass(frozen=True)
class Measured:
    """A drawn clip, its truth, its reading, and what passed between the rooms."""

    path: Path
    scene: Scene
    truth: Truth
    trace: np.ndarray
    """Rows of frame, time, tilt and lean in degrees, slip in millimetres."""
    reading: ClipReading
    progress: list[float]
    passed: dict[str, Any]
    """``look``, ``finding``, ``follower`` and ``motion``, where it came to them."""


def _measured(scene: Scene, path: Path) -> Measured:
    """Draw and measure a clip, and note what the rooms hand to one another."""
    scene = fitted(scene)
    truth = render_clip(scene, path)
    passed: dict[str, Any] = {}
    progress: list[float] = []

    def noted(name: str, made: Any) -> Any:
        def call(*args: Any, **kwargs: Any) -> Any:
            passed[name] = made(*args, **kwargs)
            return passed[name]

        return call

    rooms = {"look": "look_first", "finding": "find_scene", "follower": "Follower"}
    with pytest.MonkeyPatch.context() as patch:
        for name, function in {**rooms, "motion": "refine"}.items():
            patch.setattr(measure, function, noted(name, getattr(measure, function)))
        setup = ClipSetup(radius_m=scene.body.radius_m)
        reading = measure.measure_clip(path, setup, progress.append)
    trace = np.loadtxt(path.with_suffix(".trace.csv"), delimiter=",", skiprows=1)
    return Measured(path, scene, truth, trace, reading, progress, passed)


@pytest.fixture(scope="session")
def topples(tmp_path_factory: pytest.TempPathFactory) -> Measured:
    """Topples at 19.8°, lifted on the right."""
    scene = Scene(
        body=TIN, view=SMALL, look=Look(noise=1.5),
        lift=Lift(rate_deg_s=8, jerk=0.1, most_deg=33, wait_s=0.4),
    )  # fmt: skip
    return _measured(scene, tmp_path_factory.mktemp("topples") / "clip.mp4")


@pytest.fixture(scope="session")
def slides(tmp_path_factory: pytest.TempPathFactory) -> Measured:
    """Slides at 14.0°, lifted on the left."""
    scene = Scene(
        body=TIN, view=SMALL, look=Look(noise=1.5, clutter=False), lifted=Side.LEFT,
        lift=Lift(rate_deg_s=8, jerk=0.1, most_deg=26, wait_s=0.4), board=Board(friction=0.25),
    )  # fmt: skip
    return _measured(scene, tmp_path_factory.mktemp("slides") / "clip.mp4")


@pytest.fixture(scope="session")
def stays(tmp_path_factory: pytest.TempPathFactory) -> Measured:
    """Raised to 12°: nothing happens."""
    scene = Scene(
        body=TIN, view=replace(SMALL, frames_per_second=24.0), look=Look(noise=1.5),
        lift=Lift(rate_deg_s=8, jerk=0.1, most_deg=12, wait_s=0.4),
    )  # fmt: skip
    return _measured(scene, tmp_path_factory.mktemp("stays") / "clip.mp4")
