"""What goes into a measurement of a clip, and what comes out."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from math import radians, sqrt

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

Floats = NDArray[np.float64]
Point = tuple[float, float]
Plane = tuple[tuple[float, float, float], ...]
"""A homography from a plane to pixels, row by row."""


START_TILT = "start tilt"
"""Its name in the budget."""


def level_start() -> UFloat:
    """Tilt of a board lying on a level table: 0 ± 0.2°, rectangular, in radians."""
    return ufloat(0.0, radians(0.2) / sqrt(3), START_TILT)


class Outcome(StrEnum):
    """What the body did while the board was raised."""

    TOPPLES = "topples"
    SLIDES = "slides"
    STAYS = "stays"
    UNREADABLE = "unreadable"


class Story(StrEnum):
    """What may have happened to a body, each held to the same lean and slip."""

    STAYS = "stays"
    TOPPLES = "topples"
    SLIDES = "slides"
    SLIDES_THEN_TOPPLES = "slides then topples"

    @property
    def outcome(self) -> Outcome:
        """A body that slides and then topples has an angle of friction and no brink."""
        return Outcome.SLIDES if self is Story.SLIDES_THEN_TOPPLES else Outcome(self.value)


@dataclass(frozen=True)
class Rival:
    """How one story explains the motion."""

    story: Story
    behind: float
    """By how much its Schwarz criterion is larger than that of the best."""


@dataclass(frozen=True)
class Marks:
    """Where a person says the board and the body are, on the clip's first frame.

    All points are ``(x, y)`` in pixels of the upright first frame.
    """

    board_edge: tuple[Point, Point]
    """The long edge of the board nearest the camera, hinge end first."""
    body_left: tuple[Point, Point]
    """The body's left outline, base first."""
    body_right: tuple[Point, Point]
    """The body's right outline, base first."""

    def scaled(self, factor: float) -> Marks:
        """The same marks on a picture of another size."""

        def moved(ends: tuple[Point, Point]) -> tuple[Point, Point]:
            (x1, y1), (x2, y2) = ends
            return (factor * x1, factor * y1), (factor * x2, factor * y2)

        return Marks(moved(self.board_edge), moved(self.body_left), moved(self.body_right))


@dataclass(frozen=True)
class ClipSetup:
    """What is known of a clip before it is measured."""

    radius_m: float
    """Radius of the rim that touches the board, metres."""
    start_tilt_rad: UFloat = field(default_factory=level_start)
    """The board's tilt in the first frames."""
    marks: Marks | None = None
    """Set where the automatic finding failed or was overruled."""
    onset_s: float | None = None
    """Set where a person moved the brink along the time axis, seconds."""


@dataclass(frozen=True)
class ClipFacts:
    """What the file says of itself."""

    width: int
    """Pixels, upright."""
    height: int
    """Pixels, upright."""
    frames_read: int
    duration_s: float
    """Time of the last frame read, seconds."""
    frames_per_second: float
    """Mean rate over the frames read."""


@dataclass(frozen=True)
class MotionSeries:
    """The motion frame by frame; every array has shape ``(N,)``.

    Lean and slip are NaN where the body could not be followed.
    """

    frame: NDArray[np.int64]
    time_s: Floats
    tilt_rad: Floats
    tilt_u_rad: Floats
    lean_rad: Floats
    lean_u_rad: Floats
    slip_m: Floats
    slip_u_m: Floats


@dataclass(frozen=True)
class EvidencePicture:
    """One frame with the scene drawn in."""

    moment: str
    """``start``, ``brink`` or ``after``."""
    frame: int
    time_s: float
    png: bytes
    """The picture with board line, body outline, pivot and line of the weight."""
    plane_px: Plane | None = None
    """From the plane in which the board turns to pixels of ``png``, where it is known.

    Its origin is the hinge end of the drawn edge, x level towards the lifted end, y up; its
    unit is the drawn edge's length. The edge ends at (cos tilt, sin tilt).
    """


@dataclass(frozen=True)
class ClipReading:
    """A measured clip."""

    outcome: Outcome
    facts: ClipFacts
    angle_rad: UFloat | None
    """Brink angle where it topples, angle of friction where it slides.

    A ``ufloat`` whose ``error_components()`` are tagged with the names of the
    budget: edge noise, camera and focal length, lens, start tilt, brink,
    tremor of the lift.
    """
    onset_s: float | None
    """When the board passed that angle, or the body went if that was earlier, seconds."""
    onset_frame: int | None
    largest_tilt_rad: UFloat | None
    """The largest tilt at which the body was still followed."""
    reasons: tuple[str, ...]
    """Plain sentences: why this outcome, and what to mind."""
    series: MotionSeries | None
    pictures: tuple[EvidencePicture, ...]
    by_hand: bool
    """Whether a person marked the scene or moved the brink."""
    seconds_taken: float
    evidence: tuple[Rival, ...] = ()
    """The stories held to the motion, the best first; none where nothing was measured."""
