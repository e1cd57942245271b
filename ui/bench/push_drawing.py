"""A body on its surface at the moment it goes, with the forces by their names and to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, isfinite, pi, sin

from uncertainties import nominal_value

from solver.contact import Reaction, reaction, reaction_raised
from solver.friction import Push, Stand, Way, push
from solver.quantities import DEGREE, GRAVITY_M_S2
from ui.bench.body_drawing import Place, draw_section, lean_over, spots_of
from ui.bench.drawing import BOARD, THIN, WEIGHT_LINE, Drawing, Frame
from ui.bench.sections import Section, Spot
from ui.bench.sheet import in_mm
from ui.theme import INK, PLUM, TEAL

LONGEST_PX = 104.0
SHORTEST_PX = 18.0
UNDER_PX = 11.0
"""By which friction is drawn below the surface, to be seen beside it."""
PUSH = "#B0362B"


@dataclass(frozen=True)
class Scene:
    """What is drawn: a stand with its outline, tilted, held, and perhaps pushed."""

    name: str
    stand: Stand
    sections: Sequence[tuple[str, Section]]
    """Millimetres, the axis on x = 0, the way of the push to the right."""
    tilt_rad: float
    way: Way
    held: Reaction
    how: Push | None = None
    force_n: float = 0.0


def when_pushed(
    name: str, stand: Stand, sections: Sequence[tuple[str, Section]], how: Push, tilt_rad: float
) -> Scene | None:
    """The scene at the least force that moves it; None where no force does."""
    result = push(stand, how, tilt_rad)
    force = min(nominal_value(result.slide_n), nominal_value(result.topple_n))
    held = reaction(stand, force, how, tilt_rad) if isfinite(force) else None
    if held is None:
        return None
    return Scene(name, stand, sections, tilt_rad, how.way, held, how, force)


def when_raised(name: str, stand: Stand, sections: Sequence[tuple[str, Section]]) -> Scene:
    """The scene at the tilt at which it goes by itself."""
    tilt = min(float(nominal_value(angle)) for angle in (stand.slide_rad, stand.brink_rad))
    return Scene(name, stand, sections, tilt, Way.DOWN, reaction_raised(stand, tilt))


def drawn(scene: Scene) -> str:
    """The scene as SVG."""
    reach = in_mm(scene.stand.radius_m)
    turn = scene.way * scene.tilt_rad
    place = lean_over((reach, 0.0), turn)
    inner = spots_of(scene.sections) or [
        (-reach, 0.0),
        (reach, 2 * in_mm(scene.stand.centre_height_m)),
    ]
    g = (0.0, in_mm(scene.stand.centre_height_m))
    spots = [*map(place, inner), place(g), (0.0, 0.0)]
    size = max(_extent(spots, 0), _extent(spots, 1))
    left = min(x for x, _ in inner)
    ends = [place((left - 0.72 * size, 0.0)), place((reach + 0.6 * size, 0.0))]
    room = (0.14 * size, 0.06 * size, 0.24 * size, 0.1 * size)
    frame = Frame.round([*spots, *ends], room)
    drawing = Drawing(frame, f"Forces on the {scene.name} at the moment it goes")
    _surface(drawing, ends, turn)
    draw_section(drawing, scene.sections, place)
    drawing.line([place(g), (place(g)[0], frame.low + 0.02 * size)], WEIGHT_LINE)
    _forces(drawing, scene, place(g), place((reach - in_mm(scene.held.behind_m), 0.0)))
    if scene.how is not None:
        _push(drawing, scene, scene.how, place, left)
    drawing.centre(place(g))
    drawing.dot((0.0, 0.0), PLUM)
    return drawing.svg()


def _extent(spots: Sequence[Spot], axis: int) -> float:
    return max(s[axis] for s in spots) - min(s[axis] for s in spots)


def _surface(drawing: Drawing, ends: Sequence[Spot], turn: float) -> None:
    drawing.line(ends, BOARD)
    if not turn:
        return
    low, far = sorted(ends, key=lambda end: end[1])
    drawing.line([low, (far[0], low[1])], THIN)
    drawing.arc(low, 46.0, *((pi, pi - turn) if turn > 0 else (0.0, -turn)))
    words, sense = f"α = {DEGREE.show(abs(turn), 3)}", -1 if turn > 0 else 1
    shift = (54.0 * sense, 13.0 if abs(turn) < 0.3 else -54.0 * sin(abs(turn) / 2))
    drawing.text(low, words, shift, "end" if turn > 0 else "start")


def _px(drawing: Drawing, scene: Scene, newtons: float) -> float:
    weight = nominal_value(scene.stand.mass_kg) * GRAVITY_M_S2
    longest = max(weight, scene.force_n, scene.held.normal_n)
    return max(SHORTEST_PX, LONGEST_PX * newtons / longest)


def _forces(drawing: Drawing, scene: Scene, g: Spot, foot: Spot) -> None:
    turn = scene.way * scene.tilt_rad
    weight = nominal_value(scene.stand.mass_kg) * GRAVITY_M_S2
    length = _px(drawing, scene, weight)
    drawing.arrow(g, -pi / 2, length, INK)
    drawing.text(g, f"weight {weight:.2f} N", (-9.0, 0.8 * length), "end")
    normal = scene.held.normal_n
    length = _px(drawing, scene, normal)
    dx, dy = drawing.arrow(foot, pi / 2 - turn, length, TEAL)
    drawing.text(foot, f"normal {normal:.2f} N", (dx + 9.0, dy + 4.0), colour=TEAL)
    friction = scene.held.friction_n
    if abs(friction) < 1e-9:
        return
    under = (-UNDER_PX * sin(turn) / drawing.scale, -UNDER_PX * cos(turn) / drawing.scale)
    start = (foot[0] + under[0], foot[1] + under[1])
    along = pi - turn if friction > 0 else -turn
    drawing.arrow(start, along, _px(drawing, scene, abs(friction)), TEAL)
    words = f"friction {abs(friction):.2f} N"
    drawing.text(start, words, (0.0, 17.0), "end" if friction > 0 else "start", colour=TEAL)


def _push(drawing: Drawing, scene: Scene, how: Push, place: Place, left: float) -> None:
    """The arrow ends at the point it pushes on, as a finger does."""
    behind = left if how.behind_m is None else in_mm(scene.stand.radius_m - how.behind_m)
    tip = place((behind, in_mm(how.height_m)))
    along = how.angle_rad - scene.way * scene.tilt_rad
    length = _px(drawing, scene, scene.force_n)
    back = length / drawing.scale
    tail = (tip[0] - back * cos(along), tip[1] - back * sin(along))
    drawing.arrow(tail, along, length, PUSH)
    words = f"push {scene.force_n:.2f} N"
    drawing.text(tail, words, (-7.0, 0.0), "end", colour=PUSH, bold=True)
