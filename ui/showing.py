"""A reading on the page: the outcome, the numbers, and what shows why."""

from __future__ import annotations

import streamlit as st

from solver.notation import LATEX
from solver.quantities import DEGREE, MILLIMETRE, RATIO, Unit
from solver.worked_bodies import height_from_tilt
from ui.answer import Answer, as_reckoned
from ui.charts import budget_chart, motion_chart
from ui.desk import Request
from ui.files import records_as_json, safe_stem, series_as_csv
from ui.samples import Sample
from ui.theme import AMBER, PLUM, TEAL
from ui.words import as_text, headline, height_interval, interval, plain
from vision.criterion import DISTINCT
from vision.reading import EvidencePicture, Outcome, Rival

ONSET_NAMES = {Outcome.TOPPLES: "brink", Outcome.SLIDES: "first slip"}


def _key(colour: str, dash: str, name: str) -> str:
    line = (
        f"display:inline-block; width:2.2em; vertical-align:0.25em; border-top:3px {dash} {colour}"
    )
    return f'<span style="white-space:nowrap"><span style="{line}"></span> {name}</span> &emsp;'


def _legend(*keys: str) -> str:
    return f'<p style="font-size:0.92rem; line-height:2; margin:0">{" ".join(keys)}</p>'


PICTURE_LEGEND = _legend(
    _key(TEAL, "solid", "board's edge"),
    _key(AMBER, "dashed", "body's outline"),
    _key(PLUM, "dotted", "line of the weight"),
    f'<span style="color:{PLUM}; font-size:1.3em; line-height:0">●</span> pivot',
)
CHART_LEGEND = _legend(
    _key(TEAL, "solid", "tilt of the board, from level"),
    _key(AMBER, "dashed", "lean of the body, from the board's normal"),
)


def show_answer(answer: Answer, request: Request, sample: Sample | None) -> None:
    """All of a clip's answer, readable from top to bottom."""
    reading = answer.reading
    st.subheader(headline(answer), anchor=False)
    _numbers(answer)
    words = [request.clip.in_own_name(reason) for reason in answer.reasons]
    show_words = st.warning if reading.outcome is Outcome.UNREADABLE else st.markdown
    for reason in words:
        show_words(as_text(reason))
    _truth(sample)
    if reading.pictures:
        _pictures(reading.pictures, safe_stem(request.clip.name))
    if reading.series is not None:
        _chart(answer)
    show_stories(reading.evidence)
    if answer.budget:
        _budget(answer)
    if answer.height is not None and reading.angle_rad is not None:
        _working(answer)
    _downloads(answer, request)


def _numbers(answer: Answer) -> None:
    reading = answer.reading
    numbers: list[tuple[str, str]] = []
    if answer.height is not None and answer.angle:
        numbers.append(("Brink angle", interval(answer.angle, DEGREE)))
        numbers.append(("Height of the centre of mass", height_interval(answer.height)))
    elif answer.angle:
        name = "Angle of friction" if answer.friction else "Brink angle"
        numbers.append((name, interval(answer.angle, DEGREE)))
    if answer.friction:
        numbers.append(("Coefficient of friction", interval(answer.friction, RATIO)))
    if reading.outcome is Outcome.STAYS and reading.largest_tilt_rad is not None:
        numbers.append(("Largest tilt", plain(reading.largest_tilt_rad, DEGREE)))
    if not numbers:
        return
    columns = st.columns(max(2, len(numbers)))
    for column, (name, text) in zip(columns, numbers, strict=False):
        column.metric(name, text, border=True)
    st.caption("± gives 95 % intervals. " + _radius_words(answer))


def _radius_words(answer: Answer) -> str:
    return f"Base radius {plain(answer.radius_m, MILLIMETRE)}."


def _truth(sample: Sample | None) -> None:
    if sample is not None and sample.angle_deg is not None:
        st.caption(
            f"This sample is a synthetic rendering; its true static angle is "
            f"{sample.angle_deg:.2f}°."
        )


def _pictures(pictures: tuple[EvidencePicture, ...], stem: str) -> None:
    st.subheader("Why", anchor=False)
    first, *rest = _main_first(pictures)
    large, small = st.columns([2, 1]) if rest else (st.container(), None)
    with large:
        _picture(first, stem)
    if small is not None:
        with small:
            for picture in rest:
                _picture(picture, stem)
    st.html(PICTURE_LEGEND)


def _main_first(pictures: tuple[EvidencePicture, ...]) -> list[EvidencePicture]:
    """The moment it turns on first; start and end after it."""
    return sorted(pictures, key=lambda picture: picture.moment in ("start", "after", "end"))


def _picture(picture: EvidencePicture, stem: str) -> None:
    st.image(picture.png, caption=picture_caption(picture))


def picture_caption(picture: EvidencePicture) -> str:
    """Its moment, time and frame."""
    return f"{picture.moment.capitalize()}: {picture.time_s:.2f} s, frame {picture.frame}"


def _chart(answer: Answer) -> None:
    reading = answer.reading
    assert reading.series is not None
    st.subheader("Tilt and lean", anchor=False)
    name = ONSET_NAMES.get(reading.outcome, "")
    st.altair_chart(motion_chart(reading.series, reading.onset_s, name))
    st.html(CHART_LEGEND)


def show_stories(rivals: tuple[Rival, ...]) -> None:
    """How far each story is behind the best; nothing where none was held to the motion."""
    if not rivals:
        return
    with st.expander("How the stories compare"):
        rows = [{"The body": str(r.story), "behind the best": f"{r.behind:.0f}"} for r in rivals]
        st.table(rows)
        st.caption(
            "Each story is held to the same lean and slip. The smaller Schwarz's information "
            f"criterion, the better it explains them; {DISTINCT:.0f} and more behind the best is "
            "far worse, less is not told apart."
        )


def _budget(answer: Answer) -> None:
    of, unit = _budget_of(answer)
    st.subheader("What the uncertainty is made of", anchor=False)
    st.altair_chart(budget_chart(answer.budget, unit))
    st.caption(
        f"The standard uncertainty of {of} that each source gives alone"
        + (f", in {unit.symbol}" if unit.symbol else "")
        + ", and its share of the variance."
    )


def _budget_of(answer: Answer) -> tuple[str, Unit]:
    if answer.height is not None:
        return "the centre height", MILLIMETRE
    return ("the coefficient of friction", RATIO) if answer.friction else ("the angle", DEGREE)


def _working(answer: Answer) -> None:
    assert answer.reading.angle_rad is not None
    with st.expander("The working, line by line"):
        working = height_from_tilt(answer.radius_m, answer.reading.angle_rad)
        for step in as_reckoned(working).steps:
            st.markdown(as_text(step.principle))
            for line in (step.in_symbols(LATEX), step.with_numbers(LATEX), step.answer(LATEX)):
                st.latex(line)


def _downloads(answer: Answer, request: Request) -> None:
    stem, reading = safe_stem(request.clip.name), answer.reading
    with st.container(horizontal=True):
        st.download_button(
            "Answer (JSON)",
            records_as_json([answer.record(request.clip.name)]),
            file_name=f"{stem}.json",
            mime="application/json",
            on_click="ignore",
        )
        if reading.series is not None:
            st.download_button(
                "Series (CSV)",
                series_as_csv(reading.series),
                file_name=f"{stem}.series.csv",
                mime="text/csv",
                on_click="ignore",
            )
        for picture in reading.pictures:
            st.download_button(
                f"{picture.moment.capitalize()} (PNG)",
                picture.png,
                file_name=f"{stem}.{safe_stem(picture.moment)}.png",
                mime="image/png",
                on_click="ignore",
            )
