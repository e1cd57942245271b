"""Lines that stay put are found in a sweep; what slides past and noise are not."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from tests.vision.drawn_edges import half_plane
from tests.vision.geometry import drawn_scene, own_of, raised, scene_of
from vision.first_look import KeptFrame, WorkingFrame
from vision.steady import View
from vision.sweep import Family, FoundLine, Grid, found_lines, lasting_steps, smoothed

PLACES, LENGTHS = np.arange(0, 0.6, 0.002), np.arange(0, 0.4, 0.004)
GRID = Grid(PLACES, LENGTHS, np.linspace(-0.1, 0.1, 11))


def _noise(seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).normal(0, 1.0, (len(PLACES), len(LENGTHS)))


def _with_line(lasting, place, low, high, step, slant=0.0) -> np.ndarray:
    """A line through ``place`` at the middle of the lengths."""
    out = lasting.copy()
    for j in np.flatnonzero((low <= LENGTHS) & (high >= LENGTHS)):
        at = place + slant * (LENGTHS[j] - LENGTHS[[0, -1]].mean())
        out[round(at / 0.002), j] += step
    return out


def _found(lasting, most=5):
    return found_lines(lasting, GRID, most)


def test_lines_are_found_where_they_are_the_longest_first():
    lasting = _with_line(_noise(), 0.15, 0.05, 0.35, 9.0)
    lasting = _with_line(lasting, 0.40, 0.10, 0.25, -9.0)
    first, second = _found(lasting)[:2]
    assert first.middle == pytest.approx(0.15, abs=0.003)
    assert second.middle == pytest.approx(0.40, abs=0.003)
    assert (first.low[1], first.high[1]) == pytest.approx((0.05, 0.35), abs=0.02)
    assert (second.low[1], second.high[1]) == pytest.approx((0.10, 0.25), abs=0.02)
    assert first.strength > second.strength
    assert np.median(first.contrast) == pytest.approx(9, abs=1.5)
    assert np.median(second.contrast) == pytest.approx(-9, abs=1.5)


@pytest.mark.parametrize("slant", [-0.08, 0.04, 0.1])
def test_a_line_that_leans(slant):
    line = _found(_with_line(_noise(), 0.3, 0.0, 0.4, 9.0, slant))[0]
    leans = (line.high[0] - line.low[0]) / (line.high[1] - line.low[1])
    assert leans == pytest.approx(slant, abs=0.015)
    assert line.middle == pytest.approx(0.3, abs=0.004)


def test_a_line_whose_step_turns_round_on_the_way_is_one():
    lasting = _with_line(_noise(), 0.2, 0.0, 0.2, 9.0)
    lasting = _with_line(lasting, 0.2, 0.2, 0.4, -9.0)
    line = _found(lasting)[0]
    assert line.high[1] - line.low[1] > 0.36
    assert line.contrast[1] > 5 and line.contrast[-2] < -5


def test_one_line_is_found_once():
    lines = _found(_with_line(_noise(), 0.3, 0.0, 0.4, 9.0), most=6)
    assert sum(abs(line.middle - 0.3) < 0.006 for line in lines) == 1


def test_noise_alone_gives_nothing_long():
    for line in _found(_noise(3), most=5):
        assert line.high[1] - line.low[1] < 0.05


def test_what_was_not_seen_counts_against_a_line():
    lasting = _with_line(_noise(), 0.3, 0.0, 0.4, 9.0)
    whole = _found(lasting)[0].strength
    lasting[:, 50:] = np.nan
    half = _found(lasting)[0]
    assert half.high[1] < 0.22 and half.strength < 0.6 * whole


def test_no_more_than_asked_for():
    lasting = _noise()
    for place in (0.1, 0.2, 0.3, 0.4):
        lasting = _with_line(lasting, place, 0.0, 0.4, 9.0)
    assert len(_found(lasting, most=3)) == 3


def test_an_edge_of_the_turning_board_lasts_and_one_of_the_wall_does_not():
    """The board's near edge is drawn as it turns; a level edge behind it stays where it is."""
    drawn = drawn_scene(width=640, height=360, focal_px=500.0)
    scene, motion = scene_of(drawn), raised(radians(9), 7)
    own = own_of(drawn, motion)
    frames, pictures = [], []
    for k, (a, b, c) in enumerate(scene.image_lines(own)[:, 0]):
        middle, angle = np.array([-a * c, -b * c]), np.arctan2(-a, b)
        grey = 60 + 90 * half_plane((360, 640), middle, angle)
        grey += 60 * half_plane((360, 640), np.array([0.0, 120.0]), 0.0)
        grey = (grey + np.random.default_rng(k).normal(0, 1.5, grey.shape)).astype(np.uint8)
        view = View(np.eye(3), np.eye(3), 0.0, 1.0, 0.0)
        frames.append(KeptFrame(WorkingFrame(k, k / 30, grey), view, np.eye(3)[:2], motion[k, 0]))
        pictures.append(smoothed(grey))
    along = Family(lambda at: at.hinge, lambda at: at.n, lambda at: at.u)
    grid = Grid(
        np.arange(-0.15, 0.35, 1 / 500), np.arange(0.12, 0.4, 0.006), np.linspace(-0.05, 0.05, 5)
    )
    lasting = lasting_steps(scene, own, frames, pictures, along, grid)
    assert lasting.shape == (len(grid.places), len(grid.lengths))
    lines = found_lines(lasting, grid, 3)
    assert lines[0].middle == pytest.approx(0.0, abs=0.004)
    assert lines[0].high[1] - lines[0].low[1] > 0.25
    board = np.median(np.abs(lines[0].contrast))
    assert board > 10
    for line in lines[1:]:
        same = abs(line.middle) < 0.02
        assert same or np.median(np.abs(line.contrast)) < 0.05 * board


def test_a_part_of_a_line_has_its_own_ends_and_steps():
    line = FoundLine((0.1, 0.0), (0.3, 0.4), tuple(range(8)), 9.0)
    part = line.between(0.25, 0.75)
    assert (*part.low, *part.high) == pytest.approx((0.15, 0.1, 0.25, 0.3))
    assert part.contrast == (2, 3, 4, 5) and part.strength == line.strength


def test_a_short_part_of_few_steps_keeps_one():
    assert FoundLine((0.0, 0.0), (0.0, 1.0), (1.0, 2.0), 1.0).between(0.9, 1.0).contrast == (2.0,)
