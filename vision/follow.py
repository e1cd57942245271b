"""Follow the found scene through the clip, frame by frame."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.first_look import WorkingFrame
from vision.fit import Edges, Freedom, fit_motion
from vision.lines import measure_edges
from vision.scene import Scene
from vision.steady import View

Floats = NDArray[np.float64]

FALLEN_RAD = radians(12.0)
"""Once the body leans this far it has gone, and there is no more to follow."""


@dataclass(frozen=True)
class FollowedFrame:
    """What was measured in one frame."""

    index: int
    time_s: float
    points: Floats
    """Shape ``(L, 2, 2)``, pixels of the first frame's view."""
    u_px: Floats
    """Shape ``(L,)``."""
    own: Floats
    """Shape ``(5,)``, with the scene as it was found."""


class Follower:
    """Predicts where the scene's edges are in the next frame and measures them."""

    def __init__(self, scene: Scene, shift_u: float) -> None:
        self._scene = scene
        self._contrast = np.array([line.contrast for line in scene.lines])
        self._freedom = Freedom(lean_rad=1.0, slip=1.0, shift=shift_u)
        self._last: list[tuple[float, Floats]] = []
        self.reach_px = max(4, round(max(scene.width, scene.height) / 240))

    def follow(self, frame: WorkingFrame, view: View, guess: Floats | None = None) -> FollowedFrame:
        """Measure one frame; ``guess`` overrides the prediction from the last ones."""
        own = self._predicted(frame.time_s) if guess is None else guess
        grey = frame.grey.astype(np.float32)
        for _ in range(3):
            points, u_px = self._measured(grey, view, own)
            edges = Edges(points[None], u_px[None])
            before, own = own, fit_motion(self._scene, own[None], edges, self._freedom, 2)[0][0]
            moved = self._scene.segments(np.stack([before, own]))
            if np.abs(moved[1] - moved[0]).max() < self.reach_px / 3:
                break
        self._last = [*self._last[-1:], (frame.time_s, own)]
        return FollowedFrame(frame.index, frame.time_s, points, u_px, own)

    def _predicted(self, time_s: float) -> Floats:
        last_s, last = self._last[-1]
        if len(self._last) < 2:
            return last
        before_s, before = self._last[0]
        return last + (last - before) * (time_s - last_s) / (last_s - before_s)

    def _measured(
        self, grey: NDArray[np.float32], view: View, own: Floats
    ) -> tuple[Floats, Floats]:
        segments = self._scene.segments(own[None])[0].reshape(-1, 1, 2)
        looked = cv2.perspectiveTransform(segments, view.turned).reshape(-1, 4)
        edges = measure_edges(grey, looked, self._contrast, self.reach_px)
        points, u_px = edges.points(looked)
        points[edges.share < 0.35] = np.nan
        undo = np.linalg.inv(view.turned)
        return points @ undo[:2, :2].T + undo[:2, 2], u_px
