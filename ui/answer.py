"""From a reading and a base radius to the answer: one source for page, command and files."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from uncertainties import nominal_value, umath

from solver.errors import AngleError
from solver.propagation import RECTANGULAR, Contribution, Linear, linear
from solver.quantities import DEGREE, MILLIMETRE, RATIO, Quantity, Unit
from solver.toppling import (
    ANGLE,
    CentreHeight,
    base_radius,
    centre_height,
    evaluate_centre_height,
)
from solver.working import Working
from vision.reading import START_TILT, ClipFacts, ClipReading, Outcome

BY_HAND = "A hand was in this reading: a person marked the scene or moved the brink."

SPREADS = {START_TILT: RECTANGULAR}
"""A level table is level within limits; the rest of the budget is normal."""

Record = dict[str, Any]


def reckoned(value: Quantity, name: str = "result") -> Linear:
    """A value with its interval and budget, whatever page or paper shows it.

    ``name`` is that of the sources in it that have no tag of their own.
    """
    return linear(value, {name: value}, SPREADS)


def as_reckoned(working: Working) -> Working:
    """A working whose steps give the intervals that `reckoned` gives."""
    steps = (
        replace(step, coverage_factor=reckoned(step.result.value).coverage_factor)
        for step in working.steps
    )
    return replace(working, steps=tuple(steps))


@dataclass(frozen=True)
class Answer:
    """What a reading says, SI."""

    reading: ClipReading
    radius_m: Quantity
    angle: Linear | None
    """Brink angle where it topples, angle of friction where it slides; radians."""
    height: CentreHeight | None
    """Where it topples and the angle is known well enough."""
    friction: Linear | None
    """Coefficient of friction where it slides."""
    reasons: tuple[str, ...]
    """Plain sentences: those of the reading, and what to mind in the answer."""

    @property
    def height_u95_m(self) -> float | None:
        """From the centre height to the farther end of its 95 % interval."""
        if self.height is None:
            return None
        low, high = self.height.interval_m
        value = self.height.linear.value
        return max(high - value, value - low)

    @property
    def budget(self) -> tuple[Contribution, ...]:
        """What the answer's uncertainty is made of, the largest first.

        Of the centre height (m), else of the friction coefficient, else of the
        angle (rad); empty where there is no answer.
        """
        for result in (self.height and self.height.linear, self.friction, self.angle):
            if result:
                return result.budget
        return ()

    def record(self, clip: str) -> Record:
        """The answer as the command's ``--json`` writes it; what does not apply is None."""
        reading = self.reading
        height = self.height.linear if self.height else None
        return {
            "clip": clip,
            "outcome": str(reading.outcome),
            "angle_deg": _value(self.angle, DEGREE),
            "angle_u95_deg": _half_width(self.angle, DEGREE),
            "onset_s": reading.onset_s,
            "onset_frame": reading.onset_frame,
            "centre_height_mm": _value(height, MILLIMETRE),
            "centre_height_u95_mm": _in(MILLIMETRE, self.height_u95_m),
            "friction_coefficient": _value(self.friction, RATIO),
            "friction_u95": _half_width(self.friction, RATIO),
            "largest_tilt_deg": _in(DEGREE, reading.largest_tilt_rad),
            "reasons": list(self.reasons),
            "seconds_taken": reading.seconds_taken,
            "evidence": {str(rival.story): rival.behind for rival in reading.evidence} or None,
        }


def answer(reading: ClipReading, radius_m: Quantity) -> Answer:
    """The answer to a reading. Raises `LengthError` for a radius not within (0, 1] m."""
    base_radius(radius_m)
    angle = friction = height = None
    reasons = [*reading.reasons, *_bounds(reading, radius_m)]
    if reading.angle_rad is not None:
        angle = reckoned(reading.angle_rad, ANGLE)
        if reading.outcome is Outcome.SLIDES:
            friction = reckoned(umath.tan(reading.angle_rad), ANGLE)
        elif reading.outcome is Outcome.TOPPLES:
            try:
                height = evaluate_centre_height(radius_m, reading.angle_rad, SPREADS)
                reasons += [height.caution] if height.caution else []
            except AngleError as too_uncertain:
                reasons.append(str(too_uncertain))
    reasons += [BY_HAND] if reading.by_hand else []
    return Answer(reading, radius_m, angle, height, friction, tuple(reasons))


def unreadable(reason: str, seconds_taken: float = 0.0) -> ClipReading:
    """A reading of a file that could not be measured at all."""
    return ClipReading(
        outcome=Outcome.UNREADABLE,
        facts=ClipFacts(width=0, height=0, frames_read=0, duration_s=0.0, frames_per_second=0.0),
        angle_rad=None,
        onset_s=None,
        onset_frame=None,
        largest_tilt_rad=None,
        reasons=(reason,),
        series=None,
        pictures=(),
        by_hand=False,
        seconds_taken=seconds_taken,
    )


def _bounds(reading: ClipReading, radius_m: Quantity) -> list[str]:
    """What a body that did not topple still says of its centre."""
    tilt = reading.largest_tilt_rad
    if reading.outcome not in (Outcome.SLIDES, Outcome.STAYS) or tilt is None:
        return []
    if nominal_value(tilt) <= 0:
        return []
    most = centre_height(nominal_value(radius_m), nominal_value(tilt))
    return [
        f"It had not toppled at {DEGREE.show(nominal_value(tilt), 3)}, so its centre of mass lies "
        f"lower than about {MILLIMETRE.show(most, 3)}."
    ]


def _value(result: Linear | None, unit: Unit) -> float | None:
    return _in(unit, result.value) if result else None


def _half_width(result: Linear | None, unit: Unit) -> float | None:
    return _in(unit, result.half_width) if result else None


def _in(unit: Unit, value: Quantity | None) -> float | None:
    return None if value is None else float(nominal_value(value)) / unit.in_si
