"""The first frame of a clip, small enough to send to a browser."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2

from vision.clip import first_frame

LONGEST_SIDE_PX = 1600
JPEG_QUALITY = 88


@dataclass(frozen=True)
class Still:
    """A frame as JPEG, and how large it is in the clip."""

    jpeg: bytes
    width: int
    """Pixels of the upright clip, not of the JPEG."""
    height: int


def first_still(path: Path) -> Still:
    """Raises `ClipError` as `vision.clip.first_frame` does."""
    frame = first_frame(path)
    height, width = frame.shape[:2]
    shrink = min(1.0, LONGEST_SIDE_PX / max(width, height))
    small = cv2.resize(frame, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    _, jpeg = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    return Still(jpeg.tobytes(), width, height)
