"""How far the angle is from the truth over many random scenes, and whether it knows.

python -m tests.study.angles --scenes 300 --seed 1     # geometry without pixels
python -m tests.study.angles --drawn 12 --seed 1       # drawn, encoded, measured from the file
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import asdict
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from tests.study.drawn import drawn_score
from tests.study.score import COLUMNS, Score, score
from tests.study.table import report
from tests.study.trial import Trial, random_trial


def main() -> None:
    """Run the study and print its tables."""
    asked = _asked()
    with ExitStack() as stack:
        keep = _keeper(stack, asked.csv)
        for kind, count, one in (
            ("geometry", asked.scenes, score),
            ("drawn", asked.drawn, drawn_score),
        ):
            if count > 0:
                began = time.perf_counter()
                numbers = range(asked.first, asked.first + count)
                scores = []
                for done in study(one, asked.seed, numbers, asked.workers, asked.width):
                    keep(kind, done)
                    scores.append(done)
                print(f"## {kind}, seed {asked.seed}: {time.perf_counter() - began:.0f} s\n")
                print(report(scores), end="\n\n", flush=True)


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=_AS_WRITTEN)
    parser.add_argument("--scenes", type=int, default=0, help="scenes of geometry alone")
    parser.add_argument("--drawn", type=int, default=0, help="scenes drawn as pictures")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first scene")
    parser.add_argument("--width", type=int, default=1280, help="longer side, pixels")
    parser.add_argument("--workers", type=int, default=1, help="processes")
    parser.add_argument("--csv", type=Path, help="write one row a scene, as each is done")
    asked = parser.parse_args()
    if asked.scenes < 1 and asked.drawn < 1:
        parser.error("say how many: --scenes N for geometry, --drawn N for pictures")
    return asked


def _keeper(stack: ExitStack, path: Path | None) -> Callable[[str, Score], None]:
    """What writes a row, if rows are to be kept."""
    if path is None:
        return lambda kind, done: None
    file = stack.enter_context(path.open("w", newline=""))
    table = csv.DictWriter(file, ["kind", *COLUMNS])
    table.writeheader()

    def keep(kind: str, done: Score) -> None:
        table.writerow({"kind": kind, **asdict(done)})
        file.flush()

    return keep


_AS_WRITTEN = argparse.RawDescriptionHelpFormatter


def study(
    one: Callable[[Trial], Score],
    seed: int,
    numbers: Sequence[int],
    workers: int = 1,
    width: int = 1280,
) -> Iterator[Score]:
    """A score for each trial, in order; what they are does not depend on the workers."""
    if workers < 2:
        yield from map(partial(_scored, one, seed, width), numbers)
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(partial(_scored, one, seed, width), numbers)


def _scored(one: Callable[[Trial], Score], seed: int, width: int, number: int) -> Score:
    done = one(random_trial(seed, number, width))
    print(f"scene {number}: {done.true_outcome}, read {done.outcome}", file=sys.stderr, flush=True)
    return done


if __name__ == "__main__":
    main()
