"""Clips taken into a lesson, each assigned as its file name suggests."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from solver.errors import ClipError
from ui.classroom.names import Guess, find_name, guess
from ui.record.errors import RecordError
from ui.record.record import Record
from ui.record.rows import Clip, LessonView
from ui.uploads import SUFFIXES

Handed = tuple[str, bytes | memoryview | Path]
"""A clip's name and its content, or where it is."""


@dataclass(frozen=True)
class Arrivals:
    """What became of the clips that were handed over."""

    added: tuple[Clip, ...] = ()
    known: tuple[tuple[str, Clip], ...] = ()
    """Name handed over, and the clip of the same content the lesson had already."""
    refused: tuple[tuple[str, str], ...] = ()
    """Name and reason."""

    def words(self) -> str:
        """How many came, in one sentence."""
        words = [f"{len(self.added)} {'clip is' if len(self.added) == 1 else 'clips are'} in"]
        if self.known:
            words.append(f"{len(self.known)} had been there before")
        if self.refused:
            words.append(f"{len(self.refused)} could not be taken in")
        return "; ".join(words) + "."


def take_in(
    record: Record,
    lesson_id: int,
    clips: Iterable[Handed],
    tell: Callable[[str], None] = lambda name: None,
) -> Arrivals:
    """Add clips to a lesson; one that is refused keeps no other out.

    ``tell`` is called with each name before its clip is taken in. Raises
    `NotInRecordError` where the lesson is gone.
    """
    record.lesson(lesson_id)
    added: list[Clip] = []
    known: list[tuple[str, Clip]] = []
    refused: list[tuple[str, str]] = []
    for name, content in clips:
        tell(name)
        try:
            came = record.add_clip(lesson_id, name, content)
            if came.known:
                known.append((name, came.clip))
            else:
                added.append(assign_by_name(record, came.clip))
        except (ClipError, RecordError) as error:
            refused.append((name, str(error)))
    return Arrivals(tuple(added), tuple(known), tuple(refused))


def clips_in(folder: Path) -> tuple[Path, ...]:
    """The clips in a folder by name, not those in folders below it. Raises `OSError`."""
    found = (path for path in folder.iterdir() if path.is_file())
    clips = (path for path in found if path.suffix.lower().removeprefix(".") in SUFFIXES)
    return tuple(sorted(clips))


def assign_by_name(record: Record, clip: Clip) -> Clip:
    """Give a clip what its name says and it does not have; bodies are never made up."""
    found = _guess(record, clip)
    fields: dict[str, Any] = {}
    if clip.group_id is None and found.group:
        fields["group_id"] = group_of(record, clip.lesson_id, found.group)
    if clip.body_id is None and found.body:
        fields["body_id"] = {body.name: body.id for body in record.bodies()}.get(found.body)
    if clip.surface_id is None and found.surface:
        fields["surface_id"] = surface_of(record, found.surface)
    if clip.repeat is None and found.repeat:
        fields["repeat"] = found.repeat
    return record.change(clip, **fields) if fields else clip


def group_of(record: Record, lesson_id: int, label: str) -> int:
    """The lesson's group of that label, made where there is none."""
    groups = {group.label: group.id for group in record.groups(lesson_id)}
    known = find_name(label, groups)
    return groups[known] if known else record.add_group(lesson_id, label).id


def surface_of(record: Record, name: str) -> int:
    """The surface of that name, made where there is none."""
    surfaces = {surface.name: surface.id for surface in record.surfaces()}
    known = find_name(name, surfaces)
    return surfaces[known] if known else record.add_surface(name[:1].upper() + name[1:]).id


def unknown_bodies(record: Record, view: LessonView) -> dict[str, list[Clip]]:
    """Words for bodies that the record does not have, and the clips that speak of them."""
    names = {body.name for body in record.bodies()}
    found: dict[str, list[Clip]] = {}
    for clip in view.clips:
        if clip.body_id is None and (words := _guess(record, clip).body) and words not in names:
            found.setdefault(words, []).append(clip)
    return found


def _guess(record: Record, clip: Clip) -> Guess:
    return guess(
        clip.name,
        [body.name for body in record.bodies()],
        [surface.name for surface in record.surfaces()],
        [group.label for group in record.groups(clip.lesson_id)],
    )
