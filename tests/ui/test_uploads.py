"""Clips from a browser."""

import hashlib
from pathlib import Path

import pytest

from solver.errors import ClipFormatError
from ui.uploads import at_hand, keep


def test_a_clip_is_kept_once_under_a_name_of_ours(tmp_path: Path) -> None:
    first = keep("../../etc/Table 4 $(tea).MP4", b"frames", tmp_path)
    second = keep("again.mp4", memoryview(b"frames"), tmp_path)
    assert first.path == second.path
    assert first.path.parent == tmp_path
    assert first.path.name == f"clip-{hashlib.sha256(b'frames').hexdigest()[:16]}.mp4"
    assert first.path.read_bytes() == b"frames"
    assert [path.name for path in tmp_path.iterdir()] == [first.path.name]


def test_messages_name_the_clip_as_its_owner_does(tmp_path: Path) -> None:
    kept = keep("table4.mp4", b"frames", tmp_path)
    assert kept.in_own_name(f"{kept.path.name} is damaged.") == "table4.mp4 is damaged."


def test_nothing_came(tmp_path: Path) -> None:
    with pytest.raises(ClipFormatError, match=r"tea.mov came empty.*upload it again"):
        keep("tea.mov", b"", tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["tea", "tea.exe", "mp4", "tea.mp4.html"])
def test_not_a_clip_by_its_name(name: str, tmp_path: Path) -> None:
    with pytest.raises(ClipFormatError, match="does not end like a clip"):
        keep(name, b"frames", tmp_path)


def test_a_clip_at_hand_is_known_by_its_content(tmp_path: Path) -> None:
    place = tmp_path / "tea.mp4"
    place.write_bytes(b"frames")
    assert at_hand(place).sha256 == keep("other.mp4", b"frames", tmp_path).sha256
