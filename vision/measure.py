"""From a clip to a reading: the one door into this room."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from solver.errors import ClipFormatError, ClipLengthError, LengthError
from vision.album import Album, Pictures
from vision.clip import FEWEST_FRAMES, Clip, Frame, open_clip
from vision.finding import SHAKE, Finding, NotFoundError, NothingTurnedError, find_scene
from vision.first_look import (
    LONGEST_SIDE_PX,
    FirstLook,
    Shade,
    WorkingFrame,
    look_first,
    working_frame,
)
from vision.follow import Follower, SeenFrame
from vision.reading import (
    ClipFacts,
    ClipReading,
    ClipSetup,
    Marks,
    Outcome,
)
from vision.refine import Motion, refine
from vision.scene import TILT
from vision.verdict import UncertainError, judge

Progress = Callable[[float], None]

LARGEST_RADIUS_M = 1.0
CHECK_PHONE_S = 1.0


def measure_clip(path: Path, setup: ClipSetup, progress: Progress | None = None) -> ClipReading:
    """Measure one clip.

    Parameters
    ----------
    path : the clip
    setup : what is known of it beforehand
    progress : called now and then with the share of the clip that is done, 0 to 1

    Raises
    ------
    ClipError
        The file cannot be measured at all; see solver.errors.
    LengthError
        The radius is not between 0 and 1 m.
    """
    if not 0.0 < setup.radius_m <= LARGEST_RADIUS_M:
        raise LengthError(
            f"The base radius is {1000 * setup.radius_m:g} mm; it must be more than 0 and at "
            "most 1000 mm. Measure the rim that touches the board."
        )
    began = time.perf_counter()
    reading = _Measurement(path, setup, progress or (lambda share: None)).read()
    return replace(reading, seconds_taken=time.perf_counter() - began)


class _PhoneMovedError(Exception):
    """The phone was still at first and moved later."""


@dataclass(frozen=True)
class _Prepared:
    """A frame as it is measured, and as it would be drawn in."""

    working: WorkingFrame
    drawn: Frame
    size: tuple[int, int]
    """Height and width of the clip's own picture."""


@dataclass
class _Count:
    """Frames seen."""

    frames: int = 0
    last_s: float = 0.0
    width: int = 0
    height: int = 0

    def facts(self) -> ClipFacts:
        rate = (self.frames - 1) / self.last_s if self.last_s > 0 else 0.0
        return ClipFacts(self.width, self.height, self.frames, self.last_s, rate)


