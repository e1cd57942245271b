"""'Keep and move': backups, files for other programs, and how long clips are kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import streamlit as st

from solver.errors import BrinkangleError
from ui.files import safe_stem
from ui.record.archive import BackupFile
from ui.record.backup import back_up, backups, recover, restore, set_aside
from ui.record.checks import LONGEST_KEEPING_DAYS
from ui.record.errors import RecordDamagedError
from ui.record.exporting import lesson_as_json, table_as_csv
from ui.record.here import close_records
from ui.record.importing import take_in
from ui.record.place import WORKSHOP, Place
from ui.record.record import Record
from ui.record.rows import Lesson
from ui.record.surroundings_view import offer_blanking
from ui.record.tables import TABLES
from ui.words import as_text

SAID = "keeping said"
USUAL_DAYS = 28
LARGEST_DOWNLOAD_MB = 500
NO_LESSON = "Make a lesson first: then its figures can be moved, and its clips be given an end."


def show_keeping(record: Record, lesson: Lesson | None = None) -> None:
    """Backups of the record, and files and keeping time of a lesson; the first unless told."""
    _say()
    lessons = record.lessons()
    lesson = lesson or (lessons[0] if lessons else None)
    parts = st.tabs(["Clips", "Backup", "Restore", "Export", "Import"])
    with parts[0]:
        _keeping_time(record, lesson)
    with parts[1]:
        _back_up(record)
    with parts[2]:
        _restore(record)
    with parts[3]:
        _export(record, lesson)
    with parts[4]:
        _import(record, lesson)


def show_damaged(error: RecordDamagedError, place: Place) -> None:
    """What is wrong with the record, and the ways on; nothing is done unasked."""
    _say()
    st.error(as_text(str(error)))
    if error.backup is not None:
        st.button(
            "Set the damaged record aside and restore the latest backup",
            type="primary",
            on_click=_try,
            args=(partial(_begun_again, recover, place, error.backup), "The backup was restored."),
        )
    st.button(
        "Set the damaged record aside and begin a new one",
        on_click=_try,
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
        on_click=_try,
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
            on_click=_try,
            args=(partial(place.delete_clips_aside, folder), "They were deleted."),
        )


def _back_up(record: Record) -> None:
    st.markdown(
        "One file with everything: lessons, figures, clips. Copy it to another disk. Figures "
        "alone are copied here by themselves once a day."
    )
    st.button("Back up now", type="primary", on_click=_try, args=(partial(_backed_up, record),))
    found = backups(record.place)
    if not found:
        st.caption("There is no backup yet.")
        return
    chosen = st.selectbox("Backups", found, format_func=_described, key="backup looked at")
    st.caption(as_text(str(chosen.path)))
    with st.container(horizontal=True):
        if chosen.size <= LARGEST_DOWNLOAD_MB * 1e6:
            st.download_button(
                "Save a copy",
                data=chosen.path.read_bytes,
                file_name=chosen.path.name,
                mime="application/zip",
                on_click="ignore",
            )
        st.button(
            "Delete this backup",
            on_click=_try,
            args=(chosen.path.unlink, f"{chosen.path.name} was deleted."),
        )
    st.caption(
        "A backup still holds the clips that were deleted after it was made. Where clips must go, "
        "delete it too."
    )


def _restore(record: Record) -> None:
    st.markdown(
        "A backup takes the place of everything here. It is checked first, and what is here now "
        "is backed up before."
    )
    found = backups(record.place)
    chosen = st.selectbox(
        "Backup", found, format_func=_described, index=None, placeholder="Choose one of these",
        key="backup restored",
    )  # fmt: skip
    brought = st.file_uploader("Or bring one", type="zip", key="backup brought")
    st.caption(as_text(f"One that is larger can be put into {record.place.backups} by hand."))
    sure = st.checkbox("Replace what is here", key="restore sure")
    source = brought or chosen
    st.button(
        "Restore",
        disabled=source is None or not sure,
        on_click=_try,
        args=(partial(_restored, record, source),),
    )


def _export(record: Record, lesson: Lesson | None) -> None:
    if lesson is None:
        st.info(NO_LESSON)
        return
    st.markdown(
        "Figures for a spreadsheet or another Brinkangle, units in the headings. Clips and "
        "pictures are not in them: for those, make a backup."
    )
    view, stem = record.lesson_view(lesson.id), safe_stem(lesson.title)
    st.download_button(
        "All of the lesson (JSON)",
        data=partial(lesson_as_json, view),
        file_name=f"{stem}.json",
        mime="application/json",
        on_click="ignore",
    )
    with st.container(horizontal=True):
        for table in TABLES:
            st.download_button(
                f"{table.capitalize()} (CSV)",
                data=partial(table_as_csv, view, table),
                file_name=f"{stem}-{table}.csv",
                mime="text/csv",
                on_click="ignore",
            )


def _import(record: Record, lesson: Lesson | None) -> None:
    st.markdown(
        "A table or a lesson as exported here. Units are read from the headings: mm, cm or m; deg "
        "or rad. If a line is wrong, nothing is taken in."
    )
    brought = st.file_uploader("Table (CSV) or lesson (JSON)", type=["csv", "json"])
    ways: dict[str, int | None] = {"Into a new lesson (JSON)": None}
    if lesson is not None:
        ways = {f"Into {lesson.title}": lesson.id, **ways}
    way = st.radio("Where", list(ways), format_func=as_text, key="import where")
    st.button(
        "Take it in",
        disabled=brought is None,
        on_click=_try,
        args=(partial(_taken_in, record, brought, ways[way]),),
    )


def _say() -> None:
    for words, wrong in st.session_state.pop(SAID, ()):
        (st.error if wrong else st.success)(as_text(words))


def _try(what: Callable[[], object], done: str = "") -> None:
    """Do something from a callback, and have the next run say how it went."""
    said = st.session_state.setdefault(SAID, [])
    try:
        words = what()
    except (BrinkangleError, OSError) as error:
        said.append((str(error), True))
    else:
        said.append((done or str(words), False))


def _begun_again(how: Callable[..., object], *args: object) -> None:
    """Change the record's files while no page of this server has them open."""
    close_records()
    how(*args)


def _backed_up(record: Record) -> str:
    backup = back_up(record)
    return f"Backed up as {backup.path.name} ({_megabytes(backup)})."


def _restored(record: Record, source: Any) -> str:
    if isinstance(source, BackupFile):
        kept = restore(record, source.path)
    else:
        with TemporaryDirectory(prefix=WORKSHOP, dir=record.place.folder) as folder:
            path = Path(folder) / "brought.zip"
            path.write_bytes(source.getbuffer())
            kept = restore(record, path)
    return f"The backup was restored. What was here before is in {kept.path.name}."


def _taken_in(record: Record, brought: Any, lesson_id: int | None) -> str:
    lesson = take_in(record, brought.name, brought.getvalue(), lesson_id)
    return f"{brought.name} was taken into {lesson.title}."


def _described(backup: BackupFile) -> str:
    holds = "with clips" if backup.with_clips else "figures alone"
    return f"{backup.made_at:%d %b %Y %H:%M} UTC, {holds}, {_megabytes(backup)}"


def _megabytes(backup: BackupFile) -> str:
    return f"{backup.size / 1e6:.1f} MB" if backup.size >= 1e5 else f"{backup.size / 1e3:.0f} kB"
