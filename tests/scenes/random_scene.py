"""Scenes drawn at random from the ranges of the study."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians, tan

import numpy as np

from tests.scenes.camera import fitted
from tests.scenes.scene import (
    Board,
    Body,
    Colour,
    Lift,
    Look,
    Pattern,
    Scene,
    Side,
    View,
)


def random_scene(rng: np.random.Generator, *, longest_s: float = 12.0, width: int = 1280) -> Scene:
    """Draw a scene from the ranges of the study.

    Camera up to 15° off square, 15° down, 5° rolled, portrait and landscape; 0.4 to
    1.5 m away, and at most twice as far as all needs to be in the picture; radius 20 to
    60 mm; brink 8 to 45°; 1 to 10°/s, but so that a lift without pauses comes to the
    brink within ``longest_s`` seconds.
    """
    body = _random_body(rng)
    brink_deg = degrees(body.brink_rad)
    kind = rng.choice(["topples", "slides", "stays"], p=[0.7, 0.15, 0.15])
    ratio = rng.uniform(0.5, 0.85) if kind == "slides" else rng.uniform(1.2, 2.0)
    board = _random_board(rng, body, ratio * tan(body.brink_rad))
    lift = _random_lift(rng, brink_deg, longest_s, stays=kind == "stays")
    scene = Scene(
        body=body,
        board=board,
        lift=lift,
        view=_random_view(rng, width),
        look=_random_look(rng),
        lifted=Side.RIGHT if rng.random() < 0.6 else Side.LEFT,
        seed=int(rng.integers(1 << 31)),
        shows="random scene",
    )
    return _backed_off(fitted(scene), rng)


def _backed_off(scene: Scene, rng: np.random.Generator) -> Scene:
    """From the nearest place where all is in the picture to twice as far."""
    farther = scene.view.distance_m * 2 ** rng.uniform(0, 1)
    return replace(scene, view=replace(scene.view, distance_m=min(farther, 1.5)))


def _colour(rng: np.random.Generator, low: float, high: float) -> Colour:
    b, g, r = rng.uniform(low, high, 3)
    return float(b), float(g), float(r)


def _random_body(rng: np.random.Generator) -> Body:
    while True:
        radius_m = rng.uniform(0.020, 0.060)
        centre_m = radius_m / tan(radians(rng.uniform(8, 45)))
        height_m = centre_m / rng.uniform(0.38, 0.72)
        if 0.05 <= height_m <= 0.32:
            break
    return Body(
        radius_m=radius_m,
        height_m=height_m,
        centre_height_m=centre_m,
        mass_kg=rng.uniform(0.1, 0.8),
        lid=bool(rng.random() < 0.7),
        pattern=Pattern(rng.choice([p.value for p in Pattern])),
        colour=_colour(rng, 0.03, 0.6),
        second_colour=_colour(rng, 0.05, 0.8),
    )


def _random_board(rng: np.random.Generator, body: Body, friction: float) -> Board:
    length_m = rng.uniform(0.26, 0.36)
    width_m = max(rng.uniform(0.18, 0.24), 2.6 * body.radius_m)
    shade = rng.uniform(0.4, 1.5)
    return Board(
        length_m=length_m,
        width_m=width_m,
        thickness_m=rng.uniform(0.004, 0.010),
        mat_thickness_m=0.0 if rng.random() < 0.2 else rng.uniform(0.001, 0.003),
        mat_margin_m=rng.uniform(0.0, 0.012),
        friction=friction,
        body_at_m=rng.uniform(0.40, 0.52) * length_m,
        body_aside_m=rng.uniform(-0.15, 0.15) * (width_m - 2 * body.radius_m),
        colour=(0.05 * shade, 0.11 * shade, 0.20 * shade),
        mat_colour=_colour(rng, 0.01, 0.08) if rng.random() < 0.6 else _colour(rng, 0.3, 0.7),
    )


def _random_lift(
    rng: np.random.Generator, brink_deg: float, longest_s: float, *, stays: bool
) -> Lift:
    slowest = max(1.0, brink_deg / longest_s)
    most_deg = brink_deg * rng.uniform(0.5, 0.85) if stays else brink_deg + 14
    pauses: tuple[tuple[float, float], ...] = ()
    if rng.random() < 0.3:
        pauses = ((float(rng.uniform(0.3, 0.9) * brink_deg), float(rng.uniform(0.5, 3))),)
    return Lift(
        rate_deg_s=float(np.exp(rng.uniform(np.log(slowest), np.log(10)))),
        most_deg=most_deg,
        pauses=pauses,
        jerk=float(rng.choice([0.1, 0.3, 0.8])),
        lowered_again=stays,
        wait_s=rng.uniform(0.4, 1.0),
    )


def _random_view(rng: np.random.Generator, width: int) -> View:
    long_px, short_px = width, width * 9 // 16
    portrait = rng.random() < 0.25
    hand_held = rng.random() < 0.3
    return View(
        width=short_px if portrait else long_px,
        height=long_px if portrait else short_px,
        frames_per_second=float(rng.choice([30, 60], p=[0.8, 0.2])),
        focal_px=long_px / 2 / tan(radians(rng.uniform(60, 75)) / 2),
        distance_m=0.4,
        yaw_deg=rng.uniform(-15, 15),
        pitch_deg=rng.uniform(1, 15),
        roll_deg=rng.uniform(-5, 5),
        shake_deg=0.25 if hand_held else 0.0,
        shake_m=0.0015 if hand_held else 0.0,
    )


def _random_look(rng: np.random.Generator) -> Look:
    shade = rng.uniform(0.5, 1.3)
    b, g, r = _colour(rng, 0.3, 0.5)
    return Look(
        light=float(rng.choice([1.0, 0.4, 0.08], p=[0.6, 0.25, 0.15])),
        noise=rng.uniform(0.8, 4.0),
        blur_px=rng.uniform(0.3, 0.9),
        exposure_s=float(rng.choice([0.0, 1 / 60])),
        posters=bool(rng.random() < 0.6),
        clutter=bool(rng.random() < 0.5),
        wall_colour=(b * shade, g * shade, r * shade),
        table_colour=(0.10 * shade, 0.22 * shade, 0.40 * shade),
        grain=rng.uniform(0.05, 0.45),
        hand_aside_m=rng.uniform(-0.06, 0.05),
    )
