"""What is kept of a clip: its picture, its times and its rotation, and nothing else."""

from __future__ import annotations

import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

import sample_media
from solver.errors import ClipFormatError
from tests.vision.odd_clips import write_clip, write_sound
from ui.record.remux import picture_alone
from vision.clip import Frame, open_clip

UNEVEN_S = np.cumsum(np.r_[0.0, np.random.default_rng(5).uniform(0.004, 0.09, 30)])
SAMPLES = sorted(
    path for path in Path(sample_media.__file__).parent.iterdir() if path.suffix in (".mp4", ".mov")
)
PLACE = "+51.4778-0.0015/"
"""The Greenwich meridian, as ISO 6709 writes a place; in the files of phones."""


def _frames(path: Path, most: int = 10_000) -> list[Frame]:
    with open_clip(path) as clip:
        return [frame for frame, _ in zip(clip, range(most))]  # noqa: B905


def _assert_same(before: Path, after: Path, most: int = 10_000) -> None:
    old, new = _frames(before, most), _frames(after, most)
    assert len(old) == len(new) > 0
    assert [frame.index for frame in old] == [frame.index for frame in new]
    assert [frame.time_s for frame in old] == [frame.time_s for frame in new]
    for one, other in zip(old, new, strict=True):
        np.testing.assert_array_equal(one.bgr, other.bgr)


def _kept(path: Path) -> Path:
    target = path.with_name(f"kept{path.suffix}")
    picture_alone(path, target, path.name)
    return target


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize(("suffix", "codec"), [("mp4", "libx264"), ("mov", "libx265")])
def test_rotation_and_uneven_times_stay(tmp_path: Path, suffix: str, codec: str, turn: int) -> None:
    path = write_clip(tmp_path / f"a.{suffix}", UNEVEN_S, codec=codec, clockwise_deg=turn)
    _assert_same(path, _kept(path))


@pytest.mark.parametrize(
    ("suffix", "codec"), [("mkv", "libx264"), ("webm", "libvpx-vp9"), ("m4v", "libx264")]
)
def test_every_container_keeps_its_times(tmp_path: Path, suffix: str, codec: str) -> None:
    path = write_clip(tmp_path / f"a.{suffix}", UNEVEN_S, codec=codec)
    _assert_same(path, _kept(path))


def test_reordered_frames_stay_in_order(tmp_path: Path) -> None:
    options = {"preset": "medium", "bf": "3", "g": "15"}
    path = write_clip(tmp_path / "a.mp4", UNEVEN_S, options=options)
    with av.open(str(path)) as container:
        packets = [p for p in container.demux(video=0) if p.pts is not None]
    assert [p.pts for p in packets] != sorted(p.pts or 0 for p in packets)
    _assert_same(path, _kept(path))


def test_a_late_first_frame_stays_late(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "a.mp4", UNEVEN_S + 1.5)
    _assert_same(path, _kept(path))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_are_the_same_clips(path: Path, tmp_path: Path) -> None:
    kept = tmp_path / path.name
    picture_alone(path, kept, path.name)
    _assert_same(path, kept, most=60)


def test_a_cut_off_clip_is_kept_as_far_as_it_goes(tmp_path: Path) -> None:
    noise = np.random.default_rng(3).integers(0, 255, (len(UNEVEN_S), 64, 96, 3), np.uint8)
    whole = write_clip(tmp_path / "whole.mp4", UNEVEN_S, noise, index_first=True)
    path, content = tmp_path / "a.mp4", whole.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    assert 0 < len(_frames(path)) < len(_frames(whole))
    _assert_same(path, _kept(path))


def _phone_clip(path: Path) -> Path:
    """A picture turned by 90°, sound, a place, a maker, and a track of text."""
    silent = write_clip(path.with_name("silent.mp4"), UNEVEN_S, clockwise_deg=90)
    options = {"movflags": "use_metadata_tags"}
    with av.open(str(silent)) as given, av.open(str(path), "w", options=options) as phone:
        phone.metadata.update(
            {"location": PLACE, "com.apple.quicktime.location.ISO6709": PLACE, "make": "A maker"}
        )
        given_stream = given.streams.video[0]
        picture = phone.add_stream_from_template(given_stream)
        sound: Any = phone.add_stream("aac", rate=44_100)
        for packet in given.demux(given_stream):
            if packet.pts is not None:
                packet.stream = picture
                phone.mux(packet)
        for k in range(40):
            frame = av.AudioFrame(format="fltp", layout="mono", samples=1024)
            frame.planes[0].update(bytes(4096))
            frame.sample_rate, frame.pts = 44_100, 1024 * k
            frame.time_base = Fraction(1, 44_100)
            phone.mux(sound.encode(frame))
        phone.mux(sound.encode(None))
    return path


def test_sound_place_and_maker_are_gone(tmp_path: Path) -> None:
    path = _phone_clip(tmp_path / "phone.mov")
    with av.open(str(path)) as container:
        assert len(container.streams) == 2
        assert PLACE in container.metadata.values()
    assert PLACE.encode() in path.read_bytes()
    kept = _kept(path)
    _assert_same(path, kept)
    with av.open(str(kept)) as container:
        assert [stream.type for stream in container.streams] == ["video"]
        said = {**container.metadata, **container.streams[0].metadata}
    assert PLACE not in said.values()
    assert "A maker" not in said.values()
    content = kept.read_bytes()
    for trace in (PLACE.encode(), b"A maker", b"mp4a", b"ISO6709"):
        assert trace not in content


def test_the_container_tool_of_another_project_finds_nothing_else(tmp_path: Path) -> None:
    """ffprobe, where it is installed, reads the kept file from outside."""
    kept = _kept(_phone_clip(tmp_path / "phone.mov"))
    command = [
        "ffprobe",
        "-v",
        "error",
        "-show_entries",
        "format_tags:stream=codec_type",
        str(kept),
    ]
    try:
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    except FileNotFoundError:
        pytest.skip("ffprobe is not installed")
    assert said.count("codec_type=") == 1
    assert "location" not in said.lower()


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"hello" * 50, "holds no picture"), (b"\x00\x00\x00\x18ftypmp42" + bytes(300), "holds no")],
)
def test_what_is_no_clip_is_named(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "a.mp4"
    path.write_bytes(content)
    with pytest.raises(ClipFormatError, match=said):
        _kept(path)


def test_sound_without_a_picture_is_named(tmp_path: Path) -> None:
    with pytest.raises(ClipFormatError, match=r"song\.mp4 has no picture"):
        _kept(write_sound(tmp_path / "song.mp4"))
