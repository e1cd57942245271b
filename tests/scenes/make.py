"""Draw clips with known truth into a folder.

python -m tests.scenes.make FOLDER --count 6 --seed 1     # random scenes
python -m tests.scenes.make FOLDER --chosen               # the chosen hard ones
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tests.scenes.chosen import chosen_scenes
from tests.scenes.film import Encoding, render_clip
from tests.scenes.random_scene import random_scene
from tests.scenes.scene import Scene


def main() -> None:
    """Write the clips, and a line on each."""
    parser = argparse.ArgumentParser(description="Draw clips with known truth.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=6)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--width", type=int, default=1280, help="longer side, pixels")
    parser.add_argument("--chosen", action="store_true", help="the chosen scenes instead")
    parser.add_argument("--only", nargs="*", help="names of chosen scenes")
    wanted = parser.parse_args()
    for name, scene, encoding in _wanted_scenes(wanted):
        began = time.perf_counter()
        path = wanted.folder / f"{name}.mp4"
        truth = render_clip(scene, path, encoding)
        print(
            f"{path.name}: {truth.outcome}, {time.perf_counter() - began:.0f} s",
            flush=True,
        )


def _wanted_scenes(wanted: argparse.Namespace) -> Iterator[tuple[str, Scene, Encoding]]:
    if wanted.chosen:
        for name, (scene, encoding) in chosen_scenes().items():
            if not wanted.only or name in wanted.only:
                yield name, scene, encoding
        return
    for k in range(wanted.count):
        rng = np.random.default_rng([wanted.seed, k])
        yield (
            f"random-{wanted.seed}-{k}",
            random_scene(rng, width=wanted.width),
            Encoding(),
        )


if __name__ == "__main__":
    main()
