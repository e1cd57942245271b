"""The page 'Check a reading', driven without a browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from math import radians, tan
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest
from uncertainties import ufloat

import ui
from solver.quantities import DEGREE
from solver.readings import Verdict
from solver.slips import Slip
from tests.ui.checking.lesson import RADIUS_M, TITLE, CheckedLesson, filled, found
from tests.ui.stand_in import toppling
from ui.answer import answer
from ui.checking.protractor import YOURS
from ui.checking.showing import FLAT, IN_ITS_PLANE
from ui.checking.words import FOUND, HINTS
from ui.record.here import close_records, the_record
from ui.record.record import Record
from ui.sharing.roles import Role, Visitor
from ui.words import height_interval, interval

PAGE = Path(ui.__file__).parent / "app_pages" / "check_a_reading.py"
TRUE_X_MM = 1000 * RADIUS_M / tan(radians(20))
ANSWER = "Show me the answer"
LAY = "See it: lay a protractor on the picture"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with the lesson, to be copied."""
    folder = tmp_path_factory.mktemp("checked")
    record = Record(folder / "data")
    filled(record, folder)
    record.close()
    return folder / "data"


@pytest.fixture
def record(
    request: pytest.FixtureRequest, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Record]:
    """Empty, but for a test that asks for the lesson."""
    if "lesson" in request.fixturenames:
        shutil.copytree(kept, tmp_path / "data")
    monkeypatch.setenv("BRINKANGLE_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    yield the_record()
    close_records()


@pytest.fixture
def lesson(record: Record) -> CheckedLesson:
    return found(record)


def opened() -> AppTest:
    page = AppTest.from_file(str(PAGE), default_timeout=60).run()
    assert not page.exception
    return page


def number(page: AppTest, label: str):  # type: ignore[no-untyped-def]
    return next(each for each in page.number_input if each.label.startswith(label))


def press(page: AppTest, label: str) -> AppTest:
    next(each for each in page.button if each.label == label).click().run()
    assert not page.exception
    return page


def check(page: AppTest, angle: float | None, x_mm: float | None = None) -> AppTest:
    if angle is not None:
        number(page, "Angle").set_value(angle)
    if x_mm is not None:
        number(page, "Your x").set_value(x_mm)
    return press(page, "Check my reading")


def choose(page: AppTest, label: str) -> AppTest:
    page.selectbox(key="check clip").select(
        next(each for each in page.selectbox(key="check clip").options if label in each)
    ).run()
    assert not page.exception
    return page


def said(page: AppTest) -> str:
    """All words on the page but drawings."""
    kinds = (page.subheader, page.info, page.markdown, page.caption, page.error, page.metric)
    words = [f"{each.label} {each.value}" if kinds[-1] is kind else each.value
             for kind in kinds for each in kind]  # fmt: skip
    return "\n".join(word for word in words if "<svg" not in word).replace("\\", "")


def drawing(page: AppTest) -> str:
    return next((each.value for each in page.markdown if "<svg" in each.value), "")


def test_without_lessons_it_says_where_to_begin(record: Record) -> None:
    assert "make a lesson on 'Class record'" in said(opened())


def test_without_measured_clips_it_says_so(record: Record, lesson: CheckedLesson) -> None:
    for clip in (lesson.topples, lesson.slides):
        record.remove(clip)
    assert "No clip of this lesson has an angle yet" in said(opened())


def test_only_clips_with_an_angle_can_be_chosen(lesson: CheckedLesson) -> None:
    page = opened()
    assert page.selectbox(key="check lesson").options == [f"{TITLE}, 25 November 2026"]
    assert page.selectbox(key="check clip").options == [
        "Table 1, leaf tea tin, repeat 1",
        "Table 2, seed tub, repeat 1",
    ]


def test_a_reading_that_agrees(record: Record, lesson: CheckedLesson) -> None:
    page = check(opened(), 20.0, round(TRUE_X_MM))
    assert "Your reading agrees with the clip, and your x follows from it." in said(page)
    (kept,) = record.student_readings(lesson.lesson.id)
    assert kept.protractor_rad == pytest.approx(radians(20))
    assert kept.reads_to_rad == pytest.approx(radians(1))
    assert kept.height_m == pytest.approx(round(TRUE_X_MM) / 1000)
    assert (kept.verdict, kept.slip) == (Verdict.AGREES, None)


def test_it_shows_how_to_see_it_before_it_shows_the_answer(
    record: Record, lesson: CheckedLesson
) -> None:
    page = check(opened(), 160.0, round(2 * TRUE_X_MM))
    before = said(page)
    assert HINTS[Slip.OTHER_END] in before
    assert HINTS[Slip.DIAMETER] in before
    assert "The clip's angle" not in before.partition("The class's readings")[0]
    assert FOUND[Slip.OTHER_END] not in before
    after = said(press(page, ANSWER))
    clips = answer(toppling(), ufloat(RADIUS_M, 0.0002))
    assert f"The clip's angle {interval(clips.angle, DEGREE)}" in after
    assert f"The clip's x {height_interval(clips.height)}" in after
    assert FOUND[Slip.OTHER_END] in after
    assert FOUND[Slip.DIAMETER] in after
    assert "That gives 160°" in after
    (kept,) = record.student_readings(lesson.lesson.id)
    assert kept.verdict == Verdict.BOTH_DIFFER
    assert kept.slip == f"{Slip.OTHER_END}, {Slip.DIAMETER}"


def test_the_protractor_lies_on_the_picture_and_bears_the_reading_with_the_answer(
    lesson: CheckedLesson,
) -> None:
    page = check(opened(), 70.0)
    assert not drawing(page)
    next(each for each in page.toggle if each.label == LAY).set_value(True).run()
    assert "data:image/jpeg" in drawing(page)
    assert YOURS not in drawing(page)
    press(page, ANSWER)
    assert f"{YOURS}: 70°" in drawing(page)
    assert IN_ITS_PLANE in said(page) and FLAT not in said(page)
    assert "On this protractor the drawn line lies at 20.1°; the clip's angle of 20.0°" in said(
        page
    )


def test_without_the_plane_it_lies_flat_on_the_picture_and_says_so(lesson: CheckedLesson) -> None:
    page = check(choose(opened(), "Table 2"), 70.0)
    next(each for each in page.toggle if each.label == LAY).set_value(True).run()
    assert "data:image/jpeg" in drawing(page)
    assert FLAT in said(page) and IN_ITS_PLANE not in said(page)
    press(page, ANSWER)
    assert "the picture shows 20.6°; the clip's angle of 19.8°" in said(page)


def test_trying_again_keeps_every_try_and_hides_the_answer(
    record: Record, lesson: CheckedLesson
) -> None:
    page = press(check(opened(), 160.0), ANSWER)
    check(page, 20.0)
    assert "Your reading agrees with the clip." in said(page)
    assert ANSWER in [each.label for each in page.button]
    assert len(record.student_readings(lesson.lesson.id)) == 2


def test_the_working_is_shown_from_the_students_own_angle(lesson: CheckedLesson) -> None:
    page = press(check(opened(), 21.0, 50.0), ANSWER)
    assert "No usual slip leads to this x" in said(page)
    assert any("21" in each.value and r"\tan" in each.value for each in page.latex)


def test_a_body_that_slid_has_no_height(record: Record, lesson: CheckedLesson) -> None:
    page = choose(opened(), "Table 2")
    assert not [each for each in page.number_input if each.label.startswith("Your x")]
    assert "there is no centre height" in said(page)
    press(check(page, 20.0), ANSWER)
    (kept,) = record.student_readings(lesson.lesson.id)
    assert (kept.clip_id, kept.height_m) == (lesson.slides.id, None)


def test_another_clip_lets_the_last_answer_go(lesson: CheckedLesson) -> None:
    page = press(check(opened(), 160.0), ANSWER)
    choose(page, "Table 2")
    assert FOUND[Slip.OTHER_END] not in said(page)


def test_an_empty_angle_is_asked_for_and_not_kept(record: Record, lesson: CheckedLesson) -> None:
    page = check(opened(), None)
    assert "Type the angle you read" in said(page)
    assert record.student_readings(lesson.lesson.id) == ()


def test_a_height_of_nothing_is_refused_in_words(record: Record, lesson: CheckedLesson) -> None:
    page = check(opened(), 20.0, 0.0)
    assert "must be more than 0 mm" in said(page)
    assert record.student_readings(lesson.lesson.id) == ()


def test_frames_that_were_deleted_leave_the_figures(record: Record, lesson: CheckedLesson) -> None:
    record.delete_clip_file(lesson.topples.id)
    page = check(opened(), 160.0)
    assert "frames of this clip were deleted" in said(page)
    assert not page.toggle
    assert "The clip's angle 20.00°" in said(press(page, ANSWER))


def test_the_teacher_sees_the_class_against_the_clips(
    record: Record, lesson: CheckedLesson
) -> None:
    for by, angle in (("pupil 1", 21), ("pupil 2", 20), ("*pupil* 3", 160)):
        record.add_student_reading(lesson.topples.id, by, radians(angle), radians(1), "")
    words = said(opened())
    assert "Readings 3" in words
    assert "Bias and spread are of 2 readings" in words
    assert "Apart from them: 1" in words
    assert "Table 1, slips in 3 readings" in words
    assert f"{Slip.OTHER_END} (1)" in words


def test_a_group_named_as_markup_is_shown_as_text(record: Record, lesson: CheckedLesson) -> None:
    group = record.groups(lesson.lesson.id)[0]
    record.change(group, label="**Table** <b>1</b>")
    record.add_student_reading(lesson.topples.id, "", radians(160), radians(1), "")
    told = [each.value for each in opened().markdown if "slips in" in each.value]
    assert told[0].startswith(r"- \*\*Table\*\* \<b\>1\</b\>")


class AnOpenLesson:
    """Stands in for the door: one student is in."""

    def __init__(self, visitor: Visitor) -> None:
        self._visitor = visitor

    def visitor_by_key(self, key: str) -> Visitor:
        return self._visitor

    def count_reading(self, key: str) -> None:
        assert key == self._visitor.key


def test_a_student_sees_their_lesson_and_nothing_of_the_class(
    record: Record, lesson: CheckedLesson, monkeypatch: pytest.MonkeyPatch
) -> None:
    student = Visitor(Role.STUDENT, "a key", lesson.lesson.id, "pupil 9")
    door = AnOpenLesson(student)
    monkeypatch.setattr("ui.sharing.visitors.visitor_here", lambda: student)
    monkeypatch.setattr("ui.sharing.student_view.the_door", lambda: door)
    record.add_student_reading(lesson.topples.id, "pupil 3", radians(160), radians(1), "")
    page = check(opened(), 160.0)
    assert HINTS[Slip.OTHER_END] in said(page)
    assert "The class's readings" not in said(page)
    assert next(each.label for each in page.selectbox) == "Your group's clip"
    assert not page.text_input
    assert record.student_readings(lesson.lesson.id)[-1].by == "pupil 9"


def test_a_stranger_sees_nothing(
    record: Record, lesson: CheckedLesson, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ui.sharing.visitors.visitor_here", lambda: Visitor(Role.NOBODY))
    page = opened()
    assert [each.value for each in page.title] == ["You are not in"]
    assert not page.selectbox
