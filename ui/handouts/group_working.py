"""A group's own working: from the angle of each clip to the mean, as long as a page allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from solver.notation import Letter
from solver.pooling import GroupMean
from solver.quantities import Quantity
from solver.repeats import Repeats
from solver.worked_bodies import BRINK, HEIGHT, RADIUS, TILT
from solver.worked_friction import FRICTION, SLIDE_PRINCIPLE, SLIDING
from solver.working import Step, Working, mean_step, measured_as, solve
from ui.answer import as_reckoned
from ui.handouts.mathematics import worked
from ui.handouts.text import line

MOST_WRITTEN, MOST_ADDED = 3, 6
"""Clips whose working is written out, and whose results are added up in one line."""


@dataclass(frozen=True)
class GroupWorking:
    """The steps that are written out, and for how many clips."""

    working: Working
    written: int
    clips: int

    def told(self, of: str) -> dict[str, Any]:
        """As the template prints it."""
        told = {"of": line(of, 60), "written": self.written, "clips": self.clips}
        return {**told, **worked(self.working)}


def height_working(
    radius_m: Quantity, angles_rad: Sequence[Quantity], own: GroupMean
) -> GroupWorking:
    """From each brink angle to its x, and to their mean with the group's own interval."""
    steps = []
    for index, angle in _numbered(angles_rad):
        tilt, height = replace(TILT, index=index), replace(HEIGHT, index=index)
        equation = f"{height.name} = r / tan({tilt.name})"
        steps.append(solve(BRINK, equation, [RADIUS.at(radius_m), tilt.at(angle)], height))
    return _with_mean("From the angles to the height of the centre", steps, HEIGHT, own)


def friction_working(angles_rad: Sequence[Quantity], own: GroupMean) -> GroupWorking:
    """From each angle of first slip to its μ, and to their mean likewise."""
    steps = []
    for index, angle in _numbered(angles_rad):
        tilt = replace(SLIDING, index=index or SLIDING.index)
        friction = replace(FRICTION, index=index)
        equation = f"{friction.name} = tan({tilt.name})"
        steps.append(solve(SLIDE_PRINCIPLE, equation, [tilt.at(angle)], friction))
    return _with_mean("From the angles to the coefficient of friction", steps, FRICTION, own)


def _numbered(angles_rad: Sequence[Quantity]) -> list[tuple[str, Quantity]]:
    """Each angle with its index; one alone has none."""
    single = len(angles_rad) == 1
    return [("" if single else f"{n}", angle) for n, angle in enumerate(angles_rad, start=1)]


def _with_mean(title: str, steps: Sequence[Step], letter: Letter, own: GroupMean) -> GroupWorking:
    # What scatters is seen in the repeats of all groups together, in no one equation.
    known = Repeats(own.mean, own.count, None, own.result.coverage_factor)
    steps, count = as_reckoned(Working(title, tuple(steps))).steps, len(steps)
    if count == 1:
        return GroupWorking(Working(title, (measured_as(steps[0], known),)), 1, 1)
    written = steps if count <= MOST_WRITTEN else steps[:1]
    mean = measured_as(mean_step(letter, [step.result.value for step in steps]), known)
    shown = (*written, mean) if count <= MOST_ADDED else tuple(written)
    return GroupWorking(Working(title, shown), len(written), count)
