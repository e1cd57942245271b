"""Bodies the tests of lump, design and working share: a tea tin with a rod in it."""

from solver.bodies import Body, Contact, Part
from solver.quantities import measured
from solver.rig import Rig, Rod
from solver.shapes import disc, tube

RADIUS, HEIGHT = 0.0365, 0.11


def tin_with_rod(radius_u: float = 0.0, mass_u: float = 0.0) -> Rig:
    """A tin of 80 g, 110 mm high, with a 100 mm rod of 8 g standing on its base."""
    body = Body(
        "leaf tea tin",
        (
            Part.of("wall", tube(RADIUS, HEIGHT), measured(0.05, mass_u, "wall")),
            Part.of("base", disc(RADIUS), 0.015),
            Part.of("lid", disc(RADIUS), 0.015, base_m=HEIGHT),
        ),
        Contact.circle(measured(RADIUS, radius_u, "radius")),
    )
    return Rig(body, Rod(0.008, 0.1))
