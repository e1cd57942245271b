"""The few frames of a clip that are drawn in, and their pictures."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from concurrent.futures import Executor, Future
from dataclasses import replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.clip import Frame
from vision.evidence import draw_scene, evidence_picture, turning_plane
from vision.follow import FollowedFrame
from vision.reading import EvidencePicture
from vision.refine import Motion

LATEST_S, LATEST_HZ = 3.0, 30.0


class Album:
    """A few colour frames to draw in: the first, that of the largest tilt, the latest."""

    def __init__(self) -> None:
        self.first: Frame | None = None
        self.highest: Frame | None = None
        self.latest: deque[Frame] = deque(maxlen=int(LATEST_S * LATEST_HZ))
        self._highest_rad = -1.0

    def see(self, frame: Frame) -> None:
        """Keep a frame if it is due."""
        if self.latest and frame.time_s - self.latest[-1].time_s <= 0.9 / LATEST_HZ:
            return
        self.latest.append(frame)
        if self.first is None:
            self.first = self.latest[-1]

    def tilted(self, tilt_rad: float) -> None:
        """Say how far the board is tilted in the latest frame."""
        if self.latest and tilt_rad > self._highest_rad + radians(0.25):
            self.highest, self._highest_rad = self.latest[-1], tilt_rad

    def nearest(self, time_s: float) -> Frame:
        return min(self.latest, key=lambda frame: abs(frame.time_s - time_s))


class Pictures:
    """Frames with the scene drawn in, each drawn once; those that are shown whatever the verdict
    is are begun at once."""

    def __init__(
        self, album: Album, motion: Motion, followed: Sequence[FollowedFrame], pool: Executor
    ) -> None:
        self._album, self._motion, self._followed, self._pool = album, motion, followed, pool
        self._last = album.nearest(float(motion.time_s[-1]))
        self._begun: dict[int, Future[EvidencePicture]] = {}
        for frame in (album.first, self._last):
            if frame is not None:
                self._begin(frame)

    def about(self, onset_s: float | None) -> tuple[EvidencePicture, ...]:
        """What is shown of a clip in which something went at that time, or nothing did."""
        album = self._album
        if onset_s is None:
            shown = {"start": album.first, "largest tilt": album.highest, "end": self._last}
        else:
            shown = {"start": album.first, "brink": album.nearest(onset_s), "after": self._last}
        begun = {moment: self._begin(frame) for moment, frame in shown.items() if frame is not None}
        return tuple(replace(made.result(), moment=moment) for moment, made in begun.items())

    def _begin(self, frame: Frame) -> Future[EvidencePicture]:
        if frame.index not in self._begun:
            # Only one thread at a time may turn a frame to colours.
            self._begun[frame.index] = self._pool.submit(self._drawn, frame, frame.bgr)
        return self._begun[frame.index]

    def _drawn(self, frame: Frame, bgr: NDArray[np.uint8]) -> EvidencePicture:
        row = int(np.argmin(np.abs(self._motion.time_s - frame.time_s)))
        shown = self._motion.scene, self._motion.own[row], self._followed[row].view
        picture = draw_scene(bgr, *shown)
        plane = turning_plane(picture, *shown)
        return evidence_picture("", frame.index, frame.time_s, picture, plane)
