"""The first frame for the browser."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from solver.errors import ClipFormatError
from ui.stills import LONGEST_SIDE_PX, first_still


def test_a_large_frame_is_sent_small_but_its_size_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "wide.avi"
    film = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 30, (2000, 500))
    for _ in range(3):
        film.write(np.full((500, 2000, 3), (200, 100, 50), np.uint8))
    film.release()
    still = first_still(path)
    small = cv2.imdecode(np.frombuffer(still.jpeg, np.uint8), cv2.IMREAD_COLOR)
    assert (still.width, still.height) == (2000, 500)
    assert small.shape[:2] == (LONGEST_SIDE_PX // 4, LONGEST_SIDE_PX)
    assert np.abs(small.reshape(-1, 3).mean(axis=0) - (200, 100, 50)).max() < 3


def test_no_frame_no_still(tmp_path: Path) -> None:
    path = tmp_path / "words.mp4"
    path.write_text("not a clip")
    with pytest.raises(ClipFormatError, match="holds no"):
        first_still(path)
