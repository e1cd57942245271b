"""A student's protractor reading and working, checked against the clip.

The clip's angle has an interval, and so has a protractor's: they agree where they
differ by no more than the two together explain. Where they do not, the slips that
students make are tried in turn, and those that lead to the number given are named.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import hypot, pi, sin, sqrt, tan

from uncertainties import nominal_value, std_dev

from solver.quantities import DEGREE, Quantity, a_length, an_angle, measured
from solver.repeats import Agreement, compare
from solver.slips import Explanation, Slip, explaining, point, slipped_heights, span
from solver.toppling import ANGLE, base_radius, centre_height

PROTRACTOR = "protractor"
COARSEST_STEP_RAD = 10 * DEGREE.in_si
MISREAD_BESIDES_RAD = 1.5 * DEGREE.in_si
"""Standard deviation of what else is off where the scale was misread: hands, eye, moment."""
ROUNDED_ON_THE_WAY = 0.01
"""A student rounds tan to two figures or so: up to 1 % either way (common practice)."""


@dataclass(frozen=True)
class ProtractorReading:
    """What a student read off a protractor."""

    angle_rad: float
    """As read, 0 to 180°."""
    step_rad: float
    """The step it reads to."""

    def __post_init__(self) -> None:
        an_angle(self.angle_rad, "protractor reading", 0.0, pi, "[]")
        an_angle(self.step_rad, "step of the protractor", 0.0, COARSEST_STEP_RAD, "(]")

    @property
    def quantity(self) -> Quantity:
        """With its standard uncertainty, ``step/√6``.

        An angle is the difference of two settings, base line and arm, each to the
        nearest mark: two rectangles a step wide (JCGM 100:2008, F.2.2.1). A school
        protractor of 1° comes to ± 0.8°; common practice says ± 0.5 to ± 1°.
        """
        return measured(self.angle_rad, self.step_rad / sqrt(6), PROTRACTOR)


@dataclass(frozen=True)
class Moved:
    """The board's tilt while the body was seen to move."""

    from_rad: float
    """When it had visibly moved."""
    to_rad: float
    """The largest that was seen."""


@dataclass(frozen=True)
class AngleCheck:
    """A protractor reading beside the clip's angle."""

    agreement: Agreement
    """Of the reading, first, and the clip; radians."""
    explanations: tuple[Explanation, ...]
    """Slips that lead to the reading, the likeliest first; empty where it agrees."""


class Basis(StrEnum):
    """What a height may have been worked out from."""

    OWN_ANGLE = "their own angle"
    CLIPS_ANGLE = "the clip's angle"


@dataclass(frozen=True)
class HeightCheck:
    """A student's centre height beside the clip's, and beside their own angle."""

    agreement: Agreement
    """Of their height, first, and the clip's; metres."""
    own_m: float | None
    """What their own angle gives; None where it is no tilt between 0 and 90°."""
    basis: Basis | None
    """The angle their height follows from; None where it follows from neither."""
    explanations: tuple[Explanation, ...]
    """Slips that lead to their height, the likeliest first; empty where it follows."""

    @property
    def follows(self) -> bool:
        """Whether their working is right, from one angle or the other."""
        return self.basis is not None


class Verdict(StrEnum):
    """What came of a check, in the words kept in a record."""

    AGREES = "agrees"
    ANGLE_DIFFERS = "angle differs"
    HEIGHT_DIFFERS = "height differs"
    BOTH_DIFFER = "angle and height differ"


@dataclass(frozen=True)
class Check:
    """All that is said of one student's reading."""

    angle: AngleCheck
    height: HeightCheck | None
    """None where they gave none."""

    @property
    def verdict(self) -> Verdict:
        """A height counts as different where it is no result of their own angle."""
        angle_ok = self.angle.agreement.agrees
        height_ok = self.height is None or self.height.follows
        if angle_ok:
            return Verdict.AGREES if height_ok else Verdict.HEIGHT_DIFFERS
        return Verdict.ANGLE_DIFFERS if height_ok else Verdict.BOTH_DIFFER

    @property
    def slips(self) -> tuple[Slip, ...]:
        """The likeliest slip of the angle, then of the height."""
        parts = (self.angle.explanations, self.height.explanations if self.height else ())
        return tuple(slip for found in parts if found for slip in found[0].slips)


