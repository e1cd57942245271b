"""Measure one clip beside decoding it and nothing more.

``python -m tests.benchmarks.one_clip [--seconds 10] [--repeats 3]`` writes a sample at 720p and
at 1080p, decodes it by OpenCV and measures it, and prints the quickest time of each, their
ratio, and the largest memory of the process that measures.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.class_record import KIBIBYTE, MEBIBYTE, SAMPLE, decoded_s, frames_of, write
from ui.samples import FOLDER
from vision.measure import measure_clip
from vision.reading import ClipSetup

SIZES = {"720p": (1280, 720), "1080p": (1920, 1080)}
SETUP = ClipSetup(radius_m=0.034)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seconds", type=float, default=10.0)
    asked.add_argument("--repeats", type=int, default=3)
    given = asked.parse_args()
    frames = frames_of(FOLDER / SAMPLE, given.seconds)
    with TemporaryDirectory(prefix="brinkangle-benchmark-") as folder:
        for name, size in SIZES.items():
            clip = write(Path(folder) / f"{name}.mp4", frames, 20, size)
            decoding_s = min(decoded_s(clip) for _ in range(given.repeats))
            outcome, measuring_s, peak = _measured(clip, given.repeats)
            print(
                f"{name}, {given.seconds:g} s: {outcome}; decoding {decoding_s:.2f} s, measuring "
                f"{measuring_s:.2f} s, {measuring_s / decoding_s:.1f} of decoding, "
                f"{measuring_s / given.seconds:.2f} of its length; {peak / MEBIBYTE:.0f} MiB"
            )


def _measured(clip: Path, repeats: int) -> tuple[str, float, int]:
    """Outcome, quickest time in seconds and peak memory in bytes, in a process of its own."""
    with multiprocessing.get_context("spawn").Pool(1) as process:
        return process.apply(_repeated, (clip, repeats))


def _repeated(clip: Path, repeats: int) -> tuple[str, float, int]:
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        reading = measure_clip(clip, SETUP)
        times.append(time.perf_counter() - began)
    return (
        str(reading.outcome),
        min(times),
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * KIBIBYTE,
    )


if __name__ == "__main__":
    main()
