"""Blanking what clips show beside the board, for a whole lesson at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from typing import Any

import streamlit as st

from solver.errors import BrinkangleError
from ui import desk
from ui.record.blanking import board_alone
from ui.record.board_area import Area
from ui.record.record import Record
from ui.record.rows import Clip, Lesson
from ui.words import as_text

AT_ONCE = 2


def offer_blanking(record: Record, lesson: Lesson) -> None:
    """Offer it for the measured clips whose whole picture is still kept."""
    view = record.lesson_view(lesson.id)
    whole = [clip for clip in view.clips if clip.stored is not None and not clip.cropped]
    readings = {reading.clip_id: reading for reading in view.readings}
    ready = [
        clip
        for clip in whole
        if clip.id in readings and readings[clip.id].largest_tilt_rad is not None
    ]
    st.markdown(
        "**Keep the board alone.** All else in the pictures is blanked for good: faces, names on "
        "the wall. Figures stay, and the clips can be measured again; but where the board was "
        "taken to be in the wrong place, the rest cannot be brought back. Look at the brink "
        "pictures first. It takes as long as measuring."
    )
    if len(whole) > len(ready):
        st.caption(
            f"Not measured, or not readable, and so kept whole: {len(whole) - len(ready)} of the "
            "clips. Delete them if they must not be kept."
        )
    chosen = st.button(
        f"Blank all but the board ({len(ready)} of {len(whole)} clips)",
        key=f"blank {lesson.id}",
        disabled=not ready,
    )
    if chosen:
        _blank(record, ready)


def _blank(record: Record, clips: list[Clip]) -> None:
    """Each clip is done on its own: what is done stays done when the page is left."""
    bench, bar, wrong = desk.bench(), st.progress(0.0), []

    def in_worker(path: Path, target: Path, *settings: Any) -> Area:
        return bench.submit(board_alone, path, target, *settings).result()

    with ThreadPoolExecutor(AT_ONCE) as threads:
        tasks = [threads.submit(record.keep_board_alone, clip.id, in_worker) for clip in clips]
        for number, task in enumerate(as_completed(tasks), 1):
            bar.progress(number / len(tasks), f"{number} of {len(tasks)}")
            if (error := task.exception()) is not None:
                wrong.append(error)
    for error in wrong:
        if not isinstance(error, BrinkangleError):
            raise error
        st.error(as_text(str(error)))
    st.success(f"Blanked: {len(tasks) - len(wrong)} of {len(tasks)} clips.")
