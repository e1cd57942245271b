"""Frames for paper: as large as they are printed, and no larger."""

from __future__ import annotations

import cv2
import numpy as np

from solver.errors import ClipFormatError

LONGEST_PX = 900
"""On a page 60 to 90 mm wide, some 250 to 380 to the inch."""
QUALITY = 85


def as_jpeg(png: bytes) -> bytes:
    """A frame as a small JPEG. Raises `ClipFormatError` where it is no picture."""
    picture = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR) if png else None
    if picture is None:
        raise ClipFormatError(
            "A frame kept in the record is no picture any more. Measure its clip again."
        )
    shrink = min(1.0, LONGEST_PX / max(picture.shape[:2]))
    small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    return cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])[1].tobytes()
