"""Follow the found scene through the clip, frame by frame."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.first_look import WorkingFrame
from vision.fit import Edges, Freedom, edge_residuals, fit_motion
from vision.lines import measure_edges
from vision.refine import fit_calm
from vision.scene import LEAN, SHIFT_X, SHIFT_Y, SLIP, TILT, Kind, Scene
from vision.search import in_equal_parts
from vision.steady import View

Floats = NDArray[np.float64]

FALLEN_RAD = radians(12.0)
"""Once the body leans this far it has gone, and there is no more to follow."""
LEANING_RAD = radians(0.3)
FALLING_PER_S = 8.0
"""A lean grows by this rate: k of tins, 4 to 9 per second."""
FOUND_SHARE = 0.35
REFIT_TIMES = 1.5
"""The scene is fitted again whenever the tilt it was fitted to has grown by this."""
CONTRAST_PACE = 0.05
LEAN_PACE_RAD = radians(0.2)
SLIP_PACE = 0.0007
"""By how much a frame may depart from what the last ones foretell."""
PACE_FRAMES = 8
SWAY = 0.05
LAST_FRAMES, WORSE = 12, 1.1
AT_REST = 0.7
LEAP_RAD = radians(2.0)
UPHILL_RAD = radians(-1.5)
GONE_S = 0.7


@dataclass(frozen=True)
class FollowedFrame:
    """What was measured in one frame."""

    index: int
    time_s: float
    points: Floats
    """Shape ``(L, 2, 2)``, pixels of the first frame's view; NaN where not found."""
    u_px: Floats
    """Shape ``(L,)``."""
    own: Floats
    """Shape ``(5,)``, with the scene as known then."""
    body_seen: bool
    """Whether either outline was found; if not, lean and slip are guesses."""


