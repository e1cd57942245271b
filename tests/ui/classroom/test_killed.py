"""Measuring broken off by the end of the process, at once and without a word, and gone on with."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from tests.ui.classroom.clips import still
from tests.ui.served import ROOT
from ui.record.record import Record

CLIPS, PATIENCE_S = 6, 120


def readings_in(data: Path) -> dict[str, int]:
    """The number of each clip's latest reading, by the clip's name."""
    record = Record(data)
    try:
        views = [record.lesson_view(lesson.id) for lesson in record.lessons()]
        return {
            clip.name: reading.id
            for view in views
            for clip in view.clips
            if (reading := view.reading_of(clip.id)) is not None
        }
    finally:
        record.close()


def test_what_was_measured_is_kept_and_the_rest_is_measured_next_time(tmp_path: Path) -> None:
    data, folder = tmp_path / "data", tmp_path / "10b"
    record = Record(data)
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    record.close()
    folder.mkdir()
    for i in range(1, CLIPS + 1):
        still(folder / f"table{i}_tea_1.mp4", seed=i, frames=90)
    command = [sys.executable, "-m", "ui.cli", "class", str(folder)]
    own = {**os.environ, "BRINKANGLE_DATA": str(data)}
    with subprocess.Popen(
        command, cwd=ROOT, env=own, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as broken_off:
        deadline = time.monotonic() + PATIENCE_S
        while not (kept := readings_in(data)) and broken_off.poll() is None:
            assert time.monotonic() < deadline
            time.sleep(0.05)
        broken_off.kill()
    again = subprocess.run(command, cwd=ROOT, env=own, capture_output=True, timeout=PATIENCE_S)
    assert again.returncode == 1, again.stderr  # nothing moves in these clips: none can be read
    found = readings_in(data)
    assert len(found) == CLIPS
    assert kept and kept.items() <= found.items()
