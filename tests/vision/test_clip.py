"""Clips as phones make them are read upright and on time; the rest is named."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from solver.errors import (
    ClipError,
    ClipFormatError,
    ClipLengthError,
    ClipMissingError,
    ClipSizeError,
)
from tests.vision.odd_clips import GREYS, quarters_of, sign, write_clip, write_sound
from vision import clip as clip_module
from vision.clip import LARGEST_BYTES, first_frame, open_clip

EVEN = np.arange(12) / 30
CODING_GREYS = 6
"""How far lossy coding and the video range move a flat grey."""


def _read(path: Path) -> list:
    with open_clip(path) as clip:
        return list(clip)


def _complaint(path: Path, error: type[ClipError]) -> str:
    """The sentence a bad file gets; it names the file and says what to do."""
    with pytest.raises(error) as caught:
        _read(path)
    text = str(caught.value)
    assert type(caught.value) is error
    assert path.name in text and text.endswith(".") and str(path.parent) not in text
    return text


@pytest.mark.parametrize(
    ("name", "codec"),
    [
        ("clip.mp4", "libx264"),
        ("clip.mov", "libx264"),
        ("clip.mp4", "libx265"),
        ("clip.mov", "libx265"),
        ("clip.webm", "libvpx"),
        ("clip.webm", "libvpx-vp9"),
    ],
)
def test_every_kind_a_phone_makes(name: str, codec: str, tmp_path: Path) -> None:
    frames = _read(write_clip(tmp_path / name, EVEN, codec=codec))
    assert [frame.index for frame in frames] == list(range(12))
    # WebM counts whole milliseconds.
    assert [frame.time_s for frame in frames] == pytest.approx(EVEN, abs=6e-4)
    for frame in frames:
        assert quarters_of(frame.bgr) == pytest.approx(GREYS, abs=CODING_GREYS)


@pytest.mark.parametrize("layout", ["yuv420p", "yuvj420p", "yuv444p", "yuv420p10le"])
def test_the_lightness_is_that_of_the_colours_however_they_are_stored(
    layout: str, tmp_path: Path
) -> None:
    """In the video range, in all of a byte, with whole colours, and in ten bits."""
    for frame in _read(write_clip(tmp_path / "clip.mp4", EVEN, pix_fmt=layout)):
        assert quarters_of(frame.light[..., None]) == pytest.approx(GREYS, abs=CODING_GREYS)
        assert quarters_of(frame.bgr) == pytest.approx(GREYS, abs=CODING_GREYS)


def test_a_large_frame_is_halved_and_stays_upright(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", EVEN, clockwise_deg=90)
    frame = _read(path)[0]
    smaller = frame.within(60)
    assert frame.size == (64, 96) and smaller.size == (32, 48) == smaller.light.shape
    assert quarters_of(smaller.bgr) == pytest.approx(GREYS, abs=CODING_GREYS)
    assert frame.within(96) is frame


@pytest.mark.parametrize("clockwise_deg", [0, 90, 180, 270])
@pytest.mark.parametrize("name", ["clip.mp4", "clip.mov"])
def test_a_rotation_flag_is_obeyed(name: str, clockwise_deg: int, tmp_path: Path) -> None:
    path = write_clip(tmp_path / name, EVEN, clockwise_deg=clockwise_deg)
    picture = first_frame(path)
    assert picture.shape == (64, 96, 3)
    assert quarters_of(picture) == pytest.approx(GREYS, abs=CODING_GREYS)


@pytest.mark.parametrize("rate", [24.0, 29.97, 60.0, 120.0, 240.0])
def test_frame_rates_from_24_to_240(rate: float, tmp_path: Path) -> None:
    times = np.arange(30) / rate
    frames = _read(write_clip(tmp_path / "clip.mp4", times))
    assert [frame.time_s for frame in frames] == pytest.approx(times, abs=2e-5)


@pytest.mark.parametrize("name", ["clip.mp4", "clip.mov", "clip.webm"])
def test_uneven_frames_keep_their_own_times(name: str, tmp_path: Path) -> None:
    gaps = np.random.default_rng(3).uniform(0.008, 0.25, 25)
    times = np.concatenate([[0.0], np.cumsum(gaps)])
    codec = "libvpx" if name.endswith("webm") else "libx264"
    frames = _read(write_clip(tmp_path / name, times, codec=codec))
    assert [frame.time_s for frame in frames] == pytest.approx(times, abs=6e-4)


def test_frames_stored_out_of_order_are_shown_in_order(tmp_path: Path) -> None:
    """With B frames the file holds pictures in another order than they are seen in."""
    levels = np.linspace(30, 220, 12)
    pictures = [np.full((64, 96, 3), level, np.uint8) for level in levels]
    options = {"bf": "3", "b-adapt": "0", "preset": "medium"}
    path = write_clip(tmp_path / "clip.mp4", EVEN, pictures, options=options)
    frames = _read(path)
    assert [f.bgr.mean() for f in frames] == pytest.approx(levels, abs=CODING_GREYS)
    steps = np.diff([f.time_s for f in frames])
    assert steps == pytest.approx(1 / 30, abs=2e-5)


def test_the_first_frame_is_the_first(tmp_path: Path) -> None:
    pictures = [sign() if k == 0 else np.zeros((64, 96, 3), np.uint8) for k in range(12)]
    path = write_clip(tmp_path / "clip.mp4", EVEN, pictures)
    assert quarters_of(first_frame(path)) == pytest.approx(GREYS, abs=CODING_GREYS)


def test_a_name_with_spaces_and_accents(tmp_path: Path) -> None:
    assert len(_read(write_clip(tmp_path / "tisch 4 – Dosé.mp4", EVEN))) == 12


def test_a_file_that_is_no_video(tmp_path: Path) -> None:
    path = tmp_path / "notes.mp4"
    path.write_text("The tin toppled at twenty degrees.\n" * 50)
    assert "not a video" in _complaint(path, ClipFormatError)


def test_zero_bytes(tmp_path: Path) -> None:
    path = tmp_path / "empty.mp4"
    path.touch()
    assert "0 bytes" in _complaint(path, ClipFormatError)


def test_sound_only(tmp_path: Path) -> None:
    assert "sound only" in _complaint(write_sound(tmp_path / "sound.m4a"), ClipFormatError)


def test_a_folder(tmp_path: Path) -> None:
    folder = tmp_path / "clips.mp4"
    folder.mkdir()
    assert "folder" in _complaint(folder, ClipFormatError)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert "not there" in _complaint(tmp_path / "gone.mp4", ClipMissingError)


def test_an_mp4_cut_off_in_the_middle_has_lost_its_index(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "cut.mp4", EVEN)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert "damaged" in _complaint(path, ClipFormatError)


def test_a_clip_cut_off_with_its_index_in_front_gives_the_frames_it_has(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (60, 64, 96, 3), dtype=np.uint8)
    times = np.arange(60) / 30
    path = write_clip(tmp_path / "cut.mp4", times, noise, index_first=True)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    frames = _read(path)
    assert 15 < len(frames) < 45
    assert [f.time_s for f in frames] == pytest.approx(times[: len(frames)], abs=1e-3)


def test_over_ten_minutes(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "long.mp4", np.arange(12) * 60.0)
    text = _complaint(path, ClipLengthError)
    assert "10 minutes" in text and "Cut it" in text


def test_just_under_ten_minutes_is_read(tmp_path: Path) -> None:
    assert len(_read(write_clip(tmp_path / "long.mp4", np.arange(11) * 59.9))) == 11


def test_over_the_size_limit(tmp_path: Path) -> None:
    path = tmp_path / "huge.mp4"
    with path.open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)  # a sparse file: nothing is written
    assert "limit is 2 GB" in _complaint(path, ClipSizeError)


def test_each_error_is_of_its_own_kind() -> None:
    kinds = [ClipMissingError, ClipFormatError, ClipLengthError, ClipSizeError]
    for kind in kinds:
        assert issubclass(kind, ClipError)
        assert not any(issubclass(kind, other) for other in kinds if other is not kind)


def test_the_file_is_let_go_however_the_reading_ends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_clip(tmp_path / "clip.mp4", EVEN)
    containers = []
    opened = clip_module.av.open

    def remembered(*args):
        containers.append(opened(*args))
        return containers[-1]

    monkeypatch.setattr(clip_module.av, "open", remembered)
    with pytest.raises(ZeroDivisionError), open_clip(path) as clip:
        next(iter(clip))
        raise ZeroDivisionError
    assert len(containers) == 1
    with pytest.raises(AssertionError, match="not open"):
        next(containers[0].demux())
    assert [entry.name for entry in tmp_path.iterdir()] == ["clip.mp4"]
