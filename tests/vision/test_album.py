"""Which frames are kept to be drawn in."""

from __future__ import annotations

import itertools
from math import radians

import pytest

from vision.album import LATEST_HZ, LATEST_S, Album
from vision.clip import Frame


def _filled(times_s: list[float], tilts_deg: list[float]) -> Album:
    album = Album()
    for index, (time_s, tilt_deg) in enumerate(zip(times_s, tilts_deg, strict=True)):
        album.see(Frame(index, time_s, decoded=None))  # nothing is drawn
        album.tilted(radians(tilt_deg))
    return album


def test_the_first_the_highest_and_the_latest_are_kept():
    times_s = [k / 30 for k in range(400)]
    tilts = [min(k, 200, 400 - k) / 10 for k in range(400)]
    album = _filled(times_s, tilts)
    assert album.first.index == 0
    assert album.highest.time_s == pytest.approx(200 / 30, abs=0.1)
    assert len(album.latest) == LATEST_S * LATEST_HZ
    assert album.nearest(times_s[-1] + 1).index == 399
    assert album.nearest(times_s[-30] + 0.01).index == 370


def test_of_many_frames_a_second_some_are_left_out():
    album = _filled([k / 240 for k in range(480)], [0.0] * 480)
    kept = [frame.time_s for frame in album.latest]
    assert len(kept) == pytest.approx(2 * LATEST_HZ, rel=0.1)
    assert min(b - a for a, b in itertools.pairwise(kept)) > 0.9 / LATEST_HZ


def test_a_board_that_rests_has_its_first_frame_as_its_highest():
    assert _filled([0.0, 0.1, 0.2], [0.0, 0.1, 0.0]).highest.index == 0
