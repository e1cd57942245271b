"""All hand-outs of a lesson that were asked for, one after the other."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from solver.errors import BrinkangleError
from ui.files import distinct_stems, safe_stem
from ui.handouts.content import NEEDS_READINGS, Kind, Lesson, Paper
from ui.handouts.sheets_answers import worked_answers
from ui.handouts.sheets_before import lesson_sheet, protractor, worksheet
from ui.handouts.sheets_cards import CardSet, challenge_cards
from ui.handouts.sheets_class import class_report
from ui.handouts.sheets_group import group_report
from ui.handouts.typesetting import Sheet, as_pdf

NOTHING_MEASURED = (
    "No clip of this lesson has been measured yet. Measure its clips on the page 'Class record', "
    "or with brinkangle class; then this sheet has something to say."
)
Writer = Callable[[], Sheet]


@dataclass(frozen=True)
class Wanted:
    """Which hand-outs, and on what paper."""

    kinds: tuple[Kind, ...]
    paper: Paper
    cards: CardSet


@dataclass(frozen=True)
class Made:
    """A hand-out as a file."""

    kind: Kind
    name: str
    pdf: bytes
    sheet: Sheet
    """What it was made from, to draw it in another way."""
    part: bool = False
    """Whether its pages stand in another file too."""


@dataclass(frozen=True)
class Refused:
    """A hand-out that cannot be made, and why."""

    kind: Kind
    reason: str


@dataclass(frozen=True)
class Task:
    """A hand-out to be made."""

    kind: Kind
    name: str
    write: Writer
    part: bool = False
    """As of `Made`."""

    def do(self, paper: Paper) -> Made | Refused:
        """Make it; a mistake that can be named is a refusal, and stops no other hand-out."""
        try:
            sheet = self.write()
            return Made(self.kind, self.name, as_pdf(sheet, paper), sheet, self.part)
        except BrinkangleError as error:
            return Refused(self.kind, str(error))


def tasks(lesson: Lesson, wanted: Wanted) -> list[Task | Refused]:
    """What is to be made, in the order of the kinds."""
    found: list[Task | Refused] = []
    for kind in wanted.kinds:
        if kind in NEEDS_READINGS and not lesson.clips:
            found.append(Refused(kind, NOTHING_MEASURED))
        elif kind is Kind.GROUP:
            found += _of_groups(lesson)
        else:
            found.append(Task(kind, f"{kind}.pdf", _writer(lesson, kind, wanted.cards)))
    return found


def made(todo: Sequence[Task | Refused], paper: Paper) -> Iterator[Made | Refused]:
    """Each hand-out as it is made."""
    for task in todo:
        yield task if isinstance(task, Refused) else task.do(paper)


def _writer(lesson: Lesson, kind: Kind, cards: CardSet) -> Writer:
    if kind is Kind.CARDS:
        return partial(challenge_cards, lesson, cards)
    writers: dict[Kind, Callable[[Lesson], Sheet]] = {
        Kind.LESSON: lesson_sheet,
        Kind.WORKSHEET: worksheet,
        Kind.PROTRACTOR: protractor,
        Kind.ANSWERS: worked_answers,
        Kind.CLASS: class_report,
    }
    return partial(writers[kind], lesson)


def _of_groups(lesson: Lesson) -> list[Task | Refused]:
    """All groups in one file to print at once, and a file for each to hand back."""
    groups = lesson.groups
    everyone = Task(Kind.GROUP, f"{Kind.GROUP}s.pdf", partial(group_report, lesson, groups))
    if len(groups) == 1:
        return [everyone]
    singles = (
        Task(Kind.GROUP, f"{Kind.GROUP}-{stem}.pdf", partial(group_report, lesson, [group]), True)
        for group, stem in zip(groups, distinct_stems(groups), strict=True)
    )
    return [everyone, *singles]


def zipped(files: Sequence[Made]) -> bytes:
    """All files as one."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:  # a PDF is compressed already
        for file in files:
            archive.writestr(file.name, file.pdf)
    return buffer.getvalue()


def zip_name(lesson: Lesson) -> str:
    """What to call the file of all."""
    return f"hand-outs-{safe_stem(lesson.view.lesson.title)}.zip"
