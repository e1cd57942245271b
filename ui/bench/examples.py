"""Bodies to begin with: invented ones of the kind a school has on its shelf."""

from __future__ import annotations

from ui.bench.sheet import BaseSheet, BodySheet, LumpSheet, Number, PartSheet, RodSheet

TIN, LID_Z = 36.5, 110.0

LEAF_TEA_TIN = BodySheet(
    "leaf tea tin",
    (
        PartSheet("wall", "tube", Number(48.0, 0.1), sizes={"radius": TIN, "height": LID_Z}),
        PartSheet("base", "disc", Number(14.0, 0.1), sizes={"radius": TIN}),
        PartSheet(
            "lid", "disc", Number(16.0, 0.1), sizes={"radius": TIN}, stands_at=Number(LID_Z, 0.3)
        ),
    ),
    rod=RodSheet(),
)
SEED_TUB = BodySheet(
    "seed tub",
    (
        PartSheet(
            "tub", "turned_shell", Number(22.0, 0.1),
            points=((0.0, 0.0), (0.0, 34.0), (85.0, 46.0)),
        ),
        PartSheet(
            "seeds", "frustum", amount=Number(720.0, 20.0),
            sizes={"bottom_radius": 34.0, "top_radius": 40.0, "height": 42.0}, sizes_u_mm=0.5,
        ),
    ),
    BaseSheet(sizes={"radius": 34.0}),
)  # fmt: skip
CARD_TUBE = BodySheet(
    "card tube",
    (
        PartSheet("wall", "tube", Number(31.0, 0.1), sizes={"radius": 25.0, "height": 160.0}),
        PartSheet("base", "disc", Number(4.0, 0.1), sizes={"radius": 25.0}),
    ),
    BaseSheet(sizes={"radius": 25.0}),
    rod=RodSheet(Number(11.0, 0.1), Number(150.0, 0.5)),
    lump=LumpSheet(Number(45.0, 0.1), place=Number(90.0, 0.5)),
)
BOTTLE_OF_SAND = BodySheet(
    "bottle of sand",
    (
        PartSheet("bottle", "weighed", Number(26.0, 0.1), stands_at=Number(88.0, 2.0)),
        PartSheet(
            "sand", "cylinder", Number(240.0, 0.5), sizes={"radius": 31.0, "height": 50.0},
            sizes_u_mm=0.5,
        ),
    ),
    BaseSheet("ring", {"outer_radius": 29.0, "inner_radius": 24.0}),
    height=Number(190.0, 0.5),
)  # fmt: skip
TIMBER_BLOCK = BodySheet(
    "timber block",
    (
        PartSheet(
            "block", "box", amount=Number(520.0, 30.0),
            sizes={"width": 60.0, "depth": 45.0, "height": 140.0}, sizes_u_mm=0.3,
        ),
    ),
    BaseSheet("rectangle", {"width": 60.0, "depth": 45.0}, sizes_u_mm=0.3),
)  # fmt: skip

EXAMPLES = (LEAF_TEA_TIN, SEED_TUB, CARD_TUBE, BOTTLE_OF_SAND, TIMBER_BLOCK)
