"""Backups made, looked through and restored on the page."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import streamlit as st

from ui.record.archive import BackupFile
from ui.record.backup import back_up, backups, restore
from ui.record.place import WORKSHOP
from ui.record.record import Record
from ui.record.saying import attempt
from ui.words import as_text

LARGEST_DOWNLOAD_MB = 500


def show_backups(record: Record) -> None:
    """Make one, and look through those that are there."""
    st.markdown(
        "One file with everything: lessons, figures, clips. Copy it to another disk. Figures "
        "alone are copied here by themselves once a day."
    )
    st.button("Back up now", type="primary", on_click=attempt, args=(partial(_backed_up, record),))
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
            on_click=attempt,
            args=(chosen.path.unlink, f"{chosen.path.name} was deleted."),
        )
    st.caption(
        "A backup still holds the clips that were deleted after it was made. Where clips must go, "
        "delete it too."
    )


def show_restore(record: Record) -> None:
    """Put one in the place of the record."""
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
        on_click=attempt,
        args=(partial(_restored, record, source),),
    )


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


def _described(backup: BackupFile) -> str:
    holds = "with clips" if backup.with_clips else "figures alone"
    return f"{backup.made_at:%d %b %Y %H:%M} UTC, {holds}, {_megabytes(backup)}"


def _megabytes(backup: BackupFile) -> str:
    return f"{backup.size / 1e6:.1f} MB" if backup.size >= 1e5 else f"{backup.size / 1e3:.0f} kB"
