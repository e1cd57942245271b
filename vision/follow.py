"""Follow the found scene through the clip, frame by frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import radians

import numpy as np
from numpy.typing import NDArray

from vision.edges import Kind
from vision.first_look import WorkingFrame
from vision.fit import Edges, Freedom, edge_residuals, fit_motion
from vision.foretelling import LEANING_RAD, PACE_FRAMES, RECENT, foretold
from vision.refine import fit_calm
from vision.scene import LEAN, SLIP, TILT, Scene
from vision.search import in_equal_parts
from vision.steady import View
from vision.viewed import measure_viewed

Floats = NDArray[np.float64]

FALLEN_RAD = radians(12.0)
"""Once the body leans this far it has gone, and there is no more to follow."""
FOUND_SHARE = 0.35
REFIT_FRAMES, REFIT_TIMES = 24, 1.5
"""The scene is fitted again whenever the tilt it was fitted to has grown by this."""
CONTRAST_PACE = 0.05
LEAN_PACE_RAD = radians(0.2)
SLIP_PACE = 0.0007
"""By how much a frame may depart from what the last ones foretell, in a thirtieth of a second."""
PACE_S = 1 / 30
STRIDE_S = 0.1
"""While nothing happens one frame in this time is foretold, the rest are filled in."""
STEPS, HELD_STEPS = 2, 3
"""In which a frame is fitted: more in a hand, where leans are not foretold and so farther off."""
TOGETHER = 24
"""So many frames are measured at once."""
SLIPPING = 0.03
"""Of the body's radius, within the last frames."""
LAST_FRAMES, WORSE = 12, 1.1
LEAP_RAD, MOST_LEAP_RAD = radians(1.0), radians(2.0)
"""By how much a board's tilt may depart from what the last frames foretell, in a thirtieth of
a second, and at all."""
UPHILL_RAD = radians(-1.5)
STANDING = np.array([1.0, 0.0, 1.0, 1.0, 1.0])
"""What is left of a frame's unknowns where its body does not lean."""
GONE_S = 0.7


@dataclass(frozen=True)
class SeenFrame:
    """A frame to be measured, with where the phone looked."""

    frame: WorkingFrame
    view: View