def check_angle(
    reading: ProtractorReading, angle_rad: Quantity, moved: Moved | None = None
) -> AngleCheck:
    """A protractor reading against the clip's angle, with the slips that explain it.

    Tried are 180° − θ, 90° − θ and 90° + θ, and, where the clip says at what tilts
    the body was moving, each of those. Raises `AngleError` where the clip's angle
    is not within (0°, 90°).
    """
    theta = nominal_value(an_angle(angle_rad, ANGLE))
    agreement = compare(reading.quantity, angle_rad)
    if agreement.agrees:
        return AngleCheck(agreement, ())
    given, u = reading.angle_rad, float(std_dev(agreement.difference))
    about = hypot(u, MISREAD_BESIDES_RAD)
    tried = [
        point([Slip.OTHER_END], given, pi - theta, about),
        point([Slip.FROM_UPRIGHT], given, pi / 2 - theta, about),
        point([Slip.FROM_UPRIGHT, Slip.OTHER_END], given, pi / 2 + theta, about),
    ]
    if moved is not None and moved.to_rad > theta:
        tried.append(span(Slip.BODY_MOVED, given, max(theta, moved.from_rad), moved.to_rad, u))
    return AngleCheck(agreement, explaining(tried))


@dataclass(frozen=True)
class WorkedHeight:
    """A centre height a student worked out."""

    height_m: float
    step_m: float = 0.001
    """The last figure they gave."""

    def __post_init__(self) -> None:
        a_length(self.height_m, "centre height worked out")
        a_length(self.step_m, "last figure of the centre height")


def check_height(
    worked: WorkedHeight, reading: ProtractorReading, radius_m: Quantity, angle_rad: Quantity
) -> HeightCheck:
    """A worked centre height against their own angle and against the clip.

    Tried are the slips of `solver.slips` one at a time, and two together where none
    alone explains the number. Raises `LengthError` and `AngleError` as
    `solver.toppling.centre_height` does.
    """
    agreement = compare(
        _as_measured(worked, reading, base_radius(radius_m), angle_rad),
        centre_height(radius_m, angle_rad),
    )
    clips = _Worked(worked, radius_m, nominal_value(angle_rad), std_dev(reading.quantity))
    bases, own_m = {Basis.CLIPS_ANGLE: clips}, None
    if 0 < reading.angle_rad < pi / 2:
        own = _Worked(worked, radius_m, reading.angle_rad)
        bases, own_m = {Basis.OWN_ANGLE: own, **bases}, own.right_m
    found = next((name for name, each in bases.items() if each.is_right), None)
    slips = () if found else next(iter(bases.values())).slips()
    return HeightCheck(agreement, own_m, found, slips)


@dataclass(frozen=True)
class _Worked:
    """A student's height, taken to be worked out from one angle."""

    given: WorkedHeight
    radius_m: Quantity
    angle_rad: float
    angle_u_rad: float = 0.0
    """Of the angle they may have used about this one."""

    @property
    def right_m(self) -> float:
        return float(nominal_value(self.radius_m)) / tan(self.angle_rad)

    @property
    def is_right(self) -> bool:
        return self._tried(self.right_m).explains

    def slips(self) -> tuple[Explanation, ...]:
        """Single slips that explain it, else pairs."""
        r = nominal_value(self.radius_m)
        for together in (1, 2):
            slipped = slipped_heights(r, self.angle_rad, together)
            if found := explaining(self._tried(x, slips) for slips, x in slipped):
                return found
        return ()

    def _tried(self, x_m: float, slips: tuple[Slip, ...] = ()) -> Explanation:
        """With the last figure given, rounding on the way, the radius and the angle open."""
        by_radius = std_dev(self.radius_m) / nominal_value(self.radius_m)
        by_angle = 2 * self.angle_u_rad / sin(2 * self.angle_rad)
        relative = hypot(ROUNDED_ON_THE_WAY / sqrt(3), by_radius, by_angle)
        u = hypot(self.given.step_m / sqrt(12), x_m * relative)
        return point(slips, self.given.height_m, x_m, u)


def _as_measured(
    worked: WorkedHeight, reading: ProtractorReading, radius_m: Quantity, angle_rad: Quantity
) -> Quantity:
    """The student's height with what their protractor and the radius leave open."""
    r = nominal_value(radius_m)
    by_angle = _slope(r, nominal_value(angle_rad)) * (reading.quantity - reading.angle_rad)
    return worked.height_m * radius_m / r + by_angle


def _slope(radius_m: float, angle_rad: float) -> float:
    """Metres of height per radian of angle: ``dx/dθ = −r / sin²θ``."""
    return -radius_m / sin(angle_rad) ** 2
