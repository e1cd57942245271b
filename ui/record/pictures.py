"""Evidence pictures as they are kept: an eighth of the size, and the same to the eye.

A drawn frame of a phone's clip is 1.7 MB as PNG and 0.2 MB as JPEG; a lesson of thirty
clips has ninety of them. Colour is kept as finely as light, for the thin lines' sake.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.clip import Picture

CODING = (
    cv2.IMWRITE_JPEG_QUALITY,
    88,
    cv2.IMWRITE_JPEG_SAMPLING_FACTOR,
    cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444,
)


def packed_picture(png: bytes) -> bytes:
    """A picture as it is kept, JPEG."""
    return in_jpeg(picture_in(png))


def png_of(kept: bytes) -> bytes:
    """A kept picture as pages and hand-outs show it."""
    _, png = cv2.imencode(".png", picture_in(kept))
    return png.tobytes()


def in_jpeg(picture: Picture) -> bytes:
    _, content = cv2.imencode(".jpg", picture, CODING)
    return content.tobytes()


def picture_in(content: bytes) -> Picture:
    """The picture in a file's content, BGR, shape ``(height, width, 3)``."""
    picture: NDArray[np.uint8] | None = cv2.imdecode(
        np.frombuffer(content, np.uint8), cv2.IMREAD_COLOR
    )
    if picture is None:
        raise ValueError("an evidence picture cannot be decoded")
    return picture
