"""Slide or topple: on a raised board, and under a push."""

from __future__ import annotations

import streamlit as st
from uncertainties import nominal_value

from solver.errors import InputError
from solver.friction import Motion, Push, Verdict, push
from solver.quantities import DEGREE, MILLIMETRE, NEWTON, Quantity
from solver.worked_friction import pushed, raised
from ui.bench.class_bodies import Placed, ask_bodies, class_bodies, marks_of
from ui.bench.fields import one_of
from ui.bench.map_chart import map_chart
from ui.bench.push_drawing import drawn, when_pushed, when_raised
from ui.bench.push_form import Pushing, Standing, ask_push, ask_standing
from ui.bench.push_map import mark_of, pushed_map
from ui.bench.showing import answer_beside_form, cautions, drawing, metrics, warn, workings
from ui.bench.words import said
from ui.sharing.visitors import guard
from ui.words import as_text

RAISE, PUSH = "Raise the board", "Push it"
IN_MM, IN_R = "height / mm", "height ÷ r"


def show() -> None:
    """The page from top to bottom."""
    guard("slide_or_topple")
    st.title("Slide or topple", anchor=False)
    st.markdown("Will it slide or topple first, and how sure is that?")
    answer, form = answer_beside_form()
    try:
        with form:
            what = one_of("What is done to it", "push what", [PUSH, RAISE])
            standing = ask_standing()
            pushing = ask_push(standing) if what == PUSH else None
        with answer:
            warn(standing.doubts)
            if pushing is None:
                _raised(standing)
            else:
                _pushed(standing, pushing)
    except InputError as error:
        answer.error(as_text(str(error)))
        cautions("push")
        return
    st.divider()
    _map(standing, pushing)
    stand = standing.stand
    own = raised(stand) if pushing is None else pushed(stand, pushing.how, pushing.tilt_rad)
    workings([*standing.workings, own])
    cautions("push")


def _raised(standing: Standing) -> None:
    stand = standing.stand
    _verdict(stand.raised())
    metrics(
        [
            ("It would slide at", said(stand.slide_rad, DEGREE)),
            ("It would topple at", said(stand.brink_rad, DEGREE)),
        ]
    )
    drawing(drawn(when_raised(standing.name, stand, standing.outline)))
    st.caption("The board at the smaller of the two angles. Forces are to scale.")


def _pushed(standing: Standing, pushing: Pushing) -> None:
    result = push(standing.stand, pushing.how, pushing.tilt_rad)
    _verdict(result.verdict)
    numbers = [
        ("It slides from", _force(result.slide_n)),
        ("It topples from", _force(result.topple_n)),
    ]
    if result.crossing_m is not None and nominal_value(result.crossing_m) > 0:
        numbers.append(("Both at once, pushed at", said(result.crossing_m, MILLIMETRE)))
    metrics(numbers)
    scene = when_pushed(
        standing.name, standing.stand, standing.outline, pushing.how, pushing.tilt_rad
    )
    if scene is not None:
        drawing(drawn(scene))
        st.caption("At the least force that moves it. Forces are to scale; ± gives 95 %.")


def _force(least_n: Quantity) -> str:
    return "no force" if nominal_value(least_n) == float("inf") else said(least_n, NEWTON)


def _verdict(verdict: Verdict) -> None:
    words = as_text(str(verdict))
    if verdict.sure or verdict.likely is Motion.STAYS:
        st.success(words, icon=":material/check_circle:")
    else:
        st.warning(words, icon=":material/balance:")


def _map(standing: Standing, pushing: Pushing | None) -> None:
    st.subheader("The map", anchor=False)
    stand, raising = standing.stand, pushing is None
    # On a raised board the border is μ x = r: that of a level push at the height of the centre.
    how = Push(stand.centre_height_m) if pushing is None else pushing.how
    tilt = 0.0 if pushing is None else pushing.tilt_rad
    level = tilt == 0 and how.angle_rad == 0
    scale = one_of("Up the side", "map scale", [IN_MM, IN_R])
    unit = MILLIMETRE.in_si if scale == IN_MM else float(nominal_value(stand.radius_m))
    bodies = class_bodies() if level else []
    others = marks_of(bodies, None if scale == IN_R else unit, raising)
    marks = [mark_of(standing.name, stand, how, unit, tilt, own=True), *others]
    heights = [float(nominal_value(mark.height)) * unit for mark in marks]
    top = max(float(nominal_value(stand.top_m or 0.0)), 1.25 * max(heights))
    of = "centre" if raising else "push"
    title = f"{of} height / mm" if scale == IN_MM else f"{of} height ÷ distance r"
    st.altair_chart(map_chart(pushed_map(stand, how, tilt, top, marks, unit), title))
    st.caption(_map_words(scale, level, bool(bodies)))
    if level:
        ask_bodies(Placed(standing.name, stand, how.height_m))


def _map_words(scale: str, level: bool, others: bool) -> str:
    words = (
        "In the grey band it is too close to call: the body's own uncertainties leave less than "
        "97.5 % for either."
    )
    if not level:
        return words + " The class's bodies are shown for a push along the level only."
    if others and scale == IN_MM:
        words += (
            " The regions are those of the body in view; with another r the border is another. "
            "'height ÷ r' has one border for all. Each mark's shape gives its own verdict."
        )
    return words


if __name__ == "__main__":  # a worker process imports this file and must not draw it
    show()
