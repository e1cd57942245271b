"""Hand-outs: a lesson's papers as PDF, to print before it and to hand back after it."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from solver.errors import BrinkangleError, InputError
from ui.bench.body_file import read
from ui.bench.fields import one_of
from ui.classroom.room import LESSON
from ui.handouts.choosing import CARD_EXAMPLES, PAPERS, TOLD
from ui.handouts.content import NEEDS_READINGS, Kind, Lesson, Paper
from ui.handouts.demo import invented_lesson
from ui.handouts.from_record import lesson_of
from ui.handouts.making import Made, Refused, Wanted, made, tasks, zip_name, zipped
from ui.handouts.sheets_cards import CardSet
from ui.handouts.typesetting import as_pictures
from ui.record.here import the_record
from ui.record.record import Record
from ui.sharing.visitors import guard
from ui.words import FIRST, as_text

SHELF, DEMO = "hand-outs made", 0
"""What was made in this session; the number that stands for the invented lesson."""
Shelved = tuple[Made, bytes]
"""A file, and its first page as a picture."""
BEFORE = (Kind.LESSON, Kind.WORKSHEET, Kind.PROTRACTOR, Kind.CARDS)
PREVIEW_PER_INCH = 48
ACROSS = 3
MOST_CARDS = 60


def show() -> None:
    """The page from top to bottom."""
    guard("hand_outs")
    st.title("Hand-outs", anchor=False)
    st.markdown("Paper for the lesson, and paper to hand back: choose, look, print.")
    try:
        lesson = _choose_lesson(the_record())
    except BrinkangleError as error:
        st.error(as_text(str(error)))
        return
    kinds = _choose_kinds(lesson)
    paper = one_of("Paper", "hand-outs paper", tuple(Paper), PAPERS.__getitem__)
    cards = _ask_cards() if Kind.CARDS in kinds else CardSet(next(iter(CARD_EXAMPLES.values())))
    if not kinds:
        st.info("Next: choose at least one hand-out above.")
    wanted = Wanted(kinds, paper, cards) if cards else None
    if st.button("Make the hand-outs", type="primary", disabled=not (kinds and wanted)) and wanted:
        st.session_state[SHELF] = (lesson.view.lesson, wanted, _make(lesson, wanted))
    _show_shelf(lesson, wanted)
    st.caption(f"{FIRST} Print diagrams and the protractor at 100 %.")


def _choose_lesson(record: Record) -> Lesson:
    """One of the record's lessons, or the invented one."""
    named = {each.id: f"{each.title} · {each.day:%d %b %Y}" for each in record.lessons()}
    if not named:
        st.info(
            "There is no lesson in the record yet. Next: make one on the page 'Class record'. "
            "Until then an invented lesson shows what the papers look like; every sheet says so."
        )
    options = [*named, DEMO]
    here = st.session_state.get(LESSON)
    chosen = st.selectbox(
        "Lesson",
        options,
        index=options.index(here) if here in options else 0,
        format_func=lambda number: named.get(number, "An invented lesson, to try it"),
    )
    return invented_lesson() if chosen == DEMO else lesson_of(record, chosen)


def _choose_kinds(lesson: Lesson) -> tuple[Kind, ...]:
    """Those ticked; what needs readings can be ticked once there are some."""
    columns = st.columns(2, gap="large")
    after = [kind for kind in Kind if kind not in BEFORE]
    chosen: list[Kind] = []
    for column, heading, kinds in zip(
        columns, ("Before the lesson", "After the lesson"), (BEFORE, after), strict=True
    ):
        with column:
            st.subheader(heading, anchor=False)
            chosen += [kind for kind in kinds if _tick(kind, lesson)]
            if kinds is after and not lesson.clips:
                st.info(
                    "These speak of the class's own clips, and none has been measured yet. Next: "
                    "measure them on the page 'Class record'."
                )
    return tuple(chosen)


def _tick(kind: Kind, lesson: Lesson) -> bool:
    title, told = TOLD[kind]
    lacking = kind in NEEDS_READINGS and not lesson.clips
    with st.container(gap=None):
        ticked = st.checkbox(title, key=f"hand-out {kind}", disabled=lacking)
        st.caption(told)
    return ticked and not lacking


def _ask_cards() -> CardSet | None:
    """The body of the challenge cards, and how many; None where the body cannot be read."""
    with st.container(border=True):
        st.markdown("**Challenge cards.** The body needs a rod, for a lump to slide on.")
        left, right = st.columns(2, gap="large")
        with left:
            name = st.selectbox("Example body", list(CARD_EXAMPLES), key="cards example")
            upload = st.file_uploader(
                "or a body of your own, saved on 'Build a body'", type=["toml"], key="cards body"
            )
        with right:
            count = st.number_input("How many cards", 1, MOST_CARDS, 6, key="cards wanted")
            seed = st.number_input("Seed: the same gives the same cards", 1, key="cards drawn")
        if upload is None:
            return CardSet(CARD_EXAMPLES[name], count, seed, example=True)
        try:
            return CardSet(read(upload.getvalue()), count, seed)
        except InputError as error:
            st.error(as_text(f"{upload.name}: {error}"))
            return None


def _make(lesson: Lesson, wanted: Wanted) -> list[Shelved | Refused]:
    """All that is wanted, each with a picture of its first page."""
    todo, shelf = tasks(lesson, wanted), list[Shelved | Refused]()
    with st.status(f"Making {len(todo)} files", expanded=True) as status:
        bar = st.progress(0.0)
        for number, each in enumerate(made(todo, wanted.paper), start=1):
            bar.progress(number / len(todo))
            if isinstance(each, Refused):
                shelf.append(each)
            else:
                first, *_ = as_pictures(each.sheet, wanted.paper, PREVIEW_PER_INCH)
                shelf.append((each, first))
        count = sum(not isinstance(each, Refused) for each in shelf)
        status.update(label=f"{count} files were made", state="complete", expanded=False)
    return shelf


def _show_shelf(lesson: Lesson, wanted: Wanted | None) -> None:
    if SHELF not in st.session_state:
        return
    row, was_wanted, shelf = st.session_state[SHELF]
    st.subheader(f"For {as_text(row.title)}", anchor=False)
    if (row, was_wanted) != (lesson.view.lesson, wanted):
        st.info("The choice above has changed since these were made. Make them again to see it.")
    for each in shelf:
        if isinstance(each, Refused):
            st.warning(as_text(f"{TOLD[each.kind][0]}: {each.reason}"))
    files = [each for each in shelf if not isinstance(each, Refused)]
    if len(files) > 1:
        st.download_button(
            "All as one zip",
            zipped([file for file, _ in files]),
            file_name=zip_name(lesson),
            mime="application/zip",
            icon=":material/folder_zip:",
            on_click="ignore",
        )
    whole = [(file, first) for file, first in files if not file.part]
    for start in range(0, len(whole), ACROSS):
        _show_row(whole[start : start + ACROSS])
    if singles := [file for file, _ in files if file.part]:
        with st.expander("The group reports, a file for each"):
            for file in singles:
                _offer(file)


def _show_row(files: Sequence[Shelved]) -> None:
    columns = st.columns(ACROSS, gap="large")
    for column, (file, first_page) in zip(columns, files, strict=False):
        with column:
            st.image(first_page, width="stretch")
            _offer(file)


def _offer(file: Made) -> None:
    st.download_button(
        as_text(file.name),
        file.pdf,
        file_name=file.name,
        mime="application/pdf",
        icon=":material/download:",
        on_click="ignore",
        width="stretch",
    )


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