class Follower:
    """Predicts where the scene's edges are in the next frame and measures them."""

    def __init__(self, scene: Scene, shift_u: float, start_tilt_rad: float) -> None:
        self.scene = scene
        self.followed: list[FollowedFrame] = []
        self._contrast = in_equal_parts([line.contrast for line in scene.lines])
        self._outlines = [k for k, line in enumerate(scene.lines) if line.is_outline]
        self._leading = next(k for k, line in enumerate(scene.lines) if line.kind is Kind.ALONG)
        self._freedom = Freedom(lean_rad=1.0, slip=1.0, shift=shift_u)
        self._pace = Freedom(lean_rad=LEAN_PACE_RAD, slip=SLIP_PACE, shift=shift_u)
        self._start_rad = start_tilt_rad
        self._reach_px = max(4, round(max(scene.width, scene.height) / 240))
        self._fitted_rad: float | None = None

    def follow(self, frame: WorkingFrame, view: View, guess: Floats | None = None) -> None:
        """Measure one frame; ``guess`` overrides the prediction from the last ones."""
        foretold = own = self._predicted(frame.time_s) if guess is None else guess
        reach = self._reach_px * (2 if own[LEAN] > 3 * LEANING_RAD or self._lost() else 1)
        grey = frame.grey.astype(np.float32)
        # Board and body hold each other: neither runs off with an edge that wanders.
        freedom = replace(self._pace, near=own[None] * [1.0, 1.0, 1.0, 0.0, 0.0])
        for _ in range(3):
            points, u_px, contrast = self._measured(grey, view, own, reach)
            edges = Edges(points[None], u_px[None])
            before, own = own, fit_motion(self.scene, own[None], edges, freedom, 3)[0][0]
            moved = self.scene.segments(np.stack([before, own]))
            if np.abs(moved[1] - moved[0]).max() < reach / 3:
                break
        seen = bool(np.isfinite(points[self._outlines]).all(axis=(1, 2)).any())
        if abs(own[TILT] - foretold[TILT]) > LEAP_RAD:
            # No board leaps: the edges were lost in this frame.
            own, seen, points = foretold, False, np.full_like(points, np.nan)
        if own[LEAN] < UPHILL_RAD:
            # No body leans up the slope: some other edge was taken for its outline.
            own, seen = own * [1.0, 0.0, 0.0, 1.0, 1.0], False
        self._keep_pace(contrast, points)
        self.followed.append(FollowedFrame(frame.index, frame.time_s, points, u_px, own, seen))

    def _lost(self) -> bool:
        """Whether the body, or in a hand the board's leading edge, was not found last."""
        if not self.followed:
            return False
        last = self.followed[-1]
        led = bool(np.isfinite(last.points[self._leading]).all())
        return not last.body_seen or (self._pace.shift > 0 and not led)

    @property
    def body_gone(self) -> bool:
        """Whether the body has fallen, or began to and has been out of sight since."""
        last = self.followed[-1]
        seen = [frame for frame in self.followed[-200:] if frame.body_seen]
        if not seen:
            return False
        unseen_s = last.time_s - seen[-1].time_s
        leans = seen[-1].own[LEAN]
        return bool(leans > FALLEN_RAD or (leans > 3 * LEANING_RAD and unseen_s > GONE_S))

    def refit_if_due(self) -> None:
        """Fit the scene again once the board has gone well past what it was fitted to.

        What is known from the first few degrees foretells the next few well enough,
        but not forty.
        """
        tilts = [abs(frame.own[TILT] - self._start_rad) for frame in self.followed]
        if self._fitted_rad is None:
            self._fitted_rad = max(tilts)
        last = self.followed[-1]
        calm = last.body_seen and abs(last.own[LEAN]) < LEANING_RAD
        if calm and tilts[-1] > REFIT_TIMES * self._fitted_rad:
            self._fitted_rad = tilts[-1]
            fit, _, _ = fit_calm(self.scene, self.followed, self._start_rad, self._freedom)
            before, _ = self._last_in(self.scene)
            after, own = self._last_in(fit.scene)
            if after <= WORSE * before:
                self.scene = fit.scene
                # The next frame is foretold from the last ones as this scene has them.
                self.followed[-len(own) :] = [
                    replace(frame, own=x)
                    for frame, x in zip(self.followed[-len(own) :], own, strict=True)
                ]

    def _last_in(self, scene: Scene) -> tuple[float, Floats]:
        """How far edges typically are from where a scene has them in the last frames, and
        those frames' unknowns in it."""
        last = self.followed[-LAST_FRAMES:]
        own = np.stack([frame.own for frame in last])
        edges = Edges(np.stack([f.points for f in last]), np.ones((len(last), len(scene.lines))))
        own, _ = fit_motion(scene, own, edges, self._freedom)
        return float(np.nanmedian(np.abs(edge_residuals(scene, own, edges)))), own

    def _predicted(self, time_s: float) -> Floats:
        """The last two frames carried on; a lean that has begun grows faster and faster."""
        last = self.followed[-1]
        if len(self.followed) < 2:
            return last.own
        ahead_s = time_s - last.time_s
        step = self._rates(2)[-1] * ahead_s
        if self._pace.shift > 0 or not last.body_seen:
            # Neither a hand's sway nor an edge mistaken for another runs on.
            step[TILT] = np.median(self._rates(PACE_FRAMES)[:, TILT]) * ahead_s
        if last.own[LEAN] > LEANING_RAD and step[LEAN] > 0:
            step[LEAN] *= np.exp(FALLING_PER_S * ahead_s)
        if self._pace.shift > 0:
            # In a hand everything sways, and a body at rest on its board does so with it.
            step[SLIP] = 0.0
            if last.own[LEAN] < 1.5 * LEANING_RAD:
                step[[LEAN, SLIP]] = -last.own[[LEAN, SLIP]] * AT_REST
        elif not last.body_seen:
            step[[LEAN, SLIP]] = 0.0
        # A hand sways about where it began, so its shift is not carried on.
        step[[SHIFT_X, SHIFT_Y]] = -SWAY * last.own[[SHIFT_X, SHIFT_Y]]
        return last.own + step

    def _rates(self, frames: int) -> Floats:
        """How fast the unknowns changed between each of the last frames, ``(M, 5)``."""
        recent = self.followed[-frames:]
        own, time_s = np.stack([f.own for f in recent]), np.array([f.time_s for f in recent])
        return np.diff(own, axis=0) / np.diff(time_s)[:, None]

    def _measured(
        self, grey: NDArray[np.float32], view: View, own: Floats, reach: int
    ) -> tuple[Floats, Floats, Floats]:
        segments = self.scene.segments(own[None])[0].reshape(-1, 2)
        looked = view.seen(segments).reshape(-1, 4)
        edges = measure_edges(grey, looked, self._contrast, reach)
        points, u_px = edges.points(looked)
        points[~(edges.share >= FOUND_SHARE)] = np.nan
        return view.steadied(points), u_px, edges.contrast

    def _keep_pace(self, contrast: Floats, points: Floats) -> None:
        """Let the contrast asked for follow the light as the board turns."""
        found = np.all(np.isfinite(points), axis=(1, 2)).reshape(-1, 1) & np.isfinite(contrast)
        self._contrast = np.where(
            found, self._contrast + CONTRAST_PACE * (contrast - self._contrast), self._contrast
        )
