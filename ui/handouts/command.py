"""The command that writes hand-outs into a folder."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryFile
from typing import Annotated

import typer

from solver.errors import BrinkangleError
from ui.bench.printing import sheet_in, usage
from ui.files import write_whole
from ui.handouts.choosing import CARD_EXAMPLES
from ui.handouts.content import Kind, Lesson, Paper
from ui.handouts.from_record import lesson_of
from ui.handouts.making import Made, Wanted, made, tasks
from ui.handouts.sheets_cards import CardSet
from ui.record.here import the_record
from ui.record.record import Record
from ui.report import printable

NOT_ALL_MADE = 1
FOLDER = typer.Argument(help="Where the PDFs go; made if it is not there.", show_default=False)
LESSON = "Number of the lesson; not needed where there is one alone."
KIND = "A kind to write; give it again for more. All unless given."
BODY = "A saved body (TOML) with a rod, for the challenge cards."
DEMO = "An invented lesson instead of one in the record; every sheet says so."


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(handouts)


def handouts(
    folder: Annotated[Path, FOLDER],
    lesson: Annotated[int | None, typer.Option(help=LESSON, show_default=False)] = None,
    kind: Annotated[list[Kind] | None, typer.Option(help=KIND, show_default=False)] = None,
    paper: Annotated[Paper, typer.Option(help="Size of the paper.")] = Paper.A4,
    body: Annotated[Path | None, typer.Option(help=BODY, show_default=False)] = None,
    cards: Annotated[int, typer.Option(min=1, help="How many challenge cards.")] = 6,
    seed: Annotated[int, typer.Option(min=0, help="The same gives the same cards.")] = 1,
    demo: Annotated[bool, typer.Option("--demo", help=DEMO)] = False,
) -> None:
    """Write a lesson's hand-outs as PDF: lesson sheet, worksheet, protractor, challenge cards,
    worked answers, group reports, class report.

    Exit status: 0 when all were written, 1 when some were not, 2 for wrong usage.
    """
    if demo and lesson is not None:
        raise typer.BadParameter("Give --lesson or --demo, not both.")
    _check(folder)
    about = _invented() if demo else _in_record(lesson)
    wanted = Wanted(tuple(kind or Kind), paper, _card_set(body, cards, seed))
    if not _write_all(about, wanted, folder):
        raise typer.Exit(NOT_ALL_MADE)


def _check(folder: Path) -> None:
    """See that files can be written, before any is made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        TemporaryFile(dir=folder).close()
    except OSError as error:
        reason = f"Nothing can be written into {folder}: {error.strerror}."
        raise typer.BadParameter(reason) from error


def _invented() -> Lesson:
    from ui.handouts.demo import invented_lesson  # decodes a sample clip for its frames

    return invented_lesson()


def _in_record(lesson_id: int | None) -> Lesson:
    try:
        record = the_record()
        return lesson_of(record, _number(record) if lesson_id is None else lesson_id)
    except BrinkangleError as error:
        raise typer.BadParameter(str(error)) from error


def _number(record: Record) -> int:
    lessons = record.lessons()
    if len(lessons) == 1:
        return lessons[0].id
    if not lessons:
        raise typer.BadParameter(
            "There is no lesson in the record yet. Make one on the page 'Class record', or try "
            "--demo."
        )
    found = "; ".join(f"{each.id} {printable(each.title)}, {each.day}" for each in lessons)
    raise typer.BadParameter(f"Give --lesson with one of these numbers: {found}.")


def _card_set(body: Path | None, cards: int, seed: int) -> CardSet:
    if body is None:
        return CardSet(next(iter(CARD_EXAMPLES.values())), cards, seed, example=True)
    with usage():
        return CardSet(sheet_in(body), cards, seed)


def _write_all(lesson: Lesson, wanted: Wanted, folder: Path) -> bool:
    """Whether all could be made and written."""
    whole = True
    for each in made(tasks(lesson, wanted), wanted.paper):
        if isinstance(each, Made):
            whole &= _write(folder / each.name, each.pdf)
        else:
            typer.echo(f"No {each.kind}: {printable(each.reason)}", err=True)
            whole = False
    return whole


def _write(path: Path, pdf: bytes) -> bool:
    try:
        write_whole(path, pdf)
    except OSError as error:
        typer.echo(f"{path} could not be written: {error.strerror}.", err=True)
        return False
    typer.echo(printable(str(path)))
    return True
