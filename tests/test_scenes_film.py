"""The written files: clip, truth and trace say the same."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from math import atan, degrees
from pathlib import Path

import av
import cv2
import numpy as np
import pytest

from tests.scenes.chosen import chosen_scenes
from tests.scenes.equation import by_equation
from tests.scenes.film import Encoding, frames, render_clip
from tests.scenes.lift import tilt_program
from tests.scenes.motion import truth_of
from tests.scenes.scene import Board, Lift, Look, Scene, View

SMALL = View(320, 180, frames_per_second=10.0, focal_px=260.0, uneven_s=0.004)
SCENES = {
    "topples": Scene(view=SMALL, lift=Lift(rate_deg_s=10)),
    "slides": Scene(view=SMALL, lift=Lift(rate_deg_s=10), board=Board(friction=0.3)),
    "stays": Scene(view=SMALL, lift=Lift(rate_deg_s=10, most_deg=12, lowered_again=True)),
}


def _times(path: Path) -> list[float]:
    with av.open(str(path)) as container:
        return [frame.time for frame in container.decode(video=0)]


def _trace(path: Path) -> list[dict[str, str]]:
    with path.with_suffix(".trace.csv").open(newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("outcome", SCENES)
def test_clip_truth_and_trace_agree(outcome: str, tmp_path: Path) -> None:
    scene, path = SCENES[outcome], tmp_path / "clip.mp4"
    render_clip(scene, path)
    truth = json.loads(path.with_suffix(".truth.json").read_text())
    trace = _trace(path)
    assert truth["clip"] == path.name and truth["outcome"] == outcome
    assert truth["radius_mm"] == pytest.approx(36)
    assert [float(row["time_s"]) for row in trace] == pytest.approx(_times(path), abs=1e-4)
    tilt = np.array([float(row["board_tilt_deg"]) for row in trace])
    if outcome == "topples":
        assert truth["angle_deg"] == pytest.approx(degrees(atan(36 / 90)))
        assert truth["centre_height_mm"] == pytest.approx(90)
        passes = truth["seconds_when_board_passes_angle"]
        seen = np.interp(passes, [float(row["time_s"]) for row in trace], tilt)
        assert seen == pytest.approx(truth["angle_deg"], abs=0.1)
        assert truth["board_deg_when_body_leans_0_3_deg"] > truth["angle_deg"]
    elif outcome == "slides":
        assert truth["angle_deg"] == pytest.approx(degrees(atan(0.3)))
        assert truth["board_deg_when_slipped_2_mm"] > truth["angle_deg"]
    else:
        assert truth["largest_tilt_deg"] == pytest.approx(tilt.max(), abs=0.01)


def test_a_rotated_clip_is_stored_on_its_side_and_shown_upright(tmp_path: Path) -> None:
    view = View(180, 320, frames_per_second=10.0, focal_px=260.0, distance_m=1.2)
    scene = replace(SCENES["stays"], view=view, look=Look(noise=0.0))
    path = tmp_path / "clip.mp4"
    render_clip(scene, path, Encoding(rotated=True))
    with av.open(str(path)) as container:
        stored = container.streams.video[0]
        assert (stored.width, stored.height) == (320, 180)
    capture = cv2.VideoCapture(str(path))
    capture.set(cv2.CAP_PROP_ORIENTATION_AUTO, 1)
    read, shown = capture.read()
    drawn = next(frames(scene, by_equation(scene, tilt_program(scene.lift, 1)), np.zeros(1)))
    assert read and shown.shape == drawn.shape
    assert np.abs(shown.astype(float) - drawn).mean() < 6


def test_a_shaken_phone_moves_the_whole_picture() -> None:
    scene = replace(SCENES["stays"], view=replace(SMALL, shake_deg=0.5), look=Look(noise=0.0))
    motion = by_equation(scene, tilt_program(scene.lift, 1))
    one, two = frames(scene, motion, np.array([0.0, 0.3]))
    shift, _ = cv2.phaseCorrelate(one[:60, :, 0].astype(float), two[:60, :, 0].astype(float))
    assert np.hypot(shift[0], shift[1]) > 0.5


def test_the_same_scene_is_drawn_the_same() -> None:
    scene = SCENES["topples"]
    motion = by_equation(scene, tilt_program(scene.lift, scene.seed))
    one, two = (next(frames(scene, motion, np.array([2.0]))) for _ in range(2))
    assert np.array_equal(one, two)


@pytest.mark.parametrize("name, outcome", [("slides", "slides"), ("stays", "stays")])
def test_chosen_scenes_do_what_their_names_say(name: str, outcome: str) -> None:
    scene, _ = chosen_scenes()[name]
    assert (
        truth_of(scene, by_equation(scene, tilt_program(scene.lift, scene.seed))).outcome == outcome
    )
