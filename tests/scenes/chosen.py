"""Scenes chosen to be hard, each for one reason."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, radians, tan

from tests.scenes.camera import fitted
from tests.scenes.film import Encoding
from tests.scenes.scene import Board, Body, Lift, Look, Pattern, Scene, Side, View

_CREAM, _GREEN, _BLUE = (0.45, 0.62, 0.70), (0.10, 0.30, 0.08), (0.40, 0.18, 0.06)
_PALE, _GREY = (0.40, 0.45, 0.47), (0.30, 0.30, 0.30)
_ASH, _BLUISH = (0.25, 0.40, 0.50), (0.35, 0.28, 0.22)


def _body(brink_deg: float, radius_mm: float, height_mm: float, **look) -> Body:
    radius_m = radius_mm / 1000
    centre_m = radius_m / tan(radians(brink_deg))
    return Body(radius_m, height_mm / 1000, centre_m, **look)


def _scene(body: Body, shows: str, **parts) -> Scene:
    """Lifted to 14° past the brink unless the lift says otherwise."""
    brink_deg = degrees(body.brink_rad)
    lift = replace(Lift(jerk=0.1, most_deg=brink_deg + 14), **parts.pop("lift", {}))
    parts["board"] = replace(Board(friction=1.4 * tan(body.brink_rad)), **parts.pop("board", {}))
    return fitted(Scene(body=body, lift=lift, shows=shows, **parts))


def chosen_scenes() -> dict[str, tuple[Scene, Encoding]]:
    """Name to scene and encoding."""
    plain = Encoding()
    scenes = {
        "squat": _scene(
            _body(42, 50, 105, pattern=Pattern.BANDS, colour=_BLUE),
            "squat body, brink 42 deg, bare room",
            lift={"rate_deg_s": 5.0},
            view=View(yaw_deg=4, pitch_deg=6, distance_m=0.7),
            look=Look(posters=False, clutter=False),
            seed=11,
        ),
        "slender": _scene(
            _body(10, 24, 290, pattern=Pattern.LABEL),
            "slender body, brink 10 deg",
            lift={"rate_deg_s": 1.5},
            view=View(yaw_deg=-6, pitch_deg=4, distance_m=0.8),
            look=Look(table_colour=_ASH),
            seed=12,
        ),
        "oblique": _scene(
            _body(22, 32, 150, pattern=Pattern.BLOBS, colour=_CREAM, second_colour=_GREEN),
            "camera 15 deg off square and 12 deg down, half a metre away",
            board={"length_m": 0.26, "body_at_m": 0.12},
            view=View(yaw_deg=15, pitch_deg=12, distance_m=0.5),
            seed=13,
        ),
        "hand-held": _scene(
            _body(20, 36, 220, pattern=Pattern.STRIPES, colour=_GREEN),
            "hand-held phone, posters behind",
            view=View(yaw_deg=6, pitch_deg=8, shake_deg=0.25, shake_m=0.0015),
            seed=14,
        ),
        "portrait": _scene(
            _body(24, 34, 180, pattern=Pattern.LABEL, colour=_BLUE),
            "portrait with a rotation flag, uneven frame times, rolled 3 deg",
            view=View(720, 1280, yaw_deg=-8, pitch_deg=9, roll_deg=3, uneven_s=0.004),
            seed=15,
        ),
        "dim": _scene(
            _body(21, 38, 215, pattern=Pattern.PLAIN, colour=(0.08, 0.05, 0.05)),
            "dim room, dark body on a dark mat, noisy",
            view=View(yaw_deg=7, pitch_deg=6),
            look=Look(light=0.07, noise=4.0, posters=False, clutter=False),
            seed=16,
        ),
        "fast": _scene(
            _body(18, 35, 210, pattern=Pattern.BANDS),
            "10 deg a second at 30 frames a second, with motion blur",
            lift={"rate_deg_s": 10.0},
            view=View(yaw_deg=5, pitch_deg=5),
            look=Look(exposure_s=1 / 60),
            seed=17,
        ),
        "paused": _scene(
            _body(23, 36, 190, pattern=Pattern.LABEL, colour=_GREEN),
            "pauses of 5 s at 12 and 21 deg",
            lift={"rate_deg_s": 3.5, "pauses": ((12.0, 5.0), (21.0, 5.0))},
            view=View(yaw_deg=-5, pitch_deg=7),
            seed=18,
        ),
        "from-seven": _scene(
            _body(19, 33, 200, pattern=Pattern.BLOBS),
            "the board starts at 7 deg",
            lift={"start_deg": 7.0, "rate_deg_s": 2.5},
            view=View(yaw_deg=8, pitch_deg=6),
            look=Look(wall_colour=_BLUISH, table_colour=_GREY, grain=0.1),
            seed=19,
        ),
        "slides": _scene(
            _body(30, 40, 140, pattern=Pattern.BANDS, colour=_BLUE),
            "slides at 20.8 deg before it can topple",
            board={"friction": 0.38, "mat_colour": (0.6, 0.62, 0.62)},
            view=View(yaw_deg=6, pitch_deg=8),
            seed=20,
        ),
        "stays": _scene(
            _body(25, 37, 180, pattern=Pattern.STRIPES),
            "raised to 17 deg and lowered again: nothing happens",
            lift={"most_deg": 17.0, "rate_deg_s": 4.0, "lowered_again": True},
            view=View(yaw_deg=-7, pitch_deg=5),
            look=Look(table_colour=_GREY, grain=0.15),
            seed=21,
        ),
        "from-left": _scene(
            _body(26, 36, 160, pattern=Pattern.LABEL, colour=_CREAM, second_colour=_BLUE),
            "lifted from the left in jerks",
            look=Look(wall_colour=_BLUISH, table_colour=_ASH),
            lift={"jerk": 0.8},
            lifted=Side.LEFT,
            view=View(yaw_deg=9, pitch_deg=10),
            seed=22,
        ),
        "bare-board": _scene(
            _body(17, 30, 210, pattern=Pattern.BANDS, colour=_GREEN),
            "no mat: a bare board on a table of the same wood",
            board={"mat_thickness_m": 0.0, "thickness_m": 0.009},
            view=View(yaw_deg=-4, pitch_deg=8),
            seed=23,
        ),
        "pale": _scene(
            _body(21, 36, 225, pattern=Pattern.PLAIN, colour=_PALE, second_colour=_PALE),
            "plain pale body on a plain pale wall, pale mat",
            board={"mat_colour": (0.5, 0.55, 0.56)},
            view=View(yaw_deg=5, pitch_deg=5),
            look=Look(posters=False, clutter=False),
            seed=24,
        ),
    }
    rotated = {
        "portrait": Encoding(rotated=True),
        "from-left": Encoding(codec="libx265"),
    }
    return {name: (scene, rotated.get(name, plain)) for name, scene in scenes.items()}
