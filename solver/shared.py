"""What readings have in common, kept as one source of uncertainty.

Each clip's angle comes with sources of its own by the names of the budget. Where
some of them are known to be the same for several clips (one table's slope under
all repeats of a group), they must not be averaged away as if fresh in each.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from uncertainties import UFloat, nominal_value, ufloat

from solver.quantities import Quantity

OF_A_GROUP = ("start tilt", "lens")
"""Sources in the budget of an angle that all repeats of one group share: one table and one
convention for the board's first tilt, and one phone that bends straight lines alike."""


def sources(value: Quantity) -> frozenset[UFloat]:
    """The independent sources of uncertainty in a quantity."""
    return frozenset(value.derivatives) if isinstance(value, UFloat) else frozenset()


def only(value: Quantity, kept: Collection[UFloat]) -> Quantity:
    """The deviation of a quantity from its nominal value that comes from some sources."""
    if not isinstance(value, UFloat):
        return 0.0
    return sum(
        slope * (source - nominal_value(source))
        for source, slope in value.derivatives.items()
        if source in kept
    )


def sharing(values: Sequence[Quantity], names: Collection[str] = OF_A_GROUP) -> list[Quantity]:
    """The values, with each source of those names made one and the same in all of them."""
    common = {name: ufloat(0.0, 1.0, name) for name in names}
    return [_sharing(value, common) for value in values]


def _sharing(value: Quantity, common: dict[str, UFloat]) -> Quantity:
    if not isinstance(value, UFloat):
        return value
    own = {source: slope for source, slope in value.derivatives.items() if source.tag in common}
    moved = sum(slope * source.std_dev * common[source.tag] for source, slope in own.items())
    return value - only(value, own) + moved