class _Measurement:
    """One clip being measured."""

    def __init__(self, path: Path, setup: ClipSetup, progress: Progress) -> None:
        self._path, self._setup, self._progress = path, setup, progress
        self._start_rad = float(setup.start_tilt_rad.nominal_value)
        self._shade = Shade.LIGHT

    def read(self) -> ClipReading:
        """In the first shade in which board and body are seen; else why not in the first."""
        missing: list[str] = []
        for self._shade in Shade:
            try:
                reading = self._seen()
            except NotFoundError as reason:
                missing.append(str(reason))
                if isinstance(reason, NothingTurnedError):
                    break
            else:
                if not missing or reading.outcome is not Outcome.UNREADABLE:
                    return reading
        return self._unreadable(missing[0])

    def _seen(self) -> ClipReading:
        try:
            return self._pass_through(steady=None)
        except _PhoneMovedError:
            return self._pass_through(steady=False)

    def _pass_through(self, steady: bool | None) -> ClipReading:
        """Raises `NotFoundError` where board or body are not to be seen in this shade."""
        self._album, self._count = Album(), _Count()
        with open_clip(self._path) as clip:
            frames = self._frames(clip)
            try:
                look = look_first(frames)
                still = look.phone_is_still() if steady is None else steady
                finding = find_scene(look, self._start_rad, still, self._working_marks(look))
            except NotFoundError:
                self._drain(frames)
                raise
            follower = self._followed(look, finding, still, frames)
        return self._concluded(follower, 0.0 if still else SHAKE)

    def _working_marks(self, look: FirstLook) -> Marks | None:
        """The marks in pixels of the working picture."""
        marks = self._setup.marks
        return marks and marks.scaled(look.kept[0].frame.grey.shape[1] / self._count.width)

    def _frames(self, clip: Clip) -> Iterator[WorkingFrame]:
        """Working frames, while the album, the count and the progress are kept."""
        expected = max(clip.frames_expected, 1)
        for frame in clip.prepared(self._prepared):
            self._album.see(frame.drawn)
            self._count.frames += 1
            self._count.last_s = frame.drawn.time_s
            self._count.height, self._count.width = frame.size
            if self._count.frames % 8 == 0:
                self._progress(min(0.97, self._count.frames / expected))
            yield frame.working
        if self._count.frames == 0:
            raise ClipFormatError(
                f"{self._path.name} holds no frame that can be decoded: it is damaged or was cut "
                "off. Export it again from the phone."
            )
        if self._count.frames < FEWEST_FRAMES:
            raise ClipLengthError(
                f"{self._path.name} has {self._count.frames} frame(s); at least {FEWEST_FRAMES} "
                "are needed to see the board move. Film until the body has gone."
            )

    def _prepared(self, frame: Frame) -> _Prepared:
        drawn = frame.within(LONGEST_SIDE_PX)
        return _Prepared(working_frame(drawn, self._shade), drawn, frame.size)

    def _drain(self, frames: Iterator[WorkingFrame]) -> None:
        for _ in frames:
            pass

    def _followed(
        self, look: FirstLook, finding: Finding, still: bool, frames: Iterator[WorkingFrame]
    ) -> Follower:
        """Every kept frame of the first look, then the rest until the body has fallen."""
        follower = Follower(finding.fit.scene, 0.0 if still else SHAKE, self._start_rad)
        first = look.kept[0].view
        follower.measure(
            [SeenFrame(kept.frame, first if still else kept.view) for kept in look.kept],
            finding.own_of(look),
        )
        due_s = 0.0
        for frame in frames:
            view = first
            if not still:
                view = look.steadier.align(frame.grey)
            elif frame.time_s > due_s:
                due_s = frame.time_s + CHECK_PHONE_S
                if not look.steadier.is_still(frame.grey):
                    raise _PhoneMovedError
            follower.follow(SeenFrame(frame, view))
            follower.refit_if_due()
            self._album.tilted(float(follower.followed[-1].own[TILT]))
            if follower.body_gone:
                break
        follower.finish()
        return follower

    def _unreadable(self, *reasons: str) -> ClipReading:
        return ClipReading(
            outcome=Outcome.UNREADABLE,
            facts=self._count.facts(),
            angle_rad=None,
            onset_s=None,
            onset_frame=None,
            largest_tilt_rad=None,
            reasons=reasons,
            series=None,
            pictures=(),
            by_hand=self._setup.marks is not None or self._setup.onset_s is not None,
            seconds_taken=0.0,
        )

    def _concluded(self, follower: Follower, shift_u: float) -> ClipReading:
        motion = refine(follower.scene, follower.followed, self._start_rad, shift_u)
        with ThreadPoolExecutor() as pool:
            pictures = Pictures(self._album, motion, follower.followed, pool)
            reading = self._judged(follower, motion)
            return replace(reading, pictures=pictures.about(reading.onset_s))

    def _judged(self, follower: Follower, motion: Motion) -> ClipReading:
        try:
            verdict = judge(
                motion,
                self._setup.radius_m,
                self._setup.start_tilt_rad,
                self._setup.onset_s,
                follower.body_gone,
            )
        except UncertainError as reason:
            return self._unreadable(str(reason))
        onset = verdict.onset_s
        row = None if onset is None else int(np.argmin(np.abs(motion.time_s - onset)))
        self._progress(1.0)
        return replace(
            self._unreadable(*verdict.reasons),
            outcome=verdict.outcome,
            angle_rad=verdict.angle_rad,
            onset_s=onset,
            onset_frame=None if row is None else int(motion.index[row]),
            largest_tilt_rad=verdict.largest_tilt_rad,
            series=verdict.series,
            evidence=verdict.evidence,
        )
