"""What `brinkangle measure` shows in the terminal."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn
from rich.table import Table
from rich.text import Text

from solver.quantities import DEGREE, RATIO
from ui.answer import Answer
from ui.jobs import Ticket
from ui.words import height_interval, interval

POLL_S = 0.1
STYLES = {"topples": "cyan", "slides": "yellow", "stays": "magenta", "unreadable": "red"}


def watch(names: Sequence[str], tickets: Sequence[Ticket], console: Console) -> None:
    """Show a bar a clip until all are measured."""
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TaskProgressColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=console) as progress:
        bars = [progress.add_task(printable(name), total=1.0) for name in names]
        running = True
        while running:
            running = not all(ticket.done for ticket in tickets)
            for bar, ticket in zip(bars, tickets, strict=True):
                progress.update(bar, completed=1.0 if ticket.done else ticket.share)
            time.sleep(POLL_S if running else 0.0)


def show(names: Sequence[str], answers: Sequence[Answer], console: Console) -> None:
    """The table of answers, and below it why each is as it is."""
    table = Table(caption="± are half-widths of 95 % intervals.", caption_justify="left")
    for heading in ("clip", "outcome", "angle", "centre height", "friction"):
        table.add_column(heading, overflow="fold")
    for name, answer in zip(names, answers, strict=True):
        table.add_row(*_cells(name, answer))
    console.print(table)
    for name, answer in zip(names, answers, strict=True):
        console.print(Text(printable(name), style="bold"))
        for reason in answer.reasons:
            console.print(Text("  " + printable(reason)))


def short_names(clips: Sequence[Path]) -> list[str]:
    """Names without folders, where that tells the clips apart."""
    names = [clip.name for clip in clips]
    return names if len(set(names)) == len(names) else [str(clip) for clip in clips]


def printable(words: str) -> str:
    """Words without what would steer the terminal."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in words)


def _cells(name: str, answer: Answer) -> list[Text]:
    outcome = str(answer.reading.outcome)
    return [
        Text(printable(name)),
        Text(outcome, style=STYLES[outcome]),
        Text(interval(answer.angle, DEGREE) if answer.angle else "–"),
        Text(height_interval(answer.height) if answer.height else "–"),
        Text(interval(answer.friction, RATIO) if answer.friction else "–"),
    ]
