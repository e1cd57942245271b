"""The one door: drawn clips come out with their truth, bad ones with a reason or a name."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from math import degrees
from pathlib import Path
from threading import current_thread

import cv2
import numpy as np
import pytest

from solver.errors import (
    ClipFormatError,
    ClipLengthError,
    ClipMissingError,
    ClipSizeError,
    LengthError,
)
from tests.vision.odd_clips import write_clip, write_sound
from vision import measure
from vision.clip import LARGEST_BYTES, Frame, open_clip
from vision.finding import NotFoundError, NothingTurnedError
from vision.first_look import Shade
from vision.measure import measure_clip
from vision.reading import ClipReading, ClipSetup, Marks, Outcome

SETUP = ClipSetup(radius_m=0.036)
MEMORY_LIMIT_KB = 1_500_000


def _angle_error_deg(clip) -> float:
    return degrees(clip.reading.angle_rad.nominal_value - clip.truth.angle_rad)


def test_a_clip_that_topples(topples):
    reading = topples.reading
    assert reading.outcome is Outcome.TOPPLES
    assert abs(_angle_error_deg(topples)) < 0.35
    assert abs(_angle_error_deg(topples)) < 3 * degrees(reading.angle_rad.std_dev)
    assert reading.onset_s == pytest.approx(topples.truth.passes_s, abs=0.06)
    assert topples.trace[reading.onset_frame, 1] == pytest.approx(reading.onset_s, abs=0.018)


def test_a_clip_that_slides(slides):
    reading = slides.reading
    assert reading.outcome is Outcome.SLIDES
    assert abs(_angle_error_deg(slides)) < 1.5
    assert reading.onset_s == pytest.approx(slides.truth.passes_s, abs=0.2)


def test_a_clip_in_which_nothing_happens(stays):
    reading = stays.reading
    assert reading.outcome is Outcome.STAYS
    assert reading.angle_rad is reading.onset_s is reading.onset_frame is None
    assert degrees(reading.largest_tilt_rad.nominal_value) == pytest.approx(12.0, abs=0.3)


def test_the_series_follows_the_trace(topples):
    series, trace = topples.reading.series, topples.trace
    true = trace[series.frame]
    assert series.time_s == pytest.approx(true[:, 1], abs=1e-4)
    assert np.degrees(series.tilt_rad) == pytest.approx(true[:, 2], abs=0.35)
    seen = np.isfinite(series.lean_rad) & (true[:, 3] < 8)
    off = np.degrees(series.lean_rad) - true[:, 3]
    assert np.sqrt(np.mean(off[seen] ** 2)) < 0.4


def test_what_the_file_says_of_itself(topples, stays):
    facts = topples.reading.facts
    assert (facts.width, facts.height) == (640, 360)
    assert facts.frames_per_second == pytest.approx(30, rel=0.01)
    assert stays.reading.facts.frames_read == len(stays.trace)
    assert stays.reading.facts.duration_s == pytest.approx(stays.trace[-1, 1], abs=1e-3)


def test_each_reading_has_its_reasons_and_its_pictures(topples, slides, stays):
    for clip in (topples, slides, stays):
        reading = clip.reading
        assert reading.reasons and all(reason.endswith(".") for reason in reading.reasons)
        assert not reading.by_hand and reading.seconds_taken > 0
        assert len(reading.pictures) == 3 and reading.pictures[0].moment == "start"
    moments = [picture.moment for picture in topples.reading.pictures]
    assert moments == ["start", "brink", "after"]
    brink = topples.reading.pictures[1]
    assert brink.time_s == pytest.approx(topples.reading.onset_s, abs=0.03)


def test_progress_moves_forward_to_the_end(topples, stays):
    for clip in (topples, stays):
        assert len(clip.progress) > 5
        assert np.all(np.diff(clip.progress) >= 0)
        assert clip.progress[0] > 0 and clip.progress[-1] == 1.0


def test_nothing_is_left_beside_the_clip(topples):
    names = {path.name for path in topples.path.parent.iterdir()}
    assert names == {"clip.mp4", "clip.truth.json", "clip.trace.csv"}


@pytest.mark.parametrize("radius_m", [0.0, -0.036, 1.001, 36.5, float("nan"), float("inf")])
def test_a_radius_that_cannot_be(radius_m, tmp_path):
    """Said before the clip is opened, in the millimetres of the pages."""
    with pytest.raises(LengthError, match=r"mm; it must be more than 0 and at most 1000 mm\."):
        measure_clip(tmp_path / "not there.mp4", ClipSetup(radius_m=radius_m))


def test_a_radius_that_is_missing():
    with pytest.raises(TypeError, match="radius_m"):
        ClipSetup()  # type: ignore[call-arg]


@pytest.mark.parametrize("frames", [1, 9])
def test_a_single_frame_and_too_few(frames, tmp_path):
    path = write_clip(tmp_path / "still.mp4", np.arange(frames) / 30)
    with pytest.raises(ClipLengthError, match=f"has {frames} frame.*Film until the body has gone"):
        measure_clip(path, SETUP)


def _bad_files(folder: Path) -> dict[str, tuple[Path, type[Exception]]]:
    (folder / "notes.mp4").write_text("no video " * 100)
    (folder / "empty.mp4").touch()
    cut = write_clip(folder / "cut.mp4", np.arange(20) / 30)
    cut.write_bytes(cut.read_bytes()[: cut.stat().st_size // 2])
    with (folder / "huge.mp4").open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)
    long = write_clip(folder / "long.mp4", np.arange(12) * 60.0)
    return {
        "not a video": (folder / "notes.mp4", ClipFormatError),
        "zero bytes": (folder / "empty.mp4", ClipFormatError),
        "sound only": (write_sound(folder / "sound.m4a"), ClipFormatError),
        "cut off": (cut, ClipFormatError),
        "over the size limit": (folder / "huge.mp4", ClipSizeError),
        "over ten minutes": (long, ClipLengthError),
        "vanished": (folder / "gone.mp4", ClipMissingError),
    }


def test_bad_files_are_named_and_nothing_is_left(tmp_path):
    bad = _bad_files(tmp_path)
    before = sorted(tmp_path.iterdir())
    for why, (path, error) in bad.items():
        with pytest.raises(error) as caught:
            measure_clip(path, SETUP)
        assert path.name in str(caught.value), why
    assert sorted(tmp_path.iterdir()) == before


def _pictures(path: Path) -> tuple[list[float], list[np.ndarray]]:
    with open_clip(path) as clip:
        frames = list(clip)
    return [frame.time_s for frame in frames], [frame.bgr for frame in frames]


def _unreadable(path: Path) -> ClipReading:
    reading = measure_clip(path, SETUP)
    assert reading.outcome is Outcome.UNREADABLE, reading.outcome
    assert reading.angle_rad is reading.onset_s is reading.largest_tilt_rad is None
    assert reading.series is None and reading.pictures == ()
    assert reading.reasons and all(reason.endswith(".") for reason in reading.reasons)
    assert reading.facts.frames_read > 10
    return reading


def test_no_board_in_sight(tmp_path):
    """A wall, and nothing that moves."""
    rng = np.random.default_rng(2)
    wall = cv2.GaussianBlur(rng.normal(120, 60, (240, 320, 3)).astype(np.float32), (0, 0), 2)
    noise = rng.normal(0, 2, (30, 240, 320, 3))
    pictures = np.clip(wall + noise, 0, 255).astype(np.uint8)
    reading = _unreadable(write_clip(tmp_path / "wall.mp4", np.arange(30) / 15, pictures))
    assert "Film the board" in reading.reasons[0]
    assert reading.facts.frames_read == 30


def test_a_black_picture(tmp_path):
    pictures = np.zeros((30, 240, 320, 3), np.uint8)
    _unreadable(write_clip(tmp_path / "black.mp4", np.arange(30) / 15, pictures))


def test_something_else_that_moves(tmp_path):
    """A patterned square passes in front of the wall: no board turns."""
    rng = np.random.default_rng(3)
    wall = cv2.GaussianBlur(rng.normal(120, 60, (240, 320, 3)).astype(np.float32), (0, 0), 2)
    patch = rng.integers(0, 255, (60, 60, 3), dtype=np.uint8)
    pictures = []
    for k in range(30):
        picture = np.clip(wall, 0, 255).astype(np.uint8)
        picture[90:150, 20 + 6 * k : 80 + 6 * k] = patch
        pictures.append(picture)
    _unreadable(write_clip(tmp_path / "passing.mp4", np.arange(30) / 15, pictures))


def _body_window(clip) -> tuple[float, float, float, float]:
    """Left, right, top and bottom of the body in the first frame, pixels."""
    motion = clip.passed["motion"]
    outlines = [k for k, line in enumerate(motion.scene.lines) if line.is_outline]
    ends = motion.scene.segments(motion.own[:1])[0, outlines]
    x, y = ends[:, [0, 2]], ends[:, [1, 3]]
    return x.min(), x.max(), y.min(), y.max()


def test_a_body_out_of_the_picture(stays, tmp_path):
    """The same clip, cropped beside the body: the board's lifted end alone."""
    times, pictures = _pictures(stays.path)
    _, right, _, _ = _body_window(stays)
    left = 2 * int((right + 12) // 2)
    cropped = [np.ascontiguousarray(picture[:, left:]) for picture in pictures]
    reading = _unreadable(write_clip(tmp_path / "beside.mp4", times, cropped))
    assert any(word in reading.reasons[0] for word in ("body", "board"))


def test_no_body_on_the_board(stays, tmp_path):
    """The same clip with the wall's colour over all above the board."""
    times, pictures = _pictures(stays.path)
    left, right, top, bottom = (int(v) for v in _body_window(stays))
    bare = []
    for picture in pictures:
        painted = picture.copy()
        wall = np.median(picture[max(top - 30, 0) : bottom, right + 40 : right + 80], axis=(0, 1))
        painted[max(top - 30, 0) : bottom + 6, left - 60 : right + 20] = wall
        bare.append(painted)
    reading = _unreadable(write_clip(tmp_path / "bare.mp4", times, bare))
    assert "body" in reading.reasons[0]


def test_marks_and_a_moved_brink_are_recorded_as_a_hand_in_it(tmp_path):
    black = np.zeros((20, 120, 160, 3), np.uint8)
    path = write_clip(tmp_path / "black.mp4", np.arange(20) / 15, black)
    assert not measure_clip(path, SETUP).by_hand
    assert measure_clip(path, replace(SETUP, onset_s=0.5)).by_hand


@pytest.mark.study
def test_a_4k_clip_is_a_stream_and_not_a_list(topples, tmp_path):
    """Measured in a process of its own, the drawn clip blown up to 3840 × 2160.

    What is kept must not grow with the clip: below 1.5 GB in all.
    """
    times, pictures = _pictures(topples.path)
    wide = (cv2.resize(p, (3840, 2160), interpolation=cv2.INTER_CUBIC) for p in pictures)
    path = write_clip(tmp_path / "4k.mp4", times, wide)
    code = (
        "import resource, sys\n"
        "from pathlib import Path\n"
        "from vision.measure import measure_clip\n"
        "from vision.reading import ClipSetup\n"
        "measure_clip(Path(sys.argv[1]), ClipSetup(radius_m=0.036))\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert int(done.stdout.split()[-1]) < MEMORY_LIMIT_KB


SAMPLE = Path(__file__).parents[2] / "sample_media" / "leaf_tea_topples.mp4"
SAMPLE_SETUP = ClipSetup(radius_m=0.034)
SAMPLE_BRINK_DEG = 22.036
"""Its truth file's static brink."""
MARKS = Marks(
    board_edge=((364, 586), (890, 594)),
    body_left=((608, 525), (604, 240)),
    body_right=((708, 525), (705, 240)),
)
"""Drawn with an unsteady hand: some pixels beside the true edges."""


def test_marks_drawn_by_hand_lead_to_the_same_brink():
    reading = measure_clip(SAMPLE, replace(SAMPLE_SETUP, marks=MARKS))
    assert (reading.outcome, reading.by_hand) == (Outcome.TOPPLES, True)
    assert degrees(reading.angle_rad.nominal_value) == pytest.approx(SAMPLE_BRINK_DEG, abs=0.5)


def test_marks_where_nothing_is_are_refused_with_a_reason():
    adrift = replace(MARKS, board_edge=((20, 60), (200, 62)))
    reading = measure_clip(SAMPLE, replace(SAMPLE_SETUP, marks=adrift))
    assert (reading.outcome, reading.by_hand) == (Outcome.UNREADABLE, True)
    assert "board edge" in reading.reasons[0]


def test_a_brink_moved_by_hand_is_taken_at_its_time():
    own = measure_clip(SAMPLE, SAMPLE_SETUP)
    moved = measure_clip(SAMPLE, replace(SAMPLE_SETUP, onset_s=6.0))
    assert (moved.outcome, moved.onset_s, moved.by_hand) == (Outcome.TOPPLES, 6.0, True)
    tilt = np.interp(6.0, own.series.time_s, own.series.tilt_rad)
    assert moved.angle_rad.nominal_value == pytest.approx(tilt, abs=0.002)


def test_two_moments_that_share_a_frame_are_drawn_one_after_the_other(monkeypatch):
    """The decoder's conversion of one frame in two threads at once ends the process."""
    threads, bgr = [], Frame.bgr.fget

    def noted(frame: Frame) -> np.ndarray:
        threads.append(current_thread())
        return bgr(frame)

    monkeypatch.setattr(Frame, "bgr", property(noted))
    early = measure_clip(SAMPLE, replace(SAMPLE_SETUP, onset_s=0.1))
    assert [picture.moment for picture in early.pictures] == ["start", "brink", "after"]
    assert threads == [current_thread()] * 3


def test_a_brink_moved_out_of_the_clip_is_refused_with_its_times():
    reading = measure_clip(SAMPLE, replace(SAMPLE_SETUP, onset_s=99.0))
    assert reading.outcome is Outcome.UNREADABLE
    assert "99.00 s" in reading.reasons[0]


@pytest.mark.parametrize(
    ("missing", "tries"),
    [(NotFoundError("No body was seen."), len(Shade)), (NothingTurnedError("Nothing turned."), 1)],
)
def test_what_is_not_seen_in_grey_is_looked_for_in_colours(monkeypatch, tmp_path, missing, tries):
    """But not where nothing was raised; the reason is that of the first look."""
    rng, tried = np.random.default_rng(5), []
    blocks = rng.integers(0, 255, (6, 8, 3), np.uint8)
    pictures = [cv2.resize(blocks, (320, 240), interpolation=cv2.INTER_NEAREST)] * 12
    clip = tmp_path / "still.mp4"
    write_clip(clip, [k / 30 for k in range(12)], pictures)

    def find(look, *rest):
        tried.append(look.kept[0].frame.grey.copy())
        raise missing

    monkeypatch.setattr(measure, "find_scene", find)
    reading = measure_clip(clip, ClipSetup(0.03))
    assert reading.outcome is Outcome.UNREADABLE and reading.reasons == (str(missing),)
    assert len(tried) == tries and reading.facts.frames_read == 12
    assert all(np.any(a != b) for a, b in pairwise(tried))
