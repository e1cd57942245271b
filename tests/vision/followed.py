"""Followed frames as a reader would have them, by geometry alone: no picture is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.scenes.motion import Motion
from tests.scenes.scene import Scene as Drawn
from tests.vision.courses import FOLLOWED_RAD
from tests.vision.geometry import Floats, own_of, scene_of, seen_edges
from vision.first_look import KeptFrame, WorkingFrame
from vision.follow import FollowedFrame, Follower, SeenFrame
from vision.scene import Scene
from vision.steady import View

STATED_U_PX = 0.1
BLANK = np.zeros((1, 1), np.uint8)
STILL = View(np.eye(3), np.eye(3), roll_rad=0.0, still_share=1.0, shift_px=0.0)


@dataclass(frozen=True)
class Film:
    """What was followed, and what was there."""

    drawn: Drawn
    truth: np.ndarray
    """Rows of tilt, lean and slip, radians and metres, shape ``(N, 3)``."""
    scene: Scene
    followed: list[FollowedFrame]


def film_of(
    drawn: Drawn, motion: Motion, noise_px: float = 0.1, frames_per_second: float = 30.0
) -> Film:
    """Edges of every frame until the body has leaned by 12°, with noise."""
    times = np.arange(0, motion.time_s[-1], 1 / frames_per_second)
    seen = motion.at(times)
    gone = np.flatnonzero((seen.lean_rad > FOLLOWED_RAD) | (seen.slip_m > 0.06))
    count = int(gone[0]) + 1 if len(gone) else len(times)
    truth = np.column_stack([seen.tilt_rad, seen.lean_rad, seen.slip_m])[:count]
    points, own = seen_edges(drawn, truth), own_of(drawn, truth)
    rng = np.random.default_rng([5, drawn.seed])
    points = points + rng.normal(0, noise_px, points.shape)
    u_px = np.full(points.shape[1], STATED_U_PX)
    followed = [
        FollowedFrame(k, float(times[k]), STILL, points[k], u_px, own[k], True)
        for k in range(count)
    ]
    return Film(drawn, truth, scene_of(drawn), followed)


def blinded(film: Film, frames: slice) -> Film:
    """The same with the body out of sight in some frames."""
    followed = list(film.followed)
    for k in range(len(followed))[frames]:
        points = followed[k].points.copy()
        points[4:] = np.nan
        followed[k] = replace(followed[k], points=points, body_seen=False)
    return replace(film, followed=followed)


def unseen_frames(times_s: Floats) -> list[SeenFrame]:
    """Frames of a phone that lies still, with nothing in their pictures."""
    return [
        SeenFrame(WorkingFrame(k, float(time_s), BLANK), STILL) for k, time_s in enumerate(times_s)
    ]


def kept_frames(turns_rad: Floats) -> list[KeptFrame]:
    """The same as the first look keeps them, each with how far the board has turned."""
    frames = unseen_frames(np.arange(len(turns_rad)) / 30)
    return [
        KeptFrame(each.frame, STILL, np.eye(2, 3), float(turn))
        for each, turn in zip(frames, turns_rad, strict=True)
    ]


class ByGeometry(Follower):
    """The reader's follower, its edges handed to it instead of looked for in a picture."""

    def __init__(self, scene: Scene, points: Floats, u_px: Floats, start_tilt_rad: float) -> None:
        """``points`` of every frame have shape ``(N, L, 2, 2)``, ``u_px`` ``(N, L)``."""
        super().__init__(scene, 0.0, start_tilt_rad)
        self._points, self._u_px = points, u_px
        self.looks: list[int] = []
        """How many frames were measured at once, each time."""

    def _measured(
        self, frames: Sequence[SeenFrame], segments: Floats, reach: int
    ) -> tuple[Floats, Floats, Floats]:
        """The frames' edges; those farther from where they are looked for are not found."""
        self.looks.append(len(frames))
        which = [each.frame.index for each in frames]
        points = self._points[which].copy()
        along = segments[..., 2:] - segments[..., :2]
        normal = np.stack([-along[..., 1], along[..., 0]], axis=-1)
        normal /= np.linalg.norm(along, axis=-1, keepdims=True)
        apart = np.sum((points - segments[:, :, None, :2]) * normal[:, :, None], axis=-1)
        off = np.abs(apart).max(axis=2)
        points[~(off <= reach)] = np.nan
        contrast = np.broadcast_to(self._contrast, (len(which), *self._contrast.shape))
        return points, self._u_px[which], contrast
