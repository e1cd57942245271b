"""`brinkangle class`: a folder of clips into the record, measured and pooled."""

from __future__ import annotations

import json as json_text
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from solver.errors import InputError
from ui.classroom.arrivals import Arrivals, clips_in, take_in
from ui.classroom.class_file import all_read, lesson_as_json
from ui.classroom.following import check_bodies, follow
from ui.classroom.measuring import saving, states, tasks, to_measure
from ui.classroom.plan import Plan, PlanRow, read_plan
from ui.classroom.printing import show_lesson, watch
from ui.classroom.queue import Queue
from ui.files import write_whole
from ui.jobs import Bench
from ui.record.errors import RecordError
from ui.record.here import the_record
from ui.record.record import Record
from ui.record.rows import Clip, Lesson, LessonView
from ui.uploads import SUFFIXES

SOME_UNREAD = 1
PLAN = "CSV with the headings clip, group, body, surface, repeat, radius_mm, radius_u_mm, "
LESSON = "Title of the lesson; the folder's name unless told. One of that title is gone on with."


def register(app: typer.Typer) -> None:
    """Add the command to the app."""
    app.command(name="class")(measure_class)


def measure_class(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", show_default=False)],
    plan: Annotated[
        Path | None,
        typer.Option(help=PLAN + "start_tilt_deg; what is not said stays, or is guessed."),
    ] = None,
    lesson: Annotated[str | None, typer.Option(help=LESSON)] = None,
    again: Annotated[bool, typer.Option("--again", help="Measure what was measured.")] = False,
    json: Annotated[Path | None, typer.Option(help="Write the answers to this file.")] = None,
) -> None:
    """Measure all clips of a lesson, keep them in the class record, and pool what groups found.

    Exit status: 0 when every clip was read, 1 when some were not, 2 for wrong usage.
    """
    paths = _clips(folder)
    followed = _read(plan, paths) if plan else None
    if json is not None and (json.is_dir() or not json.absolute().parent.is_dir()):
        raise typer.BadParameter(f"Nothing can be written to {json}: name a file in a folder.")
    with _in_words():
        record = the_record()
        if followed:
            with _usage():
                check_bodies(record, followed.rows)
        row = _lesson(record, lesson or folder.resolve().name)
        arrived = _take_in(record, row, paths, followed)
        _measure(record, row, again)
        view = record.lesson_view(row.id)
        show_lesson(view, arrived.refused, Console())
        _write(json, view, arrived)
    if not all_read(view, arrived.refused):
        raise typer.Exit(SOME_UNREAD)


def _clips(folder: Path) -> tuple[Path, ...]:
    try:
        paths = clips_in(folder)
    except OSError as error:
        raise typer.BadParameter(
            f"The folder {folder} cannot be read: {error.strerror}."
        ) from error
    if not paths:
        raise typer.BadParameter(
            f"There are no clips ({', '.join(SUFFIXES)}) in the folder {folder}."
        )
    return paths


def _read(plan: Path, paths: Sequence[Path]) -> Plan:
    names = [path.name for path in paths]
    try:
        content = plan.read_bytes()
    except OSError as error:
        raise typer.BadParameter(f"The plan {plan} cannot be read: {error.strerror}.") from error
    with _usage():
        found = read_plan(content, plan.name, names)
    for doubt in found.doubts:
        typer.echo(f"Warning: {doubt}", err=True)
    for name in found.unplanned(names):
        typer.echo(f"Warning: {name} is not in {plan.name}, so it is left out.", err=True)
    return found


@contextmanager
def _usage() -> Iterator[None]:
    """Turn what is wrong with the plan into wrong usage."""
    try:
        yield
    except InputError as error:
        raise typer.BadParameter(str(error)) from error


@contextmanager
def _in_words() -> Iterator[None]:
    """Say what is wrong with the record; what it kept before is kept."""
    try:
        yield
    except RecordError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(SOME_UNREAD) from error


def _lesson(record: Record, title: str) -> Lesson:
    found = next((each for each in record.lessons() if each.title == title), None)
    return found or record.add_lesson(title, date.today())


def _take_in(record: Record, lesson: Lesson, paths: Sequence[Path], plan: Plan | None) -> Arrivals:
    """The clips into the record, each given what the plan says."""
    named = {path.name: path for path in paths}
    wanted = [named[row.clip] for row in plan.rows] if plan else list(paths)
    arrived = take_in(record, lesson.id, [(path.name, path) for path in wanted])
    came: dict[str, Clip] = {clip.name: clip for clip in arrived.added}
    for name, clip in arrived.known:
        came[name] = clip
        if name != clip.name:
            typer.echo(f"Warning: {name} is the same clip as {clip.name}.", err=True)
    if plan:
        rows: dict[int, PlanRow] = {}
        for row in plan.rows:
            if row.clip in came:
                rows.setdefault(came[row.clip].id, row)
        follow(record, [(record.clip(clip_id), row) for clip_id, row in rows.items()])
    return arrived


def _measure(record: Record, lesson: Lesson, again: bool) -> None:
    view = record.lesson_view(lesson.id)
    if again:
        for clip in view.clips:
            if clip.stored is not None:
                record.forget_readings(clip.id)
        view = record.lesson_view(lesson.id)
    clips = to_measure(states(view))
    if not clips:
        return
    at_once = min(len(clips), os.cpu_count() or 1)
    bench = Bench(at_once)
    queue = Queue(bench, saving(record), at_once)
    try:
        queue.add(tasks(record, view, clips))
        watch(clips, queue, Console(stderr=True))
        for clip in clips:
            if words := queue.unsaved(clip.id):
                typer.echo(f"{clip.name}: {words}", err=True)
    except KeyboardInterrupt:
        typer.echo("Stopped. What was measured is kept; the same command goes on.", err=True)
        raise
    finally:
        queue.close()
        bench.close()


def _write(json: Path | None, view: LessonView, arrived: Arrivals) -> None:
    if json is None:
        return
    found = lesson_as_json(view, arrived.refused)
    text = json_text.dumps(found, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    try:
        write_whole(json, text.encode("utf-8", "backslashreplace"))
    except OSError as error:
        typer.echo(f"The results could not be written: {error}.", err=True)
        raise typer.Exit(SOME_UNREAD) from error
