"""What `brinkangle class` shows in the terminal."""

from __future__ import annotations

import time
from collections.abc import Sequence

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn
from rich.table import Table
from rich.text import Text

from solver.quantities import DEGREE, MILLIMETRE, RATIO, Unit
from ui.answer import Answer
from ui.classroom.class_file import Refused
from ui.classroom.measuring import Stage, states
from ui.classroom.queue import Queue
from ui.classroom.result_words import (
    agreement_words,
    beside_words,
    caution_words,
    count_words,
    group_rows,
    pooled_words,
    precision_words,
    without_words,
)
from ui.classroom.results import (
    BY_BALANCE,
    BodyResult,
    ClassMean,
    Measured,
    body_results,
    friction_results,
    measured_clips,
)
from ui.record.rows import Clip, LessonView
from ui.report import POLL_S, STYLES, printable
from ui.words import height_interval, interval
from vision.reading import Outcome

HEADINGS = ("clip", "group", "body, surface", "repeat", "outcome", "angle", "height or friction")


def watch(clips: Sequence[Clip], queue: Queue, console: Console) -> None:
    """Show a bar a clip until all are measured and kept."""
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TaskProgressColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=console) as progress:
        bars = [progress.add_task(printable(clip.name), total=1.0) for clip in clips]
        running = True
        while running:
            running = False
            for bar, clip in zip(bars, clips, strict=True):
                found = queue.progress(clip.id)
                running = running or found is not None
                progress.update(bar, completed=found.share if found else 1.0)
            time.sleep(POLL_S if running else 0.0)


def show_lesson(view: LessonView, refused: Sequence[Refused], console: Console) -> None:
    """The clips as a table, why some were not read, and what the class found together."""
    _show_clips(view, refused, console)
    for result in body_results(view):
        _show_body(result, console)
    for friction in friction_results(view):
        _title(f"{friction.body} on {friction.surface}: coefficient of friction", console)
        _show_mean(friction.friction, RATIO, console)


def _show_clips(view: LessonView, refused: Sequence[Refused], console: Console) -> None:
    table = Table(caption="± are half-widths of 95 % intervals.", caption_justify="left")
    for heading in HEADINGS:
        table.add_column(heading, overflow="fold")
    measured = {each.clip.id: each for each in measured_clips(view)}
    found = states(view)
    for state in found:
        table.add_row(*_cells(view, state.clip, measured.get(state.clip.id), state.stage))
    for name, _ in refused:
        unread = Text("unreadable", style=STYLES["unreadable"])
        table.add_row(Text(printable(name)), *[Text("–")] * 3, unread, *[Text("–")] * 2)
    console.print(table)
    for state in found:
        if state.stage is Stage.NO_BODY:
            _line(f"{state.clip.name} needs a body: name it in the plan, with radius_mm.", console)
    for each in measured.values():
        if each.reading.outcome is Outcome.UNREADABLE:
            _line(f"{each.clip.name}: {' '.join(each.reading.reasons)}", console)
    for name, reason in refused:
        _line(reason if name in reason else f"{name}: {reason}", console)


def _cells(view: LessonView, clip: Clip, measured: Measured | None, stage: Stage) -> list[Text]:
    group, body = view.group(clip.group_id), view.body(clip.body_id)
    surface, found = view.surface(clip.surface_id), measured.answer if measured else None
    outcome = str(found.reading.outcome) if found else str(stage)
    stood = ", ".join(each.name for each in (body, surface) if each)
    given = (clip.name, group and group.label, stood, clip.repeat and str(clip.repeat))
    return [
        *(Text(printable(cell) if cell else "–") for cell in given),
        Text(outcome, style=STYLES.get(outcome, "")),
        Text(interval(found.angle, DEGREE) if found and found.angle else "–"),
        Text(_result(found) if found else "–"),
    ]


def _result(found: Answer) -> str:
    if found.height:
        return height_interval(found.height)
    return f"μ {interval(found.friction, RATIO)}" if found.friction else "–"


def _show_body(result: BodyResult, console: Console) -> None:
    _title(f"{result.body.name}: centre height", console)
    if result.toppling:
        _show_mean(result.toppling, MILLIMETRE, console)
    if result.balance:
        _line(f"{BY_BALANCE.capitalize()}: {pooled_words(result.balance, MILLIMETRE)}.", console)
    for beside in result.beside:
        _line(beside_words(beside), console)
    for words in result.left_out:
        _line(f"Not in the mean: {words}", console)


def _show_mean(mean: ClassMean, unit: Unit, console: Console) -> None:
    rows = group_rows(mean, unit)
    table = Table()
    for heading in rows[0]:
        table.add_column(heading, overflow="fold")
    for row in rows:
        table.add_row(*(Text(printable(cell)) for cell in row.values()))
    console.print(table)
    _line(f"All groups: {pooled_words(mean, unit)}. {count_words(mean)}", console)
    spreads = (f"{symbol} {value}" for symbol, value, _ in precision_words(mean, unit))
    _line(f"ISO 5725: {', '.join(spreads)}.", console)
    if words := agreement_words(mean):
        _line(words, console)
    if words := caution_words(mean, unit):
        _line(words, console)
    for reason, without in without_words(mean, unit):
        _line(f"Look again: {reason} {without}", console)


def _title(words: str, console: Console) -> None:
    console.print()
    console.print(Text(printable(words), style="bold"))


def _line(words: str, console: Console) -> None:
    console.print(Text("  " + printable(words)))