@dataclass(frozen=True)
class FollowedFrame:
    """What was measured in one frame."""

    index: int
    time_s: float
    view: View
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
        self._of_board = np.array([line.of_board for line in scene.lines])
        self._leading = next(k for k, line in enumerate(scene.lines) if line.kind is Kind.ALONG)
        self._freedom = Freedom(lean_rad=1.0, slip=1.0, shift=shift_u)
        self._pace = Freedom(lean_rad=LEAN_PACE_RAD, slip=SLIP_PACE, shift=shift_u)
        self._in_hand = shift_u > 0
        self._steps = HELD_STEPS if self._in_hand else STEPS
        self._start_rad = start_tilt_rad
        self._reach_px = max(4, round(max(scene.width, scene.height) / 240))
        self._fitted_rad: float | None = None
        self._laid_by: list[SeenFrame] = []
        self._between: list[SeenFrame] = []

    def follow(self, seen: SeenFrame) -> None:
        """Measure the next frame, foretold from the last ones.

        While a phone lies still and the body stands, only one frame in each stride is
        foretold; those between are laid by and measured together when it is known where
        the board went.
        """
        if not self.followed:
            raise ValueError("the first frames are measured from guesses")
        self._laid_by.append(seen)
        if self._may_stride() and seen.frame.time_s < self.followed[-1].time_s + STRIDE_S:
            return
        held, self._laid_by = self._laid_by, []
        own = foretold(self.followed, seen.frame.time_s, self._in_hand)
        last = self._near(own, seen)
        if self._as_foretold(last, own):
            self._between += held[:-1]
            self.followed.append(last)
        else:
            self.fill_in()
            for each in held:
                self.followed.append(self._foretold(each))
        if len(self._between) >= TOGETHER or not self._may_stride():
            self.fill_in()

    def finish(self) -> None:
        """Measure what was laid by: there is no further frame."""
        held, self._laid_by = self._laid_by, []
        for each in held:
            self.followed.append(self._foretold(each))
        self.fill_in()

    def fill_in(self) -> None:
        """Measure the frames between those followed, guessing from both their neighbours."""
        if not self._between:
            return
        known = [frame.time_s for frame in self.followed]
        own = np.stack([frame.own for frame in self.followed])
        asked = [seen.frame.time_s for seen in self._between]
        guesses = np.stack([np.interp(asked, known, column) for column in own.T], axis=1)
        self.measure(self._between, guesses)
        self._between = []

    def measure(self, frames: Sequence[SeenFrame], guesses: Floats) -> None:
        """Measure frames all at once from guesses ``(N, 5)`` of their unknowns."""
        found = []
        for k in range(0, len(frames), TOGETHER):
            some = slice(k, k + TOGETHER)
            found += self._found(frames[some], guesses[some], self._reach_px, 1.0)
        self.followed = sorted([*self.followed, *found], key=lambda frame: frame.time_s)

    def _foretold(self, seen: SeenFrame) -> FollowedFrame:
        return self._near(foretold(self.followed, seen.frame.time_s, self._in_hand), seen)

    def _near(self, own: Floats, seen: SeenFrame) -> FollowedFrame:
        """A frame measured near its unknowns as they were foretold."""
        leans = own[LEAN] > 3 * LEANING_RAD
        reach = self._reach_px * (2 if leans or self._lost() else 1)
        strides = max(1.0, (seen.frame.time_s - self.followed[-1].time_s) / PACE_S)
        return self._found([seen], own[None], reach, strides)[0]

    def _may_stride(self) -> bool:
        """Whether nothing has happened that asks for every frame."""
        if self._in_hand or self._lost():
            return False
        return bool(abs(self.followed[-1].own[LEAN]) < LEANING_RAD and not self._slips())

    def _slips(self) -> bool:
        slip = [frame.own[SLIP] for frame in self.followed[-PACE_FRAMES:]]
        return bool(np.ptp(slip) > SLIPPING * self.scene.radius)

    def _as_foretold(self, last: FollowedFrame, own: Floats) -> bool:
        """Whether a frame was found well enough, and near enough to where its edges were
        foretold, to pass over those before it."""
        led = bool(_whole(last.points)[self._of_board].any())
        found, expected = self.scene.segments(np.stack([last.own, own]))
        return last.body_seen and led and bool(np.abs(found - expected).max() < self._reach_px / 2)

    def _found(
        self, frames: Sequence[SeenFrame], guesses: Floats, reach: int, strides: float
    ) -> list[FollowedFrame]:
        """The frames as measured near where their unknowns are thought to be."""
        own = guesses
        # Board and body hold each other: neither runs off with an edge that wanders.
        freedom = replace(
            self._pace,
            lean_rad=strides * LEAN_PACE_RAD,
            slip=strides * SLIP_PACE,
            near=own * [1.0, 1.0, 1.0, 0.0, 0.0],
        )
        expected = self.scene.segments(own)
        for _ in range(3):
            points, u_px, contrast = self._measured(frames, expected, reach)
            own, _ = fit_motion(self.scene, own, Edges(points, u_px), freedom, self._steps)
            before, expected = expected, self.scene.segments(own)
            if np.abs(expected - before).max() < reach / 3:
                break
        leapt = self._leapt(own, guesses, strides)
        if leapt.any():
            # No board leaps: its edges were lost in such a frame, but the body tells its tilt.
            points[leapt[:, None] & self._of_board] = np.nan
            stands = guesses * np.where(guesses[:, [LEAN]] < LEANING_RAD, STANDING, 1.0)
            held = replace(freedom, near=stands * [1.0, 1.0, 1.0, 0.0, 0.0])
            by_body = fit_motion(self.scene, stands, Edges(points, u_px), held, 2)[0]
            own = np.where(leapt[:, None], by_body, own)
            leapt &= self._leapt(own, guesses, strides)
            own = np.where(leapt[:, None], guesses, own)
            points[leapt] = np.nan
        seen = np.asarray(_whole(points)[:, self._outlines].any(axis=1))
        # No body leans up the slope: some other edge was taken for its outline.
        uphill = own[:, LEAN] < UPHILL_RAD
        own[uphill] *= [1.0, 0.0, 0.0, 1.0, 1.0]
        self._keep_pace(contrast[-1], points[-1])
        return [
            FollowedFrame(
                each.frame.index, each.frame.time_s, each.view, points[k], u_px[k], own[k],
                bool(seen[k] and not uphill[k]),
            )
            for k, each in enumerate(frames)
        ]  # fmt: skip

    def _leapt(self, own: Floats, guesses: Floats, strides: float) -> NDArray[np.bool_]:
        """In which frames the board is farther from where it was thought to be than hands
        move it."""
        return np.abs(own[:, TILT] - guesses[:, TILT]) > min(strides * LEAP_RAD, MOST_LEAP_RAD)

    def _lost(self) -> bool:
        """Whether the body, or in a hand the board's leading edge, was not found last."""
        last = self.followed[-1]
        led = bool(_whole(last.points)[self._leading])
        return not last.body_seen or (self._in_hand and not led)

    @property
    def body_gone(self) -> bool:
        """Whether the body has fallen, or began to and has been out of sight since."""
        last = self.followed[-1]
        seen = [frame for frame in self.followed[-RECENT:] if frame.body_seen]
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
        if self._fitted_rad is None:
            self._fitted_rad = max(map(self._raised_rad, self.followed))
        last = self.followed[-1]
        raised = self._raised_rad(last)
        calm = last.body_seen and abs(last.own[LEAN]) < LEANING_RAD
        if calm and raised > REFIT_TIMES * self._fitted_rad:
            self._fitted_rad = raised
            self.fill_in()
            fit, _, _ = fit_calm(
                self.scene,
                self.followed,
                self._start_rad,
                self._freedom,
                rounds=2,
                settled=1e-4,
                most=REFIT_FRAMES,
            )
            before, _ = self._last_in(self.scene)
            after, own = self._last_in(fit.scene)
            if after <= WORSE * before:
                self.scene = fit.scene
                # The next frame is foretold from the last ones as this scene has them.
                self.followed[-len(own) :] = [
                    replace(frame, own=x)
                    for frame, x in zip(self.followed[-len(own) :], own, strict=True)
                ]

    def _raised_rad(self, frame: FollowedFrame) -> float:
        return abs(float(frame.own[TILT]) - self._start_rad)

    def _last_in(self, scene: Scene) -> tuple[float, Floats]:
        """How far edges typically are from where a scene has them in the last frames, and
        those frames' unknowns in it."""
        last = self.followed[-LAST_FRAMES:]
        own = np.stack([frame.own for frame in last])
        edges = Edges(np.stack([f.points for f in last]), np.ones((len(last), len(scene.lines))))
        own, _ = fit_motion(scene, own, edges, self._freedom)
        return float(np.nanmedian(np.abs(edge_residuals(scene, own, edges)))), own

    def _measured(
        self, frames: Sequence[SeenFrame], segments: Floats, reach: int
    ) -> tuple[Floats, Floats, Floats]:
        """Points ``(N, L, 2, 2)``, their uncertainties ``(N, L)`` and contrasts ``(N, L, B)``."""
        greys, views = [each.frame.grey for each in frames], [each.view for each in frames]
        return measure_viewed(greys, views, segments, self._contrast, reach, FOUND_SHARE)

    def _keep_pace(self, contrast: Floats, points: Floats) -> None:
        """Let the contrast asked for follow the light as the board turns."""
        found = _whole(points)[:, None] & np.isfinite(contrast)
        self._contrast = np.where(
            found, self._contrast + CONTRAST_PACE * (contrast - self._contrast), self._contrast
        )


def _whole(points: Floats) -> NDArray[np.bool_]:
    """Which lines were found, ``(..., L)``, of their points ``(..., L, 2, 2)``."""
    return np.asarray(np.isfinite(points).all(axis=(-2, -1)))
