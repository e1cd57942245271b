"""How far the angle is from the truth over many random scenes, and whether it knows.

python -m tests.study.angles --scenes 300 --seed 1     # geometry without pixels
python -m tests.study.angles --drawn 24 --seed 1       # drawn, encoded, measured from the file
python -m tests.study.angles --again FILE.csv          # the tables of rows kept by --csv
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.study.drawn import drawn_score
from tests.study.rows import kept, read_rows
from tests.study.score import Score, score
from tests.study.table import report
from tests.study.trial import Trial, random_trial


def main() -> None:
    """Run the study, or read it again, and print its tables."""
    asked = _asked()
    for kind, scores in (read_rows(asked.again) if asked.again else _run(asked)).items():
        print(f"## {kind}\n\n{report(scores)}\n")


def _asked() -> argparse.Namespace:
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--scenes", type=int, default=0, help="scenes of geometry alone")
    parser.add_argument("--drawn", type=int, default=0, help="scenes drawn as pictures")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first scene")
    parser.add_argument("--clips", type=Path, help="keep what is drawn there, to measure it again")
    parser.add_argument("--width", type=int, default=1280, help="longer side, pixels")
    parser.add_argument("--workers", type=int, default=1, help="processes")
    parser.add_argument("--csv", type=Path, help="keep one row a scene, as each is done")
    parser.add_argument("--again", type=Path, help="table the rows of such a file")
    asked = parser.parse_args()
    if asked.scenes < 1 and asked.drawn < 1 and not asked.again:
        parser.error("say how many: --scenes N for geometry, --drawn N for pictures")
    return asked


def _run(asked: argparse.Namespace) -> dict[str, list[Score]]:
    """All that was asked for, each row kept as it is done."""
    with TemporaryDirectory() as passing, kept(asked.csv) as keep:
        drawn = partial(drawn_score, folder=asked.clips or Path(passing))
        wanted = {"geometry": (asked.scenes, score), "drawn": (asked.drawn, drawn)}
        scores: dict[str, list[Score]] = {kind: [] for kind, (count, _) in wanted.items() if count}
        for kind, done in scores.items():
            count, one = wanted[kind]
            numbers = range(asked.first, asked.first + count)
            for scored in study(one, asked.seed, numbers, asked.workers, asked.width):
                keep(kind, scored)
                done.append(scored)
    return scores


def study(
    one: Callable[[Trial], Score],
    seed: int,
    numbers: Sequence[int],
    workers: int = 1,
    width: int = 1280,
) -> Iterator[Score]:
    """A score for each trial, in order; what they are does not depend on the workers."""
    scored = partial(_scored, one, seed, width)
    if workers < 2:
        yield from map(scored, numbers)
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(scored, numbers)


def _scored(one: Callable[[Trial], Score], seed: int, width: int, number: int) -> Score:
    done = one(random_trial(seed, number, width))
    print(f"scene {number}: {done.true_outcome}, read {done.outcome}", file=sys.stderr, flush=True)
    return done


if __name__ == "__main__":
    main()
