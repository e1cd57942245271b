"""How much material there is, where its centre lies, and how far it spreads.

Axes: z points up from the plane the body stands on, x and y lie in that plane
with the origin on the body's axis. The spread along an axis is the mean square
distance from the centre in that direction, so the moment of inertia about a
horizontal axis through the centre and parallel to y is
``amount * (spread_x + spread_z)``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from solver.quantities import Quantity

Vector: TypeAlias = tuple[Quantity, Quantity, Quantity]
"""Components along x, y and z."""

ORIGIN: Vector = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Moments:
    """The zeroth, first and second moments of a distribution of material."""

    amount: Quantity
    """Kilograms of a part; m³, m² or m of a shape. Negative for a cavity."""
    centre_m: Vector
    spread_m2: Vector

    def moved(self, by_m: Vector) -> Moments:
        """The same material, carried along without turning."""
        x, y, z = (c + d for c, d in zip(self.centre_m, by_m, strict=True))
        return Moments(self.amount, (x, y, z), self.spread_m2)

    def with_amount(self, amount: Quantity) -> Moments:
        """The same distribution, of another amount."""
        return Moments(amount, self.centre_m, self.spread_m2)


def together(pieces: Iterable[Moments]) -> Moments:
    """The moments of all pieces taken as one; cavities count negative.

    The centre is the mean of the centres weighted by amount; the spread
    follows from Steiner's theorem (parallel axes).
    """
    pieces = tuple(pieces)
    total = sum(piece.amount for piece in pieces)

    def along(axis: int) -> tuple[Quantity, Quantity]:
        mean = sum(p.amount * p.centre_m[axis] for p in pieces) / total
        square = sum(
            p.amount * (p.spread_m2[axis] + (p.centre_m[axis] - mean) ** 2) for p in pieces
        )
        return mean, square / total

    (x, sx), (y, sy), (z, sz) = (along(axis) for axis in range(3))
    return Moments(total, (x, y, z), (sx, sy, sz))
