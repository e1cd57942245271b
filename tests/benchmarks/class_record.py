"""Measure a class's clips into a record, beside decoding them and nothing more.

``python -m tests.benchmarks.class_record [--clips 30] [--seconds 10]`` makes clips of 720p from
a sample, measures them on all cores as the page and `brinkangle class` do, and prints
the time, its ratio to decoding all of them by OpenCV, one after another, and the largest
memory of all processes together.
"""

from __future__ import annotations

import argparse
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import av
import cv2

from ui.classroom.arrivals import take_in
from ui.classroom.measuring import saving, states, tasks, to_measure
from ui.classroom.queue import Queue
from ui.jobs import Bench
from ui.record.record import Record
from ui.samples import FOLDER

SAMPLE, RADIUS_M = "leaf_tea_topples.mp4", 0.034
SIZE, RATE_HZ = (1280, 720), 30
SAMPLED_S = 0.1
KIBIBYTE, MEBIBYTE = 2**10, 2**20


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--clips", type=int, default=30)
    asked.add_argument("--seconds", type=float, default=10.0)
    given = asked.parse_args()
    with TemporaryDirectory(prefix="brinkangle-benchmark-") as folder:
        clips = make_clips(Path(folder), given.clips, given.seconds)
        decoding_s = sum(decoded_s(clip) for clip in clips)
        with peak_memory() as peak:
            taken_in_s, measuring_s, outcomes = measure(Path(folder) / "record", clips)
    print(f"{given.clips} clips of {given.seconds:g} s, 720p, on {os.cpu_count()} cores")
    print(f"outcomes: {outcomes}")
    print(f"decoding alone, one after another: {decoding_s:.1f} s")
    print(f"taking in: {taken_in_s:.1f} s, {taken_in_s / decoding_s:.2f} of decoding")
    print(f"measuring and keeping: {measuring_s:.1f} s, {measuring_s / decoding_s:.2f} of decoding")
    print(f"peak memory of all processes: {max(peak) / MEBIBYTE:.0f} MiB")


def make_clips(folder: Path, count: int, seconds: float) -> list[Path]:
    """The sample with a longer calm start, written anew for each clip so that none is a twin."""
    frames = frames_of(FOLDER / SAMPLE, seconds)
    paths = (folder / f"table{number}_tub_1.mp4" for number in range(1, count + 1))
    return [write(path, frames, 20 + i / 4) for i, path in enumerate(paths)]


def frames_of(path: Path, seconds: float) -> list[av.VideoFrame]:
    """The last seconds of a film, its first frame held before if it is shorter."""
    with av.open(str(path)) as film:
        stream = film.streams.video[0]
        assert stream.average_rate is not None
        wanted, frames = round(seconds * float(stream.average_rate)), list(film.decode(stream))
    return [frames[0]] * (wanted - len(frames)) + frames[-wanted:]


def write(
    path: Path, frames: list[av.VideoFrame], crf: float, size: tuple[int, int] = SIZE
) -> Path:
    """Encode frames as phones do, H.264, at a quality of ``crf``."""
    with av.open(str(path), "w") as film:
        stream = film.add_stream("libx264", rate=RATE_HZ, options={"crf": str(crf)})
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height = size
        for number, frame in enumerate(frames):
            shown = frame.reformat(*size, format="yuv420p")
            shown.pts, shown.time_base = number, Fraction(1, RATE_HZ)
            film.mux(stream.encode(shown))
        film.mux(stream.encode())
    return path


def decoded_s(clip: Path) -> float:
    """Seconds to decode every frame by OpenCV."""
    began = time.perf_counter()
    film = cv2.VideoCapture(str(clip))
    while film.read()[0]:
        pass
    film.release()
    return time.perf_counter() - began


def measure(place: Path, clips: list[Path]) -> tuple[float, float, dict[str, int]]:
    """Seconds to take the clips in, seconds to measure and keep them, and what came out."""
    record = Record(place)
    record.add_body("Tub", RADIUS_M, 0.0002)
    lesson = record.add_lesson("Benchmark", date.today())
    began = time.perf_counter()
    take_in(record, lesson.id, [(clip.name, clip) for clip in clips])
    taken_in = time.perf_counter()
    bench = Bench()
    try:
        queue, view = Queue(bench, saving(record), bench.workers), record.lesson_view(lesson.id)
        queue.add(tasks(record, view, to_measure(states(view))))
        queue.wait()
        done = time.perf_counter()
    finally:
        bench.close()
    outcomes: dict[str, int] = {}
    for reading in record.lesson_view(lesson.id).readings:
        outcomes[str(reading.outcome)] = outcomes.get(str(reading.outcome), 0) + 1
    record.close()
    return taken_in - began, done - taken_in, outcomes


@contextmanager
def peak_memory() -> Iterator[list[int]]:
    """The memory (bytes) of this process and all below it together, sampled until left."""
    samples, over = [_memory(os.getpid())], threading.Event()

    def sample() -> None:
        while not over.wait(SAMPLED_S):
            samples.append(_memory(os.getpid()))

    thread = threading.Thread(target=sample, daemon=True)
    thread.start()
    try:
        yield samples
    finally:
        over.set()
        thread.join()


def _memory(process: int) -> int:
    """Of a process and its children, pages they share counted once (Linux: PSS)."""
    place = Path(f"/proc/{process}")
    try:
        told = (place / "smaps_rollup").read_text()
        lists = [(each / "children").read_text().split() for each in (place / "task").iterdir()]
    except (FileNotFoundError, ProcessLookupError):  # it ended meanwhile
        return 0
    own = int(told.partition("\nPss:")[2].split()[0]) * KIBIBYTE
    return own + sum(_memory(int(child)) for children in lists for child in children)


if __name__ == "__main__":
    main()
