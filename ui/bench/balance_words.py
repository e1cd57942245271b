"""What the bench says of a balance."""

from __future__ import annotations

from uncertainties import nominal_value

from solver.quantities import MILLIMETRE
from solver.repeats import Repeats
from solver.rounding import rounded

SHORTEST_MM, LONGEST_MM = 30.0, 600.0


def length_doubts(length_mm: float) -> tuple[str, ...]:
    """A plain sentence where a body's length looks as if typed in another unit."""
    if SHORTEST_MM <= length_mm <= LONGEST_MM:
        return ()
    guess = "centimetres" if length_mm < SHORTEST_MM else "tenths of a millimetre"
    return (f"The body is {length_mm:g} mm long; were these {guess}? Give millimetres.",)


def mean_words(centre: Repeats) -> str:
    """The mean with the half-width of its own interval, which repeats may widen."""
    if not centre.u95:
        return MILLIMETRE.show(centre.mean)
    mm = MILLIMETRE.in_si
    number = rounded(nominal_value(centre.mean) / mm, centre.u95 / mm)
    return f"{number.value} mm ± {number.uncertainty} mm"


def scatter_words(centre: Repeats) -> str:
    """How many readings there were, and how they scatter."""
    if centre.scatter is None:
        return "From a single reading, which cannot show how readings scatter."
    return (
        f"From {centre.count} readings with a standard deviation of "
        f"{MILLIMETRE.show(centre.scatter, 2)}."
    )
