"""The clips of a lesson that a reading can be checked against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from uncertainties import UFloat

from solver.quantities import Quantity
from solver.readings import Check, Moved, ProtractorReading, WorkedHeight, check_angle, check_height
from ui.record.rows import Body, Clip, Group, LessonView, Reading
from vision.reading import Outcome


@dataclass(frozen=True)
class Checkable:
    """A clip whose angle is known, and what it is of."""

    clip: Clip
    reading: Reading
    angle_rad: UFloat
    group: Group | None
    body: Body | None

    @property
    def toppled(self) -> bool:
        """Whether there is a centre height to work out."""
        return self.reading.outcome is Outcome.TOPPLES and self.body is not None

    @property
    def radius_m(self) -> Quantity | None:
        return self.body.radius if self.body and self.toppled else None

    @property
    def name(self) -> str:
        """What to choose it by: group, body, repeat, else the name it came with."""
        parts = [self.group.label if self.group else "", self.body.name if self.body else ""]
        if self.clip.repeat is not None:
            parts.append(f"repeat {self.clip.repeat}")
        return ", ".join(part for part in parts if part) or self.clip.name

    def check(
        self,
        reading: ProtractorReading,
        height: WorkedHeight | None = None,
        moved: Moved | None = None,
    ) -> Check:
        """A student's reading against this clip. Raises `InputError` as the solver does."""
        worked = None
        if height is not None and self.radius_m is not None:
            worked = check_height(height, reading, self.radius_m, self.angle_rad)
        return Check(check_angle(reading, self.angle_rad, moved), worked)


def checkable(view: LessonView) -> tuple[Checkable, ...]:
    """Those clips, by group, body and repeat."""
    found = [
        Checkable(clip, reading, angle, view.group(clip.group_id), view.body(clip.body_id))
        for clip in view.clips
        if (reading := view.reading_of(clip.id)) and (angle := reading.angle) is not None
    ]
    return tuple(sorted(found, key=lambda each: (each.name, each.clip.name, each.clip.id)))


def distinct_names(clips: Sequence[Checkable]) -> list[str]:
    """A name for each, with the clip's own where two would be called alike."""
    names = [each.name for each in clips]
    return [
        name if names.count(name) == 1 else f"{name} ({each.clip.name})"
        for name, each in zip(names, clips, strict=True)
    ]
