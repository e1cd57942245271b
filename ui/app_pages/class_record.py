"""Class record: a lesson's clips, given out to groups, measured, pooled."""

from __future__ import annotations

import streamlit as st

from ui.bench.fields import one_of
from ui.classroom.bodies_view import edit_bodies
from ui.classroom.bringing import bring_clips
from ui.classroom.clip_table import assign_clips
from ui.classroom.lesson_choice import choose_lesson
from ui.classroom.named_view import edit_groups, edit_surfaces
from ui.classroom.one_clip import look_at_one
from ui.classroom.other_ways import enter_other_ways
from ui.classroom.progress_view import measure_clips
from ui.classroom.result_views import show_results
from ui.classroom.room import show_told
from ui.classroom.undoing import offer_undo
from ui.record.errors import RecordDamagedError, RecordError
from ui.record.here import the_record
from ui.record.keeping_view import show_damaged, show_keeping
from ui.record.place import default_place
from ui.record.record import Record
from ui.record.rows import LessonView
from ui.sharing.sharing_view import show_sharing
from ui.sharing.visitors import guard
from ui.words import FILMING, FIRST, SAFETY, as_text

CLIPS, RESULTS, BODIES, OTHERS, SHARING, KEEPING = PARTS = (
    "Clips",
    "Results",
    "Bodies, surfaces, groups",
    "Balances and predictions",
    "Sharing",
    "Keeping",
)


def show() -> None:
    """The page from top to bottom."""
    guard("class_record")
    st.title("Class record", anchor=False)
    st.markdown(
        "All clips of a lesson at once: give each its group and body, have them measured, and see "
        "what the class found together."
    )
    try:
        record = the_record()
        show_told()
        lesson = choose_lesson(record)
        if lesson is None:
            st.info("Next: make a lesson, then drop its clips here all at once.")
            with st.expander("Bring a record back"):
                show_keeping(record)
        else:
            _show_lesson(record, record.lesson_view(lesson.id))
    except RecordDamagedError as error:
        show_damaged(error, default_place())
    except RecordError as error:
        st.error(as_text(str(error)))
    _cautions()


def _show_lesson(record: Record, view: LessonView) -> None:
    part = one_of("Part", "class part", PARTS)
    if part == CLIPS:
        _show_clips(record, view)
    elif part == RESULTS:
        show_results(view)
    elif part == BODIES:
        st.subheader("Bodies", anchor=False)
        edit_bodies(record)
        st.subheader("Surfaces", anchor=False)
        edit_surfaces(record)
        st.subheader("Groups of this lesson", anchor=False)
        edit_groups(record, view)
    elif part == OTHERS:
        enter_other_ways(record, view)
    elif part == SHARING:
        show_sharing(view.lesson)
    else:
        st.subheader("Removed lately", anchor=False)
        offer_undo(record)
        st.subheader("Keep and move", anchor=False)
        show_keeping(record, view.lesson)


def _show_clips(record: Record, view: LessonView) -> None:
    st.subheader("1 \u2002Bring the clips in", anchor=False)
    bring_clips(record, view)
    if not view.clips:
        st.info(
            "Next: drop the clips of all groups above. Names like table4_tea_2.mp4 fill the table "
            "by themselves: group, body, repeat."
        )
        return
    st.subheader("2 \u2002Say whose they are", anchor=False)
    assign_clips(record, view)
    st.subheader("3 \u2002Have them measured", anchor=False)
    measure_clips(record, view)
    st.subheader("4 \u2002Look at one clip", anchor=False)
    look_at_one(record, view)


def _cautions() -> None:
    with st.expander("Cautions", icon=":material/health_and_safety:"):
        st.markdown(f"**{FIRST}**")
        st.markdown("\n".join(f"- {line}" for line in (*SAFETY, *FILMING)))


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
