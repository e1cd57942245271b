"""What a student typed, turned into SI."""

from __future__ import annotations

from solver.quantities import MILLIMETRE
from solver.readings import WorkedHeight

FINEST_MM = 0.01
STEPS_DEG = (0.5, 1.0, 2.0, 5.0)
"""What school protractors read to."""


def worked_height(height_mm: float | None) -> WorkedHeight | None:
    """The height with the last figure it was given to. Raises `LengthError`."""
    if height_mm is None:
        return None
    height_m = height_mm * MILLIMETRE.in_si
    return WorkedHeight(height_m, last_figure_m(height_m))


def last_figure_m(height_m: float) -> float:
    """The last figure of a height given in millimetres, none finer than 0.01 mm."""
    height_mm = height_m / MILLIMETRE.in_si
    for step_mm in (1.0, 0.1):
        if abs(height_mm / step_mm - round(height_mm / step_mm)) < 1e-6:
            return step_mm * MILLIMETRE.in_si
    return FINEST_MM * MILLIMETRE.in_si
