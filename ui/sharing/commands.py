"""The commands that share the page, and set the passphrase that opens it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from solver.errors import BrinkangleError
from ui.record.here import the_record
from ui.record.place import default_place
from ui.record.record import Record
from ui.record.rows import Lesson
from ui.sharing.addresses import EVERYWHERE, to_type
from ui.sharing.door import Door
from ui.sharing.passphrase import LEAST, is_set, set_passphrase

SHARE = "Serve the school's network for one lesson: passphrase for you, lesson code for students."
ADDRESS = "With --share: listen on this address alone, instead of all of this machine's."
LESSON = "With --share: number of the lesson to open; the latest unless given."
FROM_FILE = "Take the passphrase from the first line of this file, instead of asking."
PLAIN = (
    "On the network the page travels unencrypted, so whoever can listen in could read it,\n"
    "passphrase and codes included. Share for the lesson, on the school's own network, and end\n"
    "it with Ctrl+C. Your school's data-protection policy comes first."
)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(passphrase)


def passphrase(
    from_file: Annotated[Path | None, typer.Option(help=FROM_FILE, show_default=False)] = None,
) -> None:
    """Set the teacher's passphrase for a shared page, or set a new one."""
    if from_file is None:
        words = _ask()
    else:
        try:
            words = (from_file.read_text("utf-8").splitlines() or [""])[0]
        except (OSError, UnicodeError) as error:
            raise typer.BadParameter(f"{from_file} cannot be read: {error}.") from error
    _set(words)


def share_page(port: int, address: str | None, lesson_id: int | None) -> None:
    """Serve the page through a door, with a lesson open if there is one."""
    from ui.serve import serve  # Streamlit is slow to import

    address = address or EVERYWHERE
    try:
        record = the_record()
        lesson = _lesson(record, lesson_id)
        if not is_set(default_place().folder):
            typer.echo("No passphrase is set yet. It opens everything; students never get it.")
            _set(_ask())
        door = Door(default_place().folder, record)
        serve(port, address, door, lambda: _welcome(door, address, port, lesson))
    except BrinkangleError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(1) from error


def _lesson(record: Record, lesson_id: int | None) -> Lesson | None:
    if lesson_id is not None:
        return record.lesson(lesson_id)
    return next(iter(record.lessons()), None)


def _ask() -> str:
    """The passphrase from the terminal, which does not show it."""
    if not _on_a_terminal():
        raise typer.BadParameter(
            "The passphrase is asked for on a terminal, and there is none. "
            "Set it first: brinkangle passphrase --from-file FILE"
        )
    asked = typer.prompt(
        f"Teacher's passphrase ({LEAST} characters or more; not shown)",
        hide_input=True,
        confirmation_prompt="The same again",
    )
    return str(asked)


def _on_a_terminal() -> bool:
    return sys.stdin.isatty()


def _set(words: str) -> None:
    try:
        set_passphrase(default_place().folder, words)
    except BrinkangleError as error:
        raise typer.BadParameter(str(error)) from error
    typer.echo("The passphrase is set. Only its hash is kept.")


def _welcome(door: Door, address: str, port: int, lesson: Lesson | None) -> None:
    """Say what to type where; the code is shown this once."""
    found = to_type(address, port)
    typer.echo("Brinkangle is shared until you press Ctrl+C.\n")
    for each in found or ("none: this machine is on no network that could be found",):
        typer.echo(f"  Address      {each}")
    if lesson is None:
        typer.echo("  Lesson       none yet: make one in 'Class record', and open it there")
    else:
        typer.echo(f"  Lesson       {lesson.title}, {lesson.day:%d.%m.%Y} (number {lesson.id})")
        typer.echo(f"  Lesson code  {door.open(lesson.id)}   shown this once")
    typer.echo(f"\n{PLAIN}")
    sys.stdout.flush()
