"""The command as a person starts it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from ui.samples import FOLDER

ROOT = Path(__file__).parents[2]
COMMAND = [sys.executable, "-m", "ui.cli"]


def run(*arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **environment},
        timeout=180,
    )


def test_a_sample_is_read_beside_files_that_are_no_clips(tmp_path: Path) -> None:
    """The one good clip is read; each bad one has its reason; the order is kept."""
    empty, words = tmp_path / "empty.mp4", tmp_path / "words.mov"
    empty.touch()
    words.write_text("This is no clip.\n" * 50)
    out, folder = tmp_path / "out.json", tmp_path / "evidence"
    sample = FOLDER / "leaf_tea_topples.mp4"
    truth = json.loads((FOLDER / "leaf_tea_topples.truth.json").read_text())
    clips = [empty, sample, words, tmp_path / "gone.mp4"]
    done = run(
        "measure", *clips, "--radius-mm", truth["radius_mm"], "--json", out, "--evidence", folder
    )
    assert done.returncode == 1, done.stderr
    assert "topples" in done.stdout and "Traceback" not in done.stderr
    records = json.loads(out.read_text("utf-8"))["clips"]
    assert [record["clip"] for record in records] == [str(clip) for clip in clips]
    bad = [records[i] for i in (0, 2, 3)]
    assert {record["outcome"] for record in bad} == {"unreadable"}
    for record, why in zip(bad, ("empty", "no picture", "not there"), strict=True):
        assert why in record["reasons"][0]
    good = records[1]
    assert good["outcome"] == truth["outcome"] == next(iter(good["evidence"]))
    assert good["angle_deg"] == pytest.approx(truth["angle_deg"], abs=1.0)
    assert good["centre_height_mm"] == pytest.approx(truth["centre_height_mm"], rel=0.05)
    assert len(list(folder.glob("leaf_tea_topples.*.png"))) == 3


@pytest.mark.parametrize(
    ("missing", "advice"),
    [
        ("libGL.so.1: cannot open shared object file", "apt install libgl1 libglib2.0-0"),
        ("libgthread-2.0.so.0: cannot open shared object file", "apt install libgl1 libglib2.0-0"),
        ("No module named 'cv2'", "Install Brinkangle again"),
    ],
)
def test_a_missing_library_gives_one_sentence(tmp_path: Path, missing: str, advice: str) -> None:
    (tmp_path / "cv2.py").write_text(f"raise ImportError({missing!r})")
    done = run("measure", "tin.mp4", "--radius-mm", 30, PYTHONPATH=str(tmp_path))
    assert done.returncode == 2
    assert advice in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_wrong_usage_is_2() -> None:
    assert run("measure", "tin.mp4").returncode == 2
    assert run("weigh").returncode == 2
