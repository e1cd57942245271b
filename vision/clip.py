"""A clip file as a stream of upright frames, each with its own time."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from solver.errors import (
    ClipFormatError,
    ClipLengthError,
    ClipMissingError,
    ClipSizeError,
)

Picture = NDArray[np.uint8]

LONGEST_S = 600.0
LARGEST_BYTES = 2 * 1024**3
FEWEST_FRAMES = 10
AHEAD = 24
T = TypeVar("T")


@dataclass(frozen=True)
class Frame:
    """One upright frame."""

    index: int
    time_s: float
    bgr: Picture
    """Shape ``(height, width, 3)``."""


class Clip:
    """An open clip; iterate over it once, front to back."""

    def __init__(self, capture: cv2.VideoCapture, path: Path, reader: ThreadPoolExecutor) -> None:
        self._capture, self._path, self._reader = capture, path, reader
        self.frames_expected = max(0, int(capture.get(cv2.CAP_PROP_FRAME_COUNT)))
        """What the file's header says; broken files say nonsense."""

    def __iter__(self) -> Iterator[Frame]:
        return self.prepared(lambda frame: frame)

    def prepared(self, prepare: Callable[[Frame], T]) -> Iterator[T]:
        """What is made of each frame, some frames ahead of those that are looked at.

        ``prepare`` is called frame by frame in the thread that decodes.
        """
        frames = map(prepare, self._decoded())
        due = deque(self._reader.submit(next, frames, None) for _ in range(AHEAD))
        while (made := due.popleft().result()) is not None:
            due.append(self._reader.submit(next, frames, None))
            yield made

    def _decoded(self) -> Iterator[Frame]:
        index, last_s = 0, -1.0
        while True:
            read, bgr = self._capture.read()
            if not read:
                return
            time_s = self._capture.get(cv2.CAP_PROP_POS_MSEC) / 1000.0
            if time_s > LONGEST_S:
                raise ClipLengthError(
                    f"{self._path.name} is longer than {LONGEST_S / 60:.0f} minutes. "
                    "Cut it to the seconds in which the board is raised."
                )
            # A frame that does not move time on cannot be used in a motion.
            if time_s > last_s:
                yield Frame(index, time_s, bgr)
                last_s = time_s
            index += 1


@contextmanager
def open_clip(path: Path) -> Iterator[Clip]:
    """Open a clip for reading, upright whatever its rotation flag says.

    Raises
    ------
    ClipMissingError, ClipFormatError, ClipSizeError, ClipLengthError
        Each says what was wrong with the file and what to do.
    """
    _check_file(path)
    capture = cv2.VideoCapture(str(path), cv2.CAP_FFMPEG)
    reader = ThreadPoolExecutor(1, thread_name_prefix="decoding")
    try:
        if not capture.isOpened():
            raise ClipFormatError(
                f"{path.name} holds no picture that can be decoded: it is not a video, has "
                "sound only, or is damaged. Export it again from the phone as mp4 or mov."
            )
        capture.set(cv2.CAP_PROP_ORIENTATION_AUTO, 1)
        yield Clip(capture, path, reader)
    finally:
        reader.shutdown(cancel_futures=True)
        capture.release()


def first_frame(path: Path) -> Picture:
    """The clip's first frame, upright, BGR, shape ``(height, width, 3)``."""
    with open_clip(path) as clip:
        for frame in clip:
            return frame.bgr
    raise ClipFormatError(
        f"{path.name} holds no frame that can be decoded. Export it again from the phone."
    )


def _check_file(path: Path) -> None:
    try:
        size = path.stat().st_size
    except OSError as error:
        raise ClipMissingError(
            f"{path.name} is not there or cannot be read. Check the name, or upload it again."
        ) from error
    if not path.is_file():
        raise ClipFormatError(f"{path.name} is a folder, not a clip. Name the clips in it.")
    if size == 0:
        raise ClipFormatError(
            f"{path.name} is empty (0 bytes): the phone had not finished saving it. "
            "Wait a moment and copy it again."
        )
    if size > LARGEST_BYTES:
        raise ClipSizeError(
            f"{path.name} is {size / 1024**3:.1f} GB; the limit is "
            f"{LARGEST_BYTES / 1024**3:.0f} GB. Film at 1080p, or cut the clip."
        )
