"""Keeping the part around the board alone."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from pathlib import Path
from shutil import copyfile

import cv2
import numpy as np
import pytest

import sample_media
from solver.errors import ClipFormatError
from tests.ui import stand_in
from tests.vision.odd_clips import write_clip
from ui.record import blanking
from ui.record.blanking import blanked, blanked_frame, board_alone
from ui.record.board_area import Area, board_area
from ui.record.errors import BoardNotFoundError
from ui.record.pictures import in_jpeg, picture_in
from ui.record.record import Record
from ui.record.rows import Clip, Lesson
from vision.clip import open_clip
from vision.measure import measure_clip
from vision.reading import ClipSetup

LEAF_TEA = Path(sample_media.__file__).parent / "leaf_tea_topples.mp4"
MIDDLE = Area(24, 16, 72, 48)
TIMES_S = np.cumsum(np.r_[0.0, np.random.default_rng(5).uniform(0.004, 0.09, 20)])


@pytest.fixture
def middle(monkeypatch: pytest.MonkeyPatch) -> None:
    """The board is found in the middle, whatever the clip."""
    monkeypatch.setattr(blanking, "board_area", lambda *_: MIDDLE)


def test_all_but_the_area_is_grey() -> None:
    picture = np.full((64, 96, 3), 200, np.uint8)
    blank = blanked(picture, MIDDLE)
    assert (blank[16:48, 24:72] == 200).all()
    blank[16:48, 24:72] = 128
    assert (blank == 128).all()


def test_a_frame_drawn_smaller_is_blanked_in_the_same_place() -> None:
    kept = in_jpeg(np.full((32, 48, 3), 200, np.uint8))
    picture = picture_in(blanked_frame(kept, MIDDLE, width=96)).astype(int)
    assert np.abs(picture[10:22, 14:34] - 200).max() < 8  # away from the edges of the coding
    outside = np.ones((32, 48), bool)
    outside[6:26, 10:38] = False
    assert np.abs(picture[outside] - 128).max() < 8


@pytest.mark.usefixtures("middle")
@pytest.mark.parametrize("turn", [0, 90])
def test_size_and_times_stay_and_the_surroundings_go(tmp_path: Path, turn: int) -> None:
    path = write_clip(tmp_path / "a.mp4", TIMES_S, clockwise_deg=turn)
    board_alone(path, tmp_path / "b.mp4", 0.0, 0.3)
    with open_clip(path) as old, open_clip(tmp_path / "b.mp4") as new:
        pairs = [(a.time_s, a.bgr.copy(), b.time_s, b.bgr.copy()) for a, b in zip(old, new)]  # noqa: B905
    assert len(pairs) == len(TIMES_S)
    for old_s, before, new_s, after in pairs:
        assert new_s == pytest.approx(old_s, abs=1e-5)
        assert after.shape == before.shape == (64, 96, 3)
        inside = np.s_[20:44, 28:68]
        assert np.abs(after[inside].astype(int) - before[inside]).mean() < 3
        blank = after[:, :20].astype(int)
        assert np.abs(blank - 128).max() < 8
        assert np.ptp(blank, axis=(0, 1)).max() <= 1  # nothing of what was there shows through


def test_an_odd_size_is_cut_to_an_even_one(tmp_path: Path, middle: None) -> None:
    path = tmp_path / "odd.avi"
    film = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 30, (97, 65))
    for _ in range(12):
        film.write(np.full((65, 97, 3), 90, np.uint8))
    film.release()
    board_alone(path, tmp_path / "b.mp4", 0.0, 0.3)
    with open_clip(tmp_path / "b.mp4") as clip:
        assert next(iter(clip)).bgr.shape == (64, 96, 3)


def test_the_area_holds_board_and_body_and_no_more_than_it_must() -> None:
    # In the sample the board lies from x 350 to 940 and the tin stands up to y 200, of
    # 1280 × 720; raised by 22° its far end comes up to y 330 or so. Read off its frames.
    area = board_area(LEAF_TEA, 0.0, radians(22))
    assert area.left < 350 and area.right > 940
    assert area.top < 200 and area.bottom > 615
    assert (area.right - area.left) * (area.bottom - area.top) < 0.7 * 1280 * 720


def test_without_a_board_nothing_is_written(tmp_path: Path, still_clip: Path) -> None:
    with pytest.raises(BoardNotFoundError, match=r"cannot be blanked.*was left as it is"):
        board_alone(still_clip, tmp_path / "b.mp4", 0.0, 0.3)
    assert not (tmp_path / "b.mp4").exists()


@pytest.fixture
def measured(record: Record, clip: Clip) -> Clip:
    reading = stand_in.toppling()
    facts = replace(reading.facts, width=96, height=64)
    record.save_reading(clip.id, replace(reading, facts=facts))
    return clip


@pytest.mark.usefixtures("middle")
def test_a_blanked_clip_takes_the_place_of_the_whole_one(
    record: Record, measured: Clip, lesson: Lesson, small_clip: Path
) -> None:
    whole = record.clip_path(measured)
    reading = record.reading_of(measured.id)
    cropped = record.keep_board_alone(measured.id)
    assert cropped.cropped
    assert not whole.exists()
    assert list(record.place.clips.iterdir()) == [record.clip_path(cropped)]
    assert record.reading_of(measured.id) == reading
    assert reading is not None
    for picture in record.pictures(reading.id):
        assert np.abs(picture_in(picture.png)[0].astype(int) - 128).max() < 8
    assert record.keep_board_alone(measured.id) == cropped
    again = record.add_clip(lesson.id, "a.mp4", small_clip)  # does not bring the rest back
    assert (again.known, again.clip) == (True, cropped)


def test_a_clip_that_was_not_measured_is_left(record: Record, clip: Clip) -> None:
    with pytest.raises(BoardNotFoundError, match="was not measured"):
        record.keep_board_alone(clip.id)
    record.save_reading(clip.id, stand_in.lost())
    with pytest.raises(BoardNotFoundError, match="was not measured"):
        record.keep_board_alone(clip.id)
    assert record.clip(clip.id) == clip


def test_blanking_that_fails_leaves_the_clip(record: Record, measured: Clip) -> None:
    def failing(*_: object) -> Area:
        raise ClipFormatError("The clip could not be written again.")

    with pytest.raises(ClipFormatError):
        record.keep_board_alone(measured.id, failing)
    assert record.clip(measured.id) == measured
    assert list(record.place.clips.iterdir()) == [record.clip_path(measured)]


def test_a_clip_deleted_meanwhile_stays_deleted(record: Record, measured: Clip) -> None:
    from ui.record.errors import NotInRecordError

    def deleting(path: Path, target: Path, *_: object) -> Area:
        copyfile(path, target)
        record.delete_clip_file(measured.id)
        return MIDDLE

    with pytest.raises(NotInRecordError, match="deleted meanwhile"):
        record.keep_board_alone(measured.id, deleting)
    assert list(record.place.clips.iterdir()) == []


@pytest.mark.study
def test_a_blanked_sample_is_measured_the_same(tmp_path: Path) -> None:
    board_alone(LEAF_TEA, tmp_path / "b.mp4", 0.0, radians(22))
    setup = ClipSetup(0.034)
    before = measure_clip(LEAF_TEA, setup).angle_rad
    after = measure_clip(tmp_path / "b.mp4", setup).angle_rad
    assert before is not None and after is not None
    assert abs(after.n - before.n) < 0.5 * before.s
    assert after.s == pytest.approx(before.s, rel=0.3)
