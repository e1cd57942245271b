"""What the bench's commands share: reading a body file, saying the answer, writing JSON."""

from __future__ import annotations

import json as json_text
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.console import Console
from rich.text import Text

from solver.errors import InputError
from solver.working import Working
from ui.bench.body_file import read
from ui.bench.plain_notation import PLAIN
from ui.bench.sheet import BodySheet
from ui.files import write_whole
from ui.report import printable

NOT_WRITTEN = 1
STDOUT = "-"

BodyFile = Annotated[Path, typer.Argument(metavar="BODY", help="A body file (TOML).")]
JSON = typer.Option(help="Write the answer to this file; - for standard output, alone.")
Json = Annotated[str | None, JSON]
WORKING = typer.Option("--working", help="Show the working.")
ShowWorking = Annotated[bool, WORKING]


@contextmanager
def usage() -> Iterator[None]:
    """Turn what the solver refuses into wrong usage."""
    try:
        yield
    except InputError as error:
        raise typer.BadParameter(str(error)) from error


def sheet_in(path: Path) -> BodySheet:
    """The body in a file. Raises `typer.BadParameter` where it cannot be opened."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise typer.BadParameter(f"{path} cannot be opened: {error.strerror}.") from error
    return read(content)


def give(
    lines: Sequence[str],
    answer: Mapping[str, Any],
    json: str | None,
    doubts: Iterable[str] = (),
    workings: Iterable[Working] = (),
) -> None:
    """Say the answer, and write it where that was asked for."""
    for doubt in doubts:
        print(f"Warning: {printable(doubt)}", file=sys.stderr)
    if json == STDOUT:
        sys.stdout.write(as_json(answer))
        return
    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(printable(line)))
    for working in workings:
        console.print()
        for line in written_out(working):
            console.print(Text(printable(line)))
    if json is not None:
        _write(Path(json), as_json(answer).encode())


def written_out(working: Working) -> Iterator[str]:
    """The working as lines of plain text."""
    yield working.title
    for number, step in enumerate(working.steps, start=1):
        yield f"{number}. {step.principle}"
        for line in (step.in_symbols(PLAIN), step.with_numbers(PLAIN), step.answer(PLAIN)):
            yield f"   {line}"
    if working.conclusion:
        yield working.conclusion


def as_json(answer: Any) -> str:
    """JSON with a new line at its end; a number that is not finite is null."""
    return json_text.dumps(_finite(answer), indent=2, ensure_ascii=False) + "\n"


def _finite(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _finite(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(each) for each in value]
    return None if isinstance(value, float) and not isfinite(value) else value


def _write(path: Path, content: bytes) -> None:
    try:
        write_whole(path, content)
    except OSError as error:
        print(f"{path} could not be written: {error.strerror}.", file=sys.stderr)
        raise typer.Exit(NOT_WRITTEN) from error
