"""The check on the page: the verdict, where to look, and the answer when it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from solver.quantities import DEGREE, MILLIMETRE, Quantity
from solver.readings import HeightCheck, Verdict
from solver.worked_bodies import height_from_tilt
from ui.answer import answer, reckoned
from ui.bench.showing import drawing, metrics, workings
from ui.checking.checkable import Checkable
from ui.checking.form import GIVEN, Given
from ui.checking.lie import lie_on
from ui.checking.picture_lines import decoded
from ui.checking.protractor import SIZES, Protractor, protractor_svg
from ui.checking.words import apart, headline, hints, likely, plain_height, worked_from
from ui.words import as_text, height_interval, interval
from vision.reading import EvidencePicture

NO_FRAMES = "The frames of this clip were deleted with it; its figures are kept."
NO_BOARD = (
    "In this frame the board's edge is drawn too short to lay a protractor along it. Lay your own "
    "on the screen."
)
HOW_TO_READ = (
    "Read the scale that begins with 0 at the end that was lifted: where does the teal line "
    "cross it?"
)
IN_ITS_PLANE = (
    "Its centre lies at the hinge, on the board's edge, and its base line is level. It stands in "
    "the plane the board turns in and is drawn as the camera saw that plane, so its marks may "
    "look uneven: they show the angle in the room, not the one in the picture."
)
FLAT = (
    "Its centre lies on the hinge, its base line along the board as it lay at the start. "
    "This protractor lies flat on the picture. Where the camera did not look square on, a picture "
    "shows an angle up to two degrees off; the clip's own angle allows for that."
)


def show_frame(pictures: Sequence[EvidencePicture]) -> None:
    """The moment the angle is of, as the clip shows it."""
    brink = _brink(pictures)
    if brink is None:
        st.info(NO_FRAMES)
        return
    st.image(brink.png, caption="The moment just before the body goes. Teal: the board's edge.")


def show_check(given: Given, chosen: Checkable, pictures: Sequence[EvidencePicture]) -> None:
    """Verdict and hints; a protractor on the picture; then the answer, on request."""
    st.subheader(headline(given.check), anchor=False)
    for words in hints(given.check):
        st.info(as_text(words), icon=":material/visibility:")
    if given.check.verdict is not Verdict.AGREES:
        st.markdown("Look, and try again above: every try is kept.")
    if _brink(pictures) is not None and st.toggle(
        "See it: lay a protractor on the picture", key=f"lay {chosen.clip.id}"
    ):
        _protractor(pictures, given)
    if given.shown:
        _answer(given, chosen, pictures)
    elif st.button("Show me the answer"):
        st.session_state[GIVEN] = replace(given, shown=True)
        st.rerun()


def _brink(pictures: Sequence[EvidencePicture]) -> EvidencePicture | None:
    return next((each for each in pictures if each.moment == "brink"), None)


def _protractor(pictures: Sequence[EvidencePicture], given: Given) -> None:
    """Without the student's own number until the answer is shown."""
    lie, brink = lie_on(pictures), _brink(pictures)
    if lie is None or brink is None:
        st.info(NO_BOARD)
        return
    reading = given.reading.angle_rad / DEGREE.in_si if given.shown else None
    st.html(SIZES)
    drawing(protractor_svg(decoded(brink.png), Protractor(lie), reading))
    st.caption(f"{HOW_TO_READ} {FLAT if lie.flat else IN_ITS_PLANE}")


def _answer(given: Given, chosen: Checkable, pictures: Sequence[EvidencePicture]) -> None:
    check, yours = given.check, given.reading.quantity
    clips = reckoned(chosen.angle_rad)
    numbers = [
        ("The clip's angle", interval(clips, DEGREE)),
        ("Your reading", interval(reckoned(yours), DEGREE)),
    ]
    if check.height is not None and given.height is not None and chosen.radius_m is not None:
        numbers += _heights(check.height, given.height.height_m, chosen, chosen.radius_m)
    metrics(numbers)
    st.caption("± gives 95 % intervals; a protractor's is that of setting two lines by eye.")
    st.markdown(as_text(apart(check.angle.agreement, DEGREE, "Your angle", "the clip's")))
    if not check.angle.agreement.agrees:
        st.markdown(as_text(likely(check.angle.explanations, "this angle", DEGREE)))
    if check.height is not None:
        _about_height(check.height)
    if (lie := lie_on(pictures)) and lie.seen_deg is not None:
        st.caption(as_text(_seen(lie.seen_deg, lie.flat, clips.value)))
    if chosen.radius_m is not None and check.height is not None and check.height.own_m is not None:
        workings([height_from_tilt(chosen.radius_m, yours)])


def _heights(
    check: HeightCheck, height_m: float, chosen: Checkable, radius_m: Quantity
) -> list[tuple[str, str]]:
    """None of the clip's own where its angle is too uncertain for one."""
    found = answer(chosen.reading.as_measured(), radius_m).height
    clips = [("The clip's x", height_interval(found))] if found else []
    own = [] if check.own_m is None else [("x from your angle", MILLIMETRE.show(check.own_m, 3))]
    return [*clips, *own, ("Your x", plain_height(height_m))]


def _about_height(check: HeightCheck) -> None:
    st.markdown(as_text(worked_from(check) or likely(check.explanations, "this x", MILLIMETRE)))
    st.markdown(as_text(apart(check.agreement, MILLIMETRE, "Your x", "the clip's")))


def _seen(seen_deg: float, flat: bool, angle_rad: float) -> str:
    """What the protractor alone would say."""
    clips = f"the clip's angle of {angle_rad / DEGREE.in_si:.1f}°"
    if flat:
        return (
            f"Along the drawn lines the picture shows {seen_deg:.1f}°; {clips} also takes in "
            "where the camera stood and when the body went."
        )
    return (
        f"On this protractor the drawn line lies at {seen_deg:.1f}°; {clips} comes from all its "
        "frames, not from this one alone."
    )
