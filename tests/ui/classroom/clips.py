"""Small clips for the class record: real ones cut down, and ones in which nothing moves."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from ui.samples import FOLDER

SMALL = (480, 270)
Size = tuple[int, int]


def shrunk(sample: str, path: Path, every: int = 3, size: Size = SMALL) -> Path:
    """A sample with fewer pixels and frames, another size being another clip: read in seconds."""
    film = cv2.VideoCapture(str(FOLDER / sample))
    rate = film.get(cv2.CAP_PROP_FPS) / every
    small = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"mp4v"), rate, size)
    try:
        count = 0
        while film.grab():
            if count % every == 0:
                _, frame = film.retrieve()
                small.write(cv2.resize(frame, size, interpolation=cv2.INTER_AREA))
            count += 1
    finally:
        small.release()
        film.release()
    return path


def still(path: Path, seed: int = 7, frames: int = 12) -> Path:
    """A sound clip in which nothing moves; another seed is another clip."""
    film = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"mp4v"), 30, (160, 120))
    blocks = np.random.default_rng(seed).integers(60, 200, (6, 8, 3), np.uint8)
    wall = cv2.resize(blocks, (160, 120), interpolation=cv2.INTER_NEAREST)
    for _ in range(frames):
        film.write(wall)
    film.release()
    return path
