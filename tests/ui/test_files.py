"""Results as files: whole or not at all, readable by others."""

import csv
import io
import json
import os
from math import degrees
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.ui.stand_in import series, toppling
from ui.answer import answer
from ui.files import (
    SERIES_COLUMNS,
    distinct_stems,
    evidence_files,
    records_as_json,
    safe_stem,
    series_as_csv,
    write_whole,
)


def test_records_are_json_that_a_strict_reader_takes() -> None:
    record = answer(toppling(), 0.03).record("leaf tea \udcff ½.mp4")

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON (RFC 8259)")

    read = json.loads(records_as_json([record]).decode("utf-8"), parse_constant=refuse)
    assert read == {"clips": [record]}


def test_numbers_that_are_none_never_reach_a_file() -> None:
    with pytest.raises(ValueError):
        records_as_json([{"angle_deg": float("nan")}])


def test_the_series_is_a_table_with_units_and_gaps() -> None:
    motion = series()
    rows = list(csv.DictReader(io.StringIO(series_as_csv(motion).decode())))
    assert list(rows[0]) == list(SERIES_COLUMNS)
    assert len(rows) == len(motion.frame)
    assert [float(row["tilt_deg"]) for row in rows] == pytest.approx(
        [degrees(tilt) for tilt in motion.tilt_rad], abs=5e-6
    )
    assert rows[-1]["lean_deg"] == "" and rows[-2]["lean_deg"] != ""
    assert float(rows[0]["slip_u_mm"]) == pytest.approx(0.1)


def test_evidence_is_pictures_anyone_can_open_and_the_series() -> None:
    files = evidence_files(toppling(), "tin")
    assert list(files) == ["tin.start.png", "tin.brink.png", "tin.after.png", "tin.series.csv"]
    picture = cv2.imdecode(np.frombuffer(files["tin.brink.png"], np.uint8), cv2.IMREAD_COLOR)
    assert picture.shape == (48, 64, 3)


@given(st.text(), st.sampled_from(["", ".mp4", "/../x.mov"]))
def test_a_stem_is_safe_whatever_the_name(name: str, end: str) -> None:
    stem = safe_stem(name + end)
    assert stem and stem.isascii()
    assert set(stem) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")


@given(st.lists(st.sampled_from(["a.mp4", "x/a.mov", "a-2.mp4", "b.mp4"])))
def test_stems_are_distinct_and_one_for_each(names: list[str]) -> None:
    stems = distinct_stems(names)
    assert len(stems) == len(set(stems)) == len(names)


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    place = tmp_path / "out.json"
    place.write_bytes(b"earlier")
    write_whole(place, b"later")
    assert place.read_bytes() == b"later"
    assert os.listdir(tmp_path) == ["out.json"]
    mask = os.umask(0)
    os.umask(mask)
    assert place.stat().st_mode & 0o777 == 0o666 & ~mask


def test_a_failed_write_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "out.json"
    place.write_bytes(b"earlier")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(place, b"later")
    assert place.read_bytes() == b"earlier"
    assert os.listdir(tmp_path) == ["out.json"]
