"""The table of a lesson's clips: what each is given, and a cell that was changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any, TypeAlias

from solver.errors import InputError
from solver.quantities import DEGREE
from ui.classroom.arrivals import group_of
from ui.classroom.names import LARGEST_REPEAT, numbered, tidy_label
from ui.record.record import Record
from ui.record.rows import Clip, LessonView

CLIP, GROUP, BODY, SURFACE, REPEAT, START = COLUMNS = (
    "clip", "group", "body", "surface", "repeat", "tilt at start / °",
)  # fmt: skip
Cell: TypeAlias = str | float | None
Cells: TypeAlias = dict[str, Cell]


@dataclass(frozen=True)
class Line:
    """One clip's line in the table."""

    clip_id: int
    cells: tuple[Cell, ...]
    """In the order of `COLUMNS`; None where nothing is given."""


def lines_of(view: LessonView) -> tuple[Line, ...]:
    """The table of a lesson's clips, in the order in which they came."""
    names = clip_names(view)
    return tuple(_line(view, clip, names[clip.id]) for clip in view.clips)


def clip_names(view: LessonView) -> dict[int, str]:
    """What each clip is called here: two of one name are told apart by a number."""
    names = numbered(clip.name for clip in view.clips)
    return dict(zip((clip.id for clip in view.clips), names, strict=True))


def _line(view: LessonView, clip: Clip, name: str) -> Line:
    group, body = view.group(clip.group_id), view.body(clip.body_id)
    surface = view.surface(clip.surface_id)
    cells = (
        name,
        group.label if group else None,
        body.name if body else None,
        surface.name if surface else None,
        clip.repeat,
        round(clip.start_tilt_rad / DEGREE.in_si, 3),
    )
    return Line(clip.id, cells)


def edited(lines: Sequence[Line], edits: Mapping[int, Mapping[str, Any]]) -> tuple[Line, ...]:
    """The table as it stands on the page: the lines with the cells typed since."""
    return tuple(
        Line(
            line.clip_id,
            tuple(
                _plain(edits.get(i, {}).get(column, cell))
                for column, cell in zip(COLUMNS, line.cells, strict=True)
            ),
        )
        for i, line in enumerate(lines)
    )


def _plain(cell: Any) -> Cell:
    """A cell of the page as it is compared: blank is None, and 2.0 is 2."""
    if isinstance(cell, str):
        return cell.strip() or None
    return None if cell is None or not isfinite(cell) else cell


def give(record: Record, clip: Clip, cells: Mapping[str, Any]) -> Clip:
    """Give a clip what was typed into its line, in one change.

    A reading taken with another tilt at the start is removed: it no longer holds.
    Raises `InputError` or `RecordError` for what is not possible.
    """
    typed = {column: _plain(cell) for column, cell in cells.items()}
    fields: dict[str, Any] = {}
    if GROUP in typed:
        label = tidy_label(str(typed[GROUP] or ""))
        fields["group_id"] = group_of(record, clip.lesson_id, label) if label else None
    if BODY in typed:
        fields["body_id"] = _chosen(typed[BODY], {each.name: each.id for each in record.bodies()})
    if SURFACE in typed:
        surfaces = {each.name: each.id for each in record.surfaces()}
        fields["surface_id"] = _chosen(typed[SURFACE], surfaces)
    if REPEAT in typed:
        fields["repeat"] = _repeat(typed[REPEAT])
    if START in typed:
        fields["start_tilt_rad"] = float(typed[START] or 0.0) * DEGREE.in_si
    return record.change(clip, **fields) if fields else clip


def _chosen(name: Cell, known: Mapping[str, int]) -> int | None:
    if name is None:
        return None
    if name not in known:
        raise InputError(
            f"There is no {name} in the record. Add it under 'Bodies, surfaces, groups'."
        )
    return known[str(name)]


def _repeat(typed: Cell) -> int | None:
    if typed is None:
        return None
    if isinstance(typed, str) or typed != int(typed) or not 1 <= typed <= LARGEST_REPEAT:
        raise InputError(f"The repeat is {typed}; give a whole number from 1 to {LARGEST_REPEAT}.")
    return int(typed)


def doubts(view: LessonView) -> tuple[str, ...]:
    """Clips that say they are the same repeat of the same thing."""
    first: dict[tuple[Any, ...], Clip] = {}
    found: list[str] = []
    for clip in view.clips:
        key = (clip.group_id, clip.body_id, clip.surface_id, clip.repeat)
        if None in (clip.group_id, clip.body_id, clip.repeat):
            continue
        if key in first:
            group = view.group(clip.group_id)
            found.append(
                f"{first[key].name} and {clip.name} are both repeat {clip.repeat} of "
                f"{group.label if group else 'one group'}. Is one of them another's?"
            )
        first.setdefault(key, clip)
    return tuple(found)
