"""'Keep and move': backups, files for other programs, and how long clips are kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial

import streamlit as st

from ui.record.backup import recover, set_aside
from ui.record.backup_view import show_backups, show_restore
from ui.record.checks import LONGEST_KEEPING_DAYS
from ui.record.errors import RecordDamagedError
from ui.record.exchange_view import show_export, show_import
from ui.record.here import close_records
from ui.record.place import Place
from ui.record.record import Record
from ui.record.rows import Lesson
from ui.record.saying import attempt, say
from ui.record.surroundings_view import offer_blanking
from ui.words import as_text

USUAL_DAYS = 28
NO_LESSON = "Make a lesson first: then its figures can be moved, and its clips be given an end."


def show_keeping(record: Record, lesson: Lesson | None = None) -> None:
    """Backups of the record, and files and keeping time of a lesson; the first unless told."""
    say()
    lessons = record.lessons()
    lesson = lesson or (lessons[0] if lessons else None)
    parts = st.tabs(["Clips", "Backup", "Restore", "Export", "Import"])
    with parts[0]:
        _keeping_time(record, lesson)
    with parts[1]:
        show_backups(record)
    with parts[2]:
        show_restore(record)
    with parts[3]:
        if lesson is None:
            st.info(NO_LESSON)
        else:
            show_export(record, lesson)
    with parts[4]:
        show_import(record, lesson)


def show_damaged(error: RecordDamagedError, place: Place) -> None:
    """What is wrong with the record, and the ways on; nothing is done unasked."""
    say()
    st.error(as_text(str(error)))
    if error.backup is not None:
        st.button(
            "Set the damaged record aside and restore the latest backup",
            type="primary",
            on_click=attempt,
            args=(partial(_begun_again, recover, place, error.backup), "The backup was restored."),
        )
    st.button(
        "Set the damaged record aside and begin a new one",
        on_click=attempt,
        args=(partial(_begun_again, set_aside, place), "A new record was begun."),
    )
    st.caption(as_text(f"What is set aside stays in {place.folder}."))


def _keeping_time(record: Record, lesson: Lesson | None) -> None:
    _clips_aside(record.place)
    if lesson is None:
        st.info(NO_LESSON)
        return
    st.markdown(
        "Sound, place and all other data are taken off every clip when it comes. Deleting a clip "
        "deletes its file and the pictures from it for good; the figures stay."
    )
    has_end = st.toggle(
        "Delete this lesson's clips after some time",
        value=lesson.keep_days is not None,
        key=f"keep ends {lesson.id}",
    )
    days = None
    if has_end:
        days = st.number_input(
            "Days after the lesson",
            min_value=0,
            max_value=LONGEST_KEEPING_DAYS,
            value=USUAL_DAYS if lesson.keep_days is None else lesson.keep_days,
            key=f"keep days {lesson.id}",
        )
        last = lesson.day + timedelta(days=int(days))
        st.caption(
            f"Clips and the pictures from them are deleted for good after {last:%d %B %Y}, when "
            "Brinkangle is next open. Figures stay."
        )
    st.button(
        "Set the keeping time",
        on_click=attempt,
        args=(
            partial(record.change, lesson, keep_days=None if days is None else int(days)),
            "The keeping time is set.",
        ),
        disabled=days == lesson.keep_days,
    )
    offer_blanking(record, lesson)


def _clips_aside(place: Place) -> None:
    for folder in place.clips_aside():
        count = sum(1 for _ in folder.iterdir())
        st.warning(as_text(f"Clips of an earlier record were set aside in {folder} ({count})."))
        st.button(
            "Delete these clips for good",
            key=f"delete {folder.name}",
            on_click=attempt,
            args=(partial(place.delete_clips_aside, folder), "They were deleted."),
        )


def _begun_again(how: Callable[..., object], *args: object) -> None:
    """Change the record's files while no page of this server has them open."""
    close_records()
    how(*args)
