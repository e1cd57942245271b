"""Results as files: the record, the series, the pictures. Nothing is left half-written."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import tempfile
from collections.abc import Iterable
from math import degrees, isnan
from pathlib import Path

from solver.quantities import MILLIMETRE
from ui.answer import Record
from vision.reading import ClipReading, MotionSeries

SERIES_COLUMNS = (
    "frame",
    "time_s",
    "tilt_deg",
    "tilt_u_deg",
    "lean_deg",
    "lean_u_deg",
    "slip_mm",
    "slip_u_mm",
)


def records_as_json(records: Iterable[Record]) -> bytes:
    """The records under ``clips``, UTF-8."""
    text = json.dumps({"clips": list(records)}, indent=2, ensure_ascii=False, allow_nan=False)
    # Bytes of a file name that are no text become JSON's own escapes.
    return (text + "\n").encode("utf-8", "backslashreplace")


def series_as_csv(series: MotionSeries) -> bytes:
    """The motion frame by frame; empty where the body could not be followed."""
    angles = (series.tilt_rad, series.tilt_u_rad, series.lean_rad, series.lean_u_rad)
    lengths = (series.slip_m, series.slip_u_m)
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(SERIES_COLUMNS)
    for i, frame in enumerate(series.frame):
        numbers = [degrees(column[i]) for column in angles]
        numbers += [column[i] / MILLIMETRE.in_si for column in lengths]
        cells = ["" if isnan(number) else f"{number:.5f}" for number in numbers]
        table.writerow([int(frame), f"{series.time_s[i]:.6f}", *cells])
    return text.getvalue().encode()


def evidence_files(reading: ClipReading, stem: str) -> dict[str, bytes]:
    """Pictures and series of a reading by file name, each beginning with ``stem``."""
    files = {f"{stem}.{safe_stem(picture.moment)}.png": picture.png for picture in reading.pictures}
    if reading.series is not None:
        files[f"{stem}.series.csv"] = series_as_csv(reading.series)
    return files


def safe_stem(name: str) -> str:
    """A file name's stem with letters, digits, ``_`` and ``-`` alone."""
    return re.sub(r"[^A-Za-z0-9_-]+", "_", Path(name).stem).strip("_") or "clip"


def distinct_stems(names: Iterable[str]) -> list[str]:
    """A safe stem for each name, numbered where two would be the same."""
    stems: list[str] = []
    for name in names:
        stem, number = safe_stem(name), 1
        while (numbered := stem if number == 1 else f"{stem}-{number}") in stems:
            number += 1
        stems.append(numbered)
    return stems


def write_whole(path: Path, content: bytes | memoryview) -> None:
    """Write a file so that it is there as a whole or not at all. Raises `OSError`."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:80]}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
    except BaseException:
        os.unlink(name)
        raise


def _umask() -> int:
    """The umask; it can only be read by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
