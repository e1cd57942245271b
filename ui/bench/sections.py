"""Sections of shapes through their axis, to draw to scale; millimetres.

A section is in the plane in which the body tips: x across, z up, the shape
standing on z = 0 with its axis on x = 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from solver.propagation import Floats

Spot: TypeAlias = tuple[float, float]
"""x and z, millimetres."""

ARC_POINTS = 33


@dataclass(frozen=True)
class Piece:
    """One line of a section."""

    points: tuple[Spot, ...]
    filled: bool = False
    """Whether the line closes round solid material."""

    def moved(self, x: float, z: float) -> Piece:
        """The piece, carried along."""
        return replace(self, points=tuple((a + x, b + z) for a, b in self.points))

    def inverted(self, height: float) -> Piece:
        """The piece, upside down within that height."""
        return replace(self, points=tuple((x, height - z) for x, z in self.points))

    def mirrored(self) -> Piece:
        """The piece, left for right."""
        return replace(self, points=tuple((-x, z) for x, z in self.points))


Section: TypeAlias = tuple[Piece, ...]


def round_solid(profile: Sequence[Spot]) -> Section:
    """A solid of revolution from its profile of radius and height."""
    return (Piece((*profile, *_other_side(profile)), filled=True),)


def round_shell(profile: Sequence[Spot]) -> Section:
    """A thin surface of revolution from its profile of radius and height."""
    right = tuple(profile)
    return (Piece(right), Piece(tuple(reversed(_other_side(profile)))))


def _other_side(profile: Sequence[Spot]) -> tuple[Spot, ...]:
    return tuple((-radius, z) for radius, z in reversed(profile))


def flat(radius: float) -> Section:
    """A disc, or a hoop, edge on."""
    return (Piece(((-radius, 0.0), (radius, 0.0))),)


def upright(length: float) -> Section:
    """A thin rod."""
    return (Piece(((0.0, 0.0), (0.0, length))),)


def block(width: float, height: float) -> Section:
    """A rectangle."""
    half = width / 2
    return (Piece(((-half, 0.0), (half, 0.0), (half, height), (-half, height)), filled=True),)


def ring_walls(outer: float, inner: float, height: float) -> Section:
    """The two cut walls of a thick ring."""
    middle, width = (outer + inner) / 2, outer - inner
    (wall,) = block(width, height)
    return wall.moved(-middle, 0.0), wall.moved(middle, 0.0)


def dome(radius: float) -> tuple[Spot, ...]:
    """The profile of a hemisphere from the rim of its flat face to its top."""
    angles = np.linspace(0.0, np.pi / 2, ARC_POINTS)
    return _arc(radius * np.cos(angles), radius * np.sin(angles))


def globe(radius: float) -> tuple[Spot, ...]:
    """The profile of a sphere from its lowest point to its highest."""
    angles = np.linspace(-np.pi / 2, np.pi / 2, 2 * ARC_POINTS)
    return _arc(radius * np.cos(angles), radius + radius * np.sin(angles))


def _arc(x: Floats, z: Floats) -> tuple[Spot, ...]:
    return tuple(zip(x.tolist(), z.tolist(), strict=True))
