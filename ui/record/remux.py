"""A clip's picture alone: sound, place, maker and every other track and note left behind."""

from __future__ import annotations

from pathlib import Path

import av
from av.container import InputContainer, OutputContainer
from av.error import FFmpegError

from solver.errors import ClipFormatError
from ui.record.complaints import NO_ROOM

FORMATS = {
    "mp4": "mp4",
    "m4v": "mp4",
    "mov": "mov",
    "webm": "webm",
    "mkv": "matroska",
    "avi": "avi",
}
"""The container kept for each suffix: the same, so that times are kept to the tick."""
QUIET = {"fflags": "+bitexact"}
"""No name of the writing program."""


def picture_alone(source: Path, target: Path, name: str) -> None:
    """Copy the first video stream, packet by packet, with its rotation and its times.

    Nothing is encoded again. Raises `ClipFormatError`, speaking of the clip by
    ``name``, where there is no picture or none can be taken over.
    """
    suffix = target.suffix.removeprefix(".")
    try:
        with (
            av.open(str(source)) as given,
            av.open(str(target), "w", format=FORMATS[suffix], options=QUIET) as kept,
        ):
            packets = _copy(given, kept, name)
    except FFmpegError as error:
        if error.errno in NO_ROOM:
            raise OSError(error.errno, error.strerror) from error
        raise ClipFormatError(
            f"{name} holds no picture that can be taken over ({error.strerror}): it is not a "
            "video, has sound only, or is damaged. Export it again from the phone as mp4 or mov."
        ) from error
    if not packets:
        raise ClipFormatError(f"{name} holds no frame. Export it again from the phone.")


def _copy(given: InputContainer, kept: OutputContainer, name: str) -> int:
    """How many packets were copied; those before a break in the file count."""
    if not given.streams.video:
        raise ClipFormatError(
            f"{name} has no picture, only sound or data. Upload the clip that was filmed."
        )
    stream = given.streams.video[0]
    copy = kept.add_stream_from_template(stream)
    copy.metadata.clear()
    count = 0
    for packet in given.demux(stream):
        if packet.dts is None and packet.pts is None:
            continue  # the empty packet that ends a stream
        packet.stream = copy
        kept.mux(packet)
        count += 1
    return count
