"""`brinkangle backup` and `brinkangle restore`: the record as one file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ui.record.archive import look_into
from ui.record.backup import back_up, recover
from ui.record.backup import restore as restore_record
from ui.record.errors import RecordDamagedError, RecordError
from ui.record.here import the_record
from ui.record.place import default_place

FAILED = 1
TARGET = "The file to write, a .zip; one in the record's own folder unless told."
SURE = "Do not ask."


def register(app: typer.Typer) -> None:
    """Add the commands to the app."""
    app.command()(backup)
    app.command()(restore)


def backup(
    file: Annotated[Path | None, typer.Argument(metavar="[FILE]", help=TARGET)] = None,
) -> None:
    """Write the whole class record, clips and all, into one file."""
    if file is not None and (file.exists() or not file.absolute().parent.is_dir()):
        raise typer.BadParameter(f"{file} is there already, or its folder is not.")
    try:
        made = back_up(the_record(), file)
    except RecordError as error:
        raise _failed(error) from error
    typer.echo(f"Backed up as {made.path} ({made.size / 1e6:.1f} MB).")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", show_default=False)],
    yes: Annotated[bool, typer.Option("--yes", help=SURE)] = False,
) -> None:
    """Put a backup in the place of the class record, once it was checked.

    What was there is backed up first; a damaged record is set aside.
    """
    try:
        made_at = look_into(file).made_at
        if not yes:
            typer.confirm(f"Replace the class record by that of {made_at:%d %b %Y}?", abort=True)
        _put_in_place(file)
    except RecordError as error:
        raise _failed(error) from error


def _put_in_place(file: Path) -> None:
    try:
        record = the_record()
    except RecordDamagedError as error:
        typer.echo(str(error), err=True)
        aside = recover(default_place(), file)
        typer.echo(f"{file} was restored. The damaged record is {aside}.")
    else:
        kept = restore_record(record, file)
        typer.echo(f"{file} was restored. What was there before is in {kept.path}.")


def _failed(error: RecordError) -> typer.Exit:
    typer.echo(str(error), err=True)
    return typer.Exit(FAILED)
