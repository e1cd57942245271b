"""What the class record hands out: frozen rows in SI units.

All text was typed by people or came with a file: show it escaped, and never
make a path of it. What follows from other rows (centre height, friction) is
worked out from them and stored nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from uncertainties import UFloat, ufloat

from solver.quantities import Quantity
from ui.inputs import Rim, rim_radius
from vision.reading import ClipFacts, ClipReading, EvidencePicture, MotionSeries, Outcome, Rival


@dataclass(frozen=True)
class Lesson:
    """One lesson of one class."""

    id: int
    title: str
    day: date
    code_hash: str | None
    """Hash of the code that lets students in; None while there is none."""
    keep_days: int | None
    """Days after the lesson for which clips are kept; None for no end."""


@dataclass(frozen=True)
class Group:
    """Those who filmed together: 'Table 4', not the names of pupils."""

    id: int
    lesson_id: int
    label: str


@dataclass(frozen=True)
class Body:
    """What stood on the board. Bodies outlast lessons."""

    id: int
    name: str
    radius_m: float
    """Of the rim that touches the board."""
    radius_u_m: float
    """Its standard uncertainty."""
    length_m: float | None
    """Base to top; needed for balancing on an edge alone."""
    note: str

    @property
    def radius(self) -> Quantity:
        """The radius with its uncertainty, as `ui.answer.answer` takes it."""
        return rim_radius(Rim.RADIUS, self.radius_m, self.radius_u_m)


@dataclass(frozen=True)
class Surface:
    """What the board was covered with."""

    id: int
    name: str


@dataclass(frozen=True)
class Clip:
    """One clip of a lesson, and what is said of it."""

    id: int
    lesson_id: int
    sha256: str
    """Of what was uploaded, not of what is kept."""
    name: str
    """As its owner calls it."""
    stored: str | None
    """File name inside the store; None once the clip was deleted."""
    cropped: bool
    """Whether the kept picture is the part around the board alone."""
    group_id: int | None
    body_id: int | None
    surface_id: int | None
    repeat: int | None
    start_tilt_rad: float
    added_at: datetime
    """UTC."""


@dataclass(frozen=True)
class Reading:
    """What a clip was measured to say; series and pictures are asked for apart."""

    id: int
    clip_id: int
    outcome: Outcome
    angle_rad: float | None
    """Brink angle where it topples, angle of friction where it slides."""
    budget: tuple[tuple[str, float], ...]
    """Name and standard uncertainty (rad) of each part of the angle's, uncorrelated."""
    onset_s: float | None
    onset_frame: int | None
    largest_tilt_rad: float | None
    largest_tilt_u_rad: float | None
    reasons: tuple[str, ...]
    by_hand: bool
    seconds_taken: float
    facts: ClipFacts
    radius_m: float | None
    """The base radius the clip was measured with, if that was said."""
    at: datetime
    """When it was saved, UTC."""
    evidence: tuple[Rival, ...]
    """The stories held to the motion, the best first; none where that is not known."""

    @property
    def angle(self) -> UFloat | None:
        """The angle (rad) with its budget as error components."""
        if self.angle_rad is None:
            return None
        parts = [_part(u, name) for name, u in self.budget] or [_part(0.0, "exact")]
        return sum(parts, start=self.angle_rad)

    @property
    def angle_u_rad(self) -> float | None:
        """Standard uncertainty of the angle."""
        angle = self.angle
        return None if angle is None else float(angle.std_dev)

    @property
    def largest_tilt(self) -> UFloat | None:
        """The largest tilt (rad) at which the body was followed."""
        if self.largest_tilt_rad is None:
            return None
        return self.largest_tilt_rad + _part(self.largest_tilt_u_rad or 0.0, "largest tilt")

    def as_measured(
        self, series: MotionSeries | None = None, pictures: tuple[EvidencePicture, ...] = ()
    ) -> ClipReading:
        """The reading as it came from the measurement, as `ui.answer.answer` takes it."""
        return ClipReading(
            outcome=self.outcome,
            facts=self.facts,
            angle_rad=self.angle,
            onset_s=self.onset_s,
            onset_frame=self.onset_frame,
            largest_tilt_rad=self.largest_tilt,
            reasons=self.reasons,
            series=series,
            pictures=pictures,
            by_hand=self.by_hand,
            seconds_taken=self.seconds_taken,
            evidence=self.evidence,
        )


@dataclass(frozen=True)
class BalanceReading:
    """One balancing on a table's edge."""

    id: int
    lesson_id: int
    group_id: int | None
    body_id: int
    overhang_m: float
    end: str
    """Which end hung over: ``base`` or ``top``."""
    edge_radius_m: float
    """Rounding of the table's edge."""
    scale_u_m: float
    """Standard uncertainty of the rule's zero."""


@dataclass(frozen=True)
class Prediction:
    """A centre height worked out before anything was filmed."""

    id: int
    body_id: int
    height_m: float
    """Of the centre of mass above the base."""
    height_u_m: float
    source: str
    """Where it comes from: a model, a drawing, a group's own working."""


@dataclass(frozen=True)
class StudentReading:
    """A protractor reading set against a clip."""

    id: int
    clip_id: int
    by: str
    """A label such as 'pupil 7'; may be empty."""
    protractor_rad: float
    """As read."""
    reads_to_rad: float
    """The step the protractor reads to."""
    height_m: float | None
    """The centre height they worked out, if they did."""
    verdict: str
    slip: str | None
    """The likely slip, where one was found."""
    at: datetime
    """UTC."""


@dataclass(frozen=True)
class Deletion:
    """Something that was removed and can be brought back."""

    id: int
    what: str
    """In words, as 'group Table 4'."""
    at: datetime
    """UTC."""


@dataclass(frozen=True)
class AddedClip:
    """What became of an upload."""

    clip: Clip
    known: bool
    """Whether the lesson had a clip with this very content already."""


@dataclass(frozen=True)
class LessonView:
    """Everything of a lesson at one moment."""

    lesson: Lesson
    groups: tuple[Group, ...]
    bodies: tuple[Body, ...]
    """Those of its clips and balance readings."""
    surfaces: tuple[Surface, ...]
    """Those of its clips."""
    clips: tuple[Clip, ...]
    readings: tuple[Reading, ...]
    """The latest of each clip that was measured."""
    balance_readings: tuple[BalanceReading, ...]
    predictions: tuple[Prediction, ...]
    """Those for its bodies."""
    student_readings: tuple[StudentReading, ...]

    def reading_of(self, clip_id: int) -> Reading | None:
        """The latest reading of a clip, if it was measured."""
        return next((each for each in self.readings if each.clip_id == clip_id), None)

    def group(self, group_id: int | None) -> Group | None:
        return next((each for each in self.groups if each.id == group_id), None)

    def body(self, body_id: int | None) -> Body | None:
        return next((each for each in self.bodies if each.id == body_id), None)

    def surface(self, surface_id: int | None) -> Surface | None:
        return next((each for each in self.surfaces if each.id == surface_id), None)


def _part(u: float, name: str) -> UFloat:
    """A part of an uncertainty; one of 0 is no fault here."""
    return u * ufloat(0.0, 1.0, name)


Row = (
    Lesson | Group | Body | Surface | Clip | Reading | BalanceReading | Prediction | StudentReading
)
