"""What a drawn clip shows."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import atan

GRAVITY_M_S2 = 9.81


class Side(StrEnum):
    """Which end of the board is lifted, as the camera sees it."""

    LEFT = "left"
    RIGHT = "right"


class Pattern(StrEnum):
    """What is printed on the body."""

    PLAIN = "plain"
    BANDS = "bands"
    STRIPES = "stripes"
    BLOBS = "blobs"
    LABEL = "label"


Colour = tuple[float, float, float]
"""Reflectance, linear, blue-green-red."""


@dataclass(frozen=True)
class Lift:
    """How the board is raised."""

    rate_deg_s: float = 3.0
    start_deg: float = 0.0
    most_deg: float = 36.0
    pauses: tuple[tuple[float, float], ...] = ()
    """Pairs of tilt in degrees and pause in seconds."""
    jerk: float = 0.0
    """Standard deviation of the rate, as a part of the rate."""
    lowered_again: bool = False
    wait_s: float = 0.6
    """Stillness before the lift."""


@dataclass(frozen=True)
class Body:
    """A right circular cylinder."""

    radius_m: float = 0.036
    height_m: float = 0.22
    centre_height_m: float = 0.09
    mass_kg: float = 0.3
    lid: bool = True
    pattern: Pattern = Pattern.LABEL
    colour: Colour = (0.06, 0.06, 0.35)
    second_colour: Colour = (0.45, 0.65, 0.75)

    @property
    def brink_rad(self) -> float:
        """Static brink angle, arctan(r / x)."""
        return atan(self.radius_m / self.centre_height_m)

    @property
    def inertia_kg_m2(self) -> float:
        """About a transverse axis through the centre of mass: a filled thin tin."""
        return self.mass_kg * (0.35 * self.radius_m**2 + self.height_m**2 / 12)


@dataclass(frozen=True)
class Board:
    """The board, its mat, and where the body stands on it."""

    length_m: float = 0.32
    width_m: float = 0.22
    thickness_m: float = 0.006
    mat_thickness_m: float = 0.002
    """Zero for a bare board."""
    mat_margin_m: float = 0.006
    friction: float = 0.8
    body_at_m: float = 0.14
    """From the hinge to the body's axis."""
    body_aside_m: float = 0.0
    stop_at_m: float = 0.0
    """From the hinge to the upper face of a stop across the board; none at zero.  The
    engine alone knows of it."""
    stop_height_m: float = 0.003
    colour: Colour = (0.05, 0.11, 0.20)
    mat_colour: Colour = (0.02, 0.02, 0.025)

    @property
    def top_m(self) -> float:
        """Height of the standing surface above the board's underside."""
        return self.thickness_m + self.mat_thickness_m


@dataclass(frozen=True)
class View:
    """The camera: a pinhole with square pixels, principal point at the centre."""

    width: int = 1280
    height: int = 720
    frames_per_second: float = 30.0
    focal_px: float = 1000.0
    distance_m: float = 0.9
    yaw_deg: float = 0.0
    pitch_deg: float = 5.0
    roll_deg: float = 0.0
    shake_deg: float = 0.0
    """Standard deviation of a hand-held phone's turning, each axis."""
    shake_m: float = 0.0
    """Standard deviation of its shift, each axis."""
    uneven_s: float = 0.0
    """Standard deviation of the frame times about even ones."""


@dataclass(frozen=True)
class Look:
    """Light, room and the camera's shortcomings."""

    light: float = 1.0
    noise: float = 2.5
    """Standard deviation in grey levels of 255."""
    blur_px: float = 0.4
    exposure_s: float = 0.0
    """Above zero for motion blur."""
    posters: bool = True
    clutter: bool = True
    """Books and a mug beside and behind the practical."""
    wall_colour: Colour = (0.38, 0.42, 0.44)
    table_colour: Colour = (0.10, 0.22, 0.40)
    grain: float = 0.35
    mottle: float = 0.06
    """Standard deviation of the wall's brightness, as a part of it."""
    hand: bool = True
    hand_aside_m: float = 0.02
    """Across the board from its middle, positive away from the camera."""


@dataclass(frozen=True)
class Scene:
    """Everything a drawn clip depends on."""

    body: Body = Body()
    board: Board = Board()
    lift: Lift = Lift()
    view: View = View()
    look: Look = Look()
    lifted: Side = Side.RIGHT
    seed: int = 1
    shows: str = ""

    @property
    def mirror(self) -> int:
        """World ``X`` is this times the practical's ``x``."""
        return 1 if self.lifted is Side.RIGHT else -1
