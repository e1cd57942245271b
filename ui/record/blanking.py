"""Keeping of a clip's picture the part around the board alone.

The rest is blanked and gone for good. The picture keeps its size, because the
camera's geometry hangs on where its middle is: so the clip can be measured again.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.error import FFmpegError

from solver.errors import ClipFormatError
from ui.record.board_area import Area, board_area
from ui.record.complaints import NO_ROOM
from ui.record.errors import BoardNotFoundError
from ui.record.pictures import in_jpeg, picture_in
from vision.clip import Picture, open_clip
from vision.finding import NotFoundError
from vision.reading import Marks

GREY = 128
TICKS = 90_000
"""A second; times are kept to 6 µs."""
CODING = {"crf": "18", "preset": "veryfast"}
"""Fine enough that the angle comes out the same within a third of its uncertainty."""


def board_alone(
    path: Path,
    target: Path,
    start_tilt_rad: float,
    largest_tilt_rad: float,
    marks: Marks | None = None,
) -> Area:
    """Write the clip upright with all but the board's area blanked; returns the area.

    Raises `BoardNotFoundError` where board or body are not found again, and `ClipError`.
    """
    try:
        area = board_area(path, start_tilt_rad, largest_tilt_rad, marks)
    except NotFoundError as reason:
        raise BoardNotFoundError(
            f"The surroundings of the board cannot be blanked: {reason} The clip was left as it "
            "is; delete it if it must not be kept."
        ) from reason
    try:
        with av.open(str(target), "w") as kept:
            _write(path, kept, area)
    except FFmpegError as error:
        if error.errno in NO_ROOM:
            raise OSError(error.errno, error.strerror) from error
        raise ClipFormatError(f"The clip could not be written again ({error.strerror}).") from error
    return area


def blanked(picture: Picture, area: Area) -> Picture:
    """The picture with all but the area grey."""
    blank = np.full_like(picture, GREY)
    part = np.s_[area.top : area.bottom, area.left : area.right]
    blank[part] = picture[part]
    return blank


def blanked_frame(kept: bytes, area: Area, width: int) -> bytes:
    """A kept picture of the clip blanked likewise; ``width`` is the clip's, in pixels."""
    picture = picture_in(kept)
    return in_jpeg(blanked(picture, area.scaled(picture.shape[1] / width)))


def _write(path: Path, kept: Any, area: Area) -> None:
    stream: Any = None
    with open_clip(path) as clip:
        for each in clip:
            picture = _even(blanked(each.bgr, area))
            if stream is None:
                stream = _stream(kept, picture)
            frame = av.VideoFrame.from_ndarray(picture, format="bgr24")
            frame.pts, frame.time_base = round(each.time_s * TICKS), Fraction(1, TICKS)
            kept.mux(stream.encode(frame))
    if stream is not None:
        kept.mux(stream.encode(None))


def _even(picture: Picture) -> Picture:
    """Without a last odd row or column, which the coding cannot hold."""
    height, width = picture.shape[:2]
    return np.ascontiguousarray(picture[: height - height % 2, : width - width % 2])


def _stream(kept: Any, picture: Picture) -> Any:
    stream = kept.add_stream("libx264", rate=30, options=CODING)
    stream.height, stream.width = picture.shape[:2]
    stream.pix_fmt = "yuv420p"
    stream.time_base = stream.codec_context.time_base = Fraction(1, TICKS)
    return stream
