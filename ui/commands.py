"""The commands."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from typing import Annotated

import typer
from rich.console import Console
from uncertainties import nominal_value

from solver.errors import InputError
from solver.quantities import DEGREE, MILLIMETRE, Quantity
from ui.answer import Answer, answer
from ui.bench.commands import register
from ui.classroom.commands import register as register_class
from ui.files import distinct_stems, evidence_files, records_as_json, write_whole
from ui.handouts.command import register as register_handouts
from ui.inputs import RADIUS_U_M, Rim, rim_radius, start_tilt
from ui.jobs import Bench
from ui.record.commands import register as register_record
from ui.report import short_names, show, watch
from ui.sharing.commands import ADDRESS, LESSON, SHARE, share_page
from ui.sharing.commands import register as register_sharing
from ui.words import unit_doubt
from vision.reading import ClipSetup, Outcome

SOME_UNREAD = 1
RIM_OPTIONS = "--radius-mm, --diameter-mm or --circumference-mm"
RIM = "Radius of the rim that touches the board."
RADIUS_U = "Standard uncertainty of the radius."
START = "The board's tilt in the first frames."
EVIDENCE = "Write pictures and series into this folder."

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Read the brink of toppling from phone clips. Follow your school's own risk assessment.",
)

Millimetres = float | None


@app.command()
def measure(
    clips: Annotated[list[Path], typer.Argument(metavar="CLIP...", show_default=False)],
    radius_mm: Annotated[Millimetres, typer.Option(help=RIM)] = None,
    diameter_mm: Annotated[Millimetres, typer.Option(help="Its diameter instead.")] = None,
    circumference_mm: Annotated[Millimetres, typer.Option(help="Its circumference.")] = None,
    radius_u_mm: Annotated[float, typer.Option(help=RADIUS_U)] = RADIUS_U_M / MILLIMETRE.in_si,
    start_tilt_deg: Annotated[float, typer.Option(help=START)] = 0.0,
    json: Annotated[Path | None, typer.Option(help="Write the answers to this file.")] = None,
    evidence: Annotated[Path | None, typer.Option(help=EVIDENCE)] = None,
) -> None:
    """Say of each clip whether the body toppled, slid or stayed, at what tilt, and how high its
    centre of mass lies.

    Exit status: 0 when every clip was read, 1 when some were not, 2 for wrong usage.
    """
    given = {
        Rim.RADIUS: radius_mm,
        Rim.DIAMETER: diameter_mm,
        Rim.CIRCUMFERENCE: circumference_mm,
    }
    with _usage():
        radius_m = _radius(given, radius_u_mm)
        setup = ClipSetup(nominal_value(radius_m), start_tilt(start_tilt_deg * DEGREE.in_si))
    _check_places(json, evidence)
    if doubt := unit_doubt(radius_m):
        typer.echo(f"Warning: {doubt}", err=True)
    answers = _answers(clips, setup, radius_m)
    show(short_names(clips), answers, Console())
    _write([str(clip) for clip in clips], answers, json, evidence)
    if any(each.reading.outcome is Outcome.UNREADABLE for each in answers):
        raise typer.Exit(SOME_UNREAD)


@app.command(name="app")
def open_app(
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")] = 8501,
    share: Annotated[bool, typer.Option("--share", help=SHARE)] = False,
    address: Annotated[str | None, typer.Option(help=ADDRESS, show_default=False)] = None,
    lesson: Annotated[int | None, typer.Option(help=LESSON, show_default=False)] = None,
) -> None:
    """Open the page on this machine alone, or share it with one lesson's students."""
    from ui.serve import serve  # Streamlit is slow to import, and no other command needs it

    if share:
        share_page(port, address, lesson)
    elif address is not None or lesson is not None:
        raise typer.BadParameter("--address and --lesson go with --share.")
    else:
        with _usage():
            serve(port)


register(app)
register_class(app)
register_handouts(app)
register_sharing(app)
register_record(app)


def _radius(given: dict[Rim, Millimetres], radius_u_mm: float) -> Quantity:
    lengths = {rim: mm for rim, mm in given.items() if mm is not None}
    if len(lengths) != 1:
        found = "none was given" if not lengths else f"{len(lengths)} were given"
        raise typer.BadParameter(f"Give one of {RIM_OPTIONS}; {found}.")
    ((rim, mm),) = lengths.items()
    radius_m = nominal_value(rim_radius(rim, mm * MILLIMETRE.in_si))
    return rim_radius(Rim.RADIUS, radius_m, radius_u_mm * MILLIMETRE.in_si)


@contextmanager
def _usage() -> Iterator[None]:
    """Turn what is wrong with the options into wrong usage."""
    try:
        yield
    except InputError as error:
        raise typer.BadParameter(str(error)) from error


def _check_places(json: Path | None, evidence: Path | None) -> None:
    """See that results can be written, before the clips are measured."""
    if json is not None and json.is_dir():
        raise typer.BadParameter(f"{json} is a folder; --json takes a file.")
    for folder in (evidence, json and json.parent):
        if folder is None:
            continue
        try:
            if folder is evidence:
                folder.mkdir(parents=True, exist_ok=True)
            TemporaryFile(dir=folder).close()
        except OSError as error:
            raise typer.BadParameter(
                f"Nothing can be written into {folder}: {error.strerror}."
            ) from error


def _answers(clips: list[Path], setup: ClipSetup, radius_m: Quantity) -> list[Answer]:
    bench = Bench(min(len(clips), os.cpu_count() or 1))
    try:
        tickets = [bench.measure(clip, setup) for clip in clips]
        watch(short_names(clips), tickets, Console(stderr=True))
        return [answer(ticket.reading(), radius_m) for ticket in tickets]
    finally:
        bench.close()


def _write(
    names: Sequence[str], answers: Sequence[Answer], json: Path | None, evidence: Path | None
) -> None:
    try:
        if evidence is not None:
            for stem, each in zip(distinct_stems(names), answers, strict=True):
                for name, content in evidence_files(each.reading, stem).items():
                    write_whole(evidence / name, content)
        if json is not None:
            records = (each.record(name) for name, each in zip(names, answers, strict=True))
            write_whole(json, records_as_json(records))
    except OSError as error:
        typer.echo(f"The results could not be written: {error}.", err=True)
        raise typer.Exit(SOME_UNREAD) from error
