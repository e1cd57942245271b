"""What several test modules look at, made once."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import pytest

from tests.scenes.scene import Board, Body, Lift
from tests.vision.courses import FLAT, simulated
from tests.vision.followed import Film, film_of
from tests.vision.geometry import drawn_scene
from vision.refine import Motion, refine

TIN = Body(height_m=0.2, centre_height_m=0.1)
"""Topples at 19.8°."""


def filmed(lift: Lift, board: Board = FLAT, **changes) -> Film:
    """A lift of the tin seen from 6° off square and 8° down."""
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
