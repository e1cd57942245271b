"""Clips as phones make them and as accidents leave them, written with PyAV."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from vision.clip import Frame

Picture = NDArray[Any]

TICKS = 90_000
GREYS = np.array([[40, 100], [160, 220]])
"""Levels of the four quarters of the sign, rows from the top: no turn leaves it as it was."""
_TURNS = {
    0: (None, (1, 0, 0, 1)),
    90: (cv2.ROTATE_90_COUNTERCLOCKWISE, (0, 1, -1, 0)),
    180: (cv2.ROTATE_180, (-1, 0, 0, -1)),
    270: (cv2.ROTATE_90_CLOCKWISE, (0, -1, 1, 0)),
}
"""How to store a picture, and the matrix a, b, c, d that shows it upright again."""


def sign(width: int = 96, height: int = 64) -> Picture:
    """Four quarters of different grey, BGR."""
    quarters = np.kron(GREYS, np.ones((height // 2, width // 2))).astype(np.uint8)
    return np.ascontiguousarray(np.repeat(quarters[..., None], 3, axis=2))


def quarters_of(picture: Picture) -> NDArray[np.float64]:
    """Mean grey of the middle of each quarter, shape ``(2, 2)``."""
    height, width = picture.shape[:2]
    grey = picture.mean(axis=2)
    rows = [slice(height * k // 8, height * (k + 2) // 8) for k in (1, 5)]
    columns = [slice(width * k // 8, width * (k + 2) // 8) for k in (1, 5)]
    return np.array([[grey[r, c].mean() for c in columns] for r in rows])


def frame_of(picture: Picture, index: int = 0, time_s: float = 0.0) -> Frame:
    """A frame as if decoded, of a BGR picture."""
    return Frame(index, time_s, av.VideoFrame.from_ndarray(picture, format="bgr24"))


def write_clip(
    path: Path,
    times_s: Sequence[float],
    pictures: Iterable[Picture] | None = None,
    codec: str = "libx264",
    clockwise_deg: int = 0,
    options: dict[str, str] | None = None,
    index_first: bool = False,
    pix_fmt: str = "yuv420p",
) -> Path:
    """Write upright pictures at their times, stored turned where a flag is asked for.

    ``index_first`` puts an mp4's index before its pictures, as for streaming.
    """
    turn, matrix = _TURNS[clockwise_deg]
    frames = iter(pictures) if pictures is not None else iter(sign() for _ in times_s)
    layout = {"movflags": "faststart"} if index_first else {}
    with av.open(str(path), "w", options=layout) as container:
        stream: Any = container.add_stream(codec, rate=30)
        stream.pix_fmt = pix_fmt
        stream.time_base = stream.codec_context.time_base = Fraction(1, TICKS)
        stream.options = {"threads": "1", **(options or _quick(codec))}
        for k, (time_s, picture) in enumerate(zip(times_s, frames, strict=False)):
            stored = picture if turn is None else cv2.rotate(picture, turn)
            if k == 0:
                stream.height, stream.width = stored.shape[:2]
            frame = av.VideoFrame.from_ndarray(stored, format="bgr24")
            frame.pts, frame.time_base = round(time_s * TICKS), Fraction(1, TICKS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    if clockwise_deg:
        _flag(path, matrix)
    return path


def write_sound(path: Path) -> Path:
    """A second of silence and no picture."""
    with av.open(str(path), "w") as container:
        stream: Any = container.add_stream("aac", rate=44_100)
        for k in range(43):
            frame = av.AudioFrame(format="fltp", layout="mono", samples=1024)
            frame.planes[0].update(bytes(4096))
            frame.sample_rate, frame.pts = 44_100, 1024 * k
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def _quick(codec: str) -> dict[str, str]:
    if codec.startswith("libvpx"):
        return {"deadline": "realtime", "cpu-used": "8", "crf": "10", "b": "1M"}
    quiet = {"x265-params": "log-level=none"} if codec == "libx265" else {}
    return {"preset": "ultrafast", "crf": "18", **quiet}


def _flag(path: Path, matrix: tuple[int, ...]) -> None:
    """Write the track header's display matrix (ISO/IEC 14496-12, 8.3.2)."""
    content = bytearray(path.read_bytes())
    header = content.index(b"tkhd") + 4
    at = header + (52 if content[header] == 1 else 40)
    a, b, c, d = (value << 16 for value in matrix)
    for k, value in enumerate((a, b, 0, c, d, 0, 0, 0, 1 << 30)):
        content[at + 4 * k : at + 4 * k + 4] = value.to_bytes(4, "big", signed=True)
    path.write_bytes(content)
