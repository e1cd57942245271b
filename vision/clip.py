"""A clip file as a stream of upright frames, each with its own time."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import av
import cv2
import numpy as np
from av.container import InputContainer
from av.error import FFmpegError
from av.video.reformatter import ColorRange
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
AHEAD_BYTES, FEWEST_AHEAD = 150 * 2**20, 16
"""How much may be decoded ahead of what is looked at, in frames of two bytes a pixel."""
LUMA_APART = {"yuv420p", "yuv422p", "yuv444p", "yuvj420p", "yuvj422p", "yuvj444p", "nv12"}
"""Formats whose first plane is the luma, in bytes."""
BLACK, RANGE = 16, 219
"""The video range, of luma from black to white (ITU-R BT.709)."""
_TURNS = {90: cv2.ROTATE_90_COUNTERCLOCKWISE, 180: cv2.ROTATE_180, 270: cv2.ROTATE_90_CLOCKWISE}
T = TypeVar("T")


@dataclass(frozen=True)
class Frame:
    """One frame as it was decoded; its pictures are made upright when asked for, which no two
    threads may do with one frame at once."""

    index: int
    time_s: float
    decoded: av.VideoFrame

    @property
    def size(self) -> tuple[int, int]:
        """Height and width, upright."""
        size = self.decoded.height, self.decoded.width
        return size[::-1] if self._turn_deg % 180 else size

    @property
    def bgr(self) -> Picture:
        """Shape ``(height, width, 3)``."""
        return self._upright(_bytes(self.decoded, "bgr24"))

    @property
    def light(self) -> Picture:
        """The lightness alone, shape ``(height, width)``."""
        if self.decoded.format.name not in LUMA_APART:
            return self._upright(_bytes(self.decoded, "gray"))
        plane = self.decoded.planes[0]
        rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
        luma = rows[: self.decoded.height, : self.decoded.width]
        if self._whole_range:
            return self._upright(luma.copy())
        above = cv2.subtract(luma, BLACK)
        light = cv2.convertScaleAbs(above, above, alpha=255 / RANGE)
        return self._upright(light.astype(np.uint8, copy=False))

    def within(self, longest_px: int) -> Frame:
        """The same with a picture halved as often as it must be to be no longer than that."""
        halvings, longest = 0, max(self.size)
        while longest >> halvings > longest_px:
            halvings += 1
        if not halvings:
            return self
        width, height = (side >> halvings for side in (self.decoded.width, self.decoded.height))
        smaller = self.decoded.reformat(width=width, height=height, interpolation="AREA")
        return Frame(self.index, self.time_s, smaller)

    @property
    def _whole_range(self) -> bool:
        by_name = self.decoded.format.name.startswith("yuvj")
        return by_name or self.decoded.color_range == ColorRange.JPEG

    @property
    def _turn_deg(self) -> int:
        return round(self.decoded.rotation) % 360

    def _upright(self, picture: Picture) -> Picture:
        turn = _TURNS.get(self._turn_deg)
        return picture if turn is None else np.asarray(cv2.rotate(picture, turn))


def _bytes(decoded: av.VideoFrame, layout: str) -> Picture:
    return decoded.to_ndarray(format=layout).astype(np.uint8, copy=False)


class Clip:
    """An open clip; iterate over it once, front to back."""

    def __init__(self, container: InputContainer, path: Path, reader: ThreadPoolExecutor) -> None:
        self._container, self._path, self._reader = container, path, reader
        self._stream = container.streams.video[0]
        self._stream.thread_type = "AUTO"
        self.frames_expected = max(0, self._stream.frames)
        """What the file's header says; broken files say nonsense."""

    def __iter__(self) -> Iterator[Frame]:
        return self.prepared(lambda frame: frame)

    def prepared(self, prepare: Callable[[Frame], T]) -> Iterator[T]:
        """What is made of each frame, some frames ahead of those that are looked at.

        ``prepare`` is called frame by frame in the thread that decodes.
        """
        frames = map(prepare, self._frames())
        each = 2 * self._stream.width * self._stream.height
        ahead = max(FEWEST_AHEAD, AHEAD_BYTES // max(each, 1))
        due = deque(self._reader.submit(next, frames, None) for _ in range(ahead))
        while (made := due.popleft().result()) is not None:
            due.append(self._reader.submit(next, frames, None))
            yield made

    def _frames(self) -> Iterator[Frame]:
        begins, last_s = self._stream.start_time or 0, -1.0
        for index, decoded in enumerate(self._decoded()):
            if decoded.pts is None or decoded.time_base is None:
                continue
            time_s = float((decoded.pts - begins) * decoded.time_base)
            if time_s > LONGEST_S:
                raise ClipLengthError(
                    f"{self._path.name} is longer than {LONGEST_S / 60:.0f} minutes. "
                    "Cut it to the seconds in which the board is raised."
                )
            # A frame that does not move time on cannot be used in a motion.
            if time_s > last_s:
                yield Frame(index, time_s, decoded)
                last_s = time_s

    def _decoded(self) -> Iterator[av.VideoFrame]:
        """All frames that can be decoded, of a damaged file too."""
        packets = self._container.demux(self._stream)
        while True:
            try:
                packet = next(packets)
            except (StopIteration, FFmpegError):  # the file ends, or breaks off
                return
            with suppress(FFmpegError):  # a packet that is damaged holds no frame
                yield from packet.decode()


@contextmanager
def open_clip(path: Path) -> Iterator[Clip]:
    """Open a clip for reading, upright whatever its rotation flag says.

    Raises
    ------
    ClipMissingError, ClipFormatError, ClipSizeError, ClipLengthError
        Each says what was wrong with the file and what to do.
    """
    _check_file(path)
    reader = ThreadPoolExecutor(1, thread_name_prefix="decoding")
    with _opened(path) as container:
        try:
            yield Clip(container, path, reader)
        finally:
            reader.shutdown(cancel_futures=True)


def _opened(path: Path) -> InputContainer:
    """Raises `ClipFormatError` where there is no picture in it."""
    with suppress(FFmpegError):
        container = av.open(str(path))
        if container.streams.video and container.streams.video[0].codec_context is not None:
            return container
        container.close()
    raise ClipFormatError(
        f"{path.name} holds no picture that can be decoded: it is not a video, has "
        "sound only, or is damaged. Export it again from the phone as mp4 or mov."
    )


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
