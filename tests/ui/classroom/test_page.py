"""The page 'Class record' in its states, with readings from formulae and a record of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from tests.ui.stand_in import StandInBench, lost, toppling
from ui import desk
from ui.answer import BY_HAND
from ui.app_pages.class_record import BODIES, CLIPS, KEEPING, OTHERS, PARTS, RESULTS
from ui.classroom.arrivals import take_in
from ui.classroom.measuring import Stage, states
from ui.classroom.progress_view import queue_of
from ui.record.errors import RecordFullError
from ui.record.record import Record
from ui.record.rows import Lesson

FRAME = Path(__file__).parents[3] / "ui" / "app.py"
STORIES = "How the stories compare"
NAMES = ("table1_tea_1.mp4", "table2_tea_1.mp4", "table3_jar_1.mp4")
Open = Callable[[], AppTest]


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Iterator[StandInBench]:
    bench = StandInBench(toppling())
    monkeypatch.setattr(desk, "bench", lambda: bench)
    st.cache_resource.clear()
    yield bench
    st.cache_resource.clear()


@pytest.fixture
def open_page(record: Record, bench: StandInBench) -> Open:
    def open_it() -> AppTest:
        page = AppTest.from_file(str(FRAME), default_timeout=60).run()
        return sound(page.switch_page("app_pages/class_record.py").run())

    return open_it


@pytest.fixture
def lesson(record: Record, still_clips: tuple[bytes, ...]) -> Lesson:
    """Two clips of a known body, and one of a body that is not in the record."""
    record.add_body("Leaf tea tin", 0.034, 0.0002, 0.168)
    lesson = record.add_lesson("Tea tins, 10b", date(2026, 11, 25))
    take_in(record, lesson.id, zip(NAMES, still_clips, strict=False))
    return lesson


def sound(page: AppTest) -> AppTest:
    assert not page.exception, page.exception
    return page


def words(page: AppTest) -> str:
    kinds = (page.title, page.subheader, page.markdown, page.info, page.warning, page.error,
             page.success, page.caption)  # fmt: skip
    return "\n".join(str(each.value) for kind in kinds for each in kind).replace("\\", "")


def press(page: AppTest, label: str) -> AppTest:
    return sound(next(each for each in page.button if each.label == label).click().run())


def open_part(page: AppTest, part: str) -> AppTest:
    return sound(page.get("button_group")[0].set_value(part).run())


def field(page: AppTest, kind: str, label: str):  # type: ignore[no-untyped-def]
    return next(each for each in page.get(kind) if each.label == label)


def look_at(page: AppTest, clip_id: int) -> AppTest:
    return sound(field(page, "selectbox", "Clip").set_value(clip_id).run())


def stories(page: AppTest) -> list[list[str]]:
    assert STORIES in {each.label for each in page.expander}
    (table,) = (each.value for each in page.table)
    return table.to_numpy().tolist()


def test_empty_says_what_to_do_next(open_page: Open, record: Record) -> None:
    page = open_page()
    assert "Next: make a lesson, then drop its clips here all at once." in words(page)
    field(page, "text_input", "Title").set_value("Tea tins, 10b")
    press(page, "Make this lesson")
    assert [lesson.title for lesson in record.lessons()] == ["Tea tins, 10b"]
    assert "Next: drop the clips of all groups above." in words(page)


def test_a_lesson_without_a_title_is_refused(open_page: Open, record: Record) -> None:
    page = press(open_page(), "Make this lesson")
    assert "The lesson's title is empty." in words(page) and record.lessons() == ()


@pytest.mark.parametrize("part", PARTS)
def test_every_part_of_an_empty_lesson_draws_itself(
    open_page: Open, record: Record, part: str
) -> None:
    record.add_lesson("Tea tins", date(2026, 11, 25))
    open_part(open_page(), part)


def test_clips_dropped_at_once_are_taken_in_and_bad_ones_told(
    open_page: Open, record: Record, still_clips: tuple[bytes, ...]
) -> None:
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    page = open_page()
    files = [
        (name, content, "video/mp4") for name, content in zip(NAMES, still_clips, strict=False)
    ]
    files += [("again.mp4", still_clips[0], "video/mp4"), ("bad.mp4", b"no clip", "video/mp4")]
    sound(page.file_uploader[0].set_value(files).run())
    assert [clip.name for clip in record.clips(lesson.id)] == list(NAMES)
    told = words(page)
    assert "3 clips are in; 1 had been there before; 1 could not be taken in." in told
    assert "again.mp4 had been there before: it is the same as table1_tea_1.mp4." in told
    assert "bad.mp4 holds no picture" in told
    assert page.file_uploader[0].value == []


def test_a_full_disk_is_told_once_and_what_was_kept_stays(
    open_page: Open,
    record: Record,
    still_clips: tuple[bytes, ...],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lesson, add_clip = record.add_lesson("Tea tins", date(2026, 11, 25)), record.add_clip

    def until_full(lesson_id: int, name: str, content: bytes):  # type: ignore[no-untyped-def]
        if record.clips(lesson_id):
            raise RecordFullError("There is no room left on the disk.")
        return add_clip(lesson_id, name, content)

    monkeypatch.setattr(record, "add_clip", until_full)
    page = open_page()
    files = [
        (name, content, "video/mp4") for name, content in zip(NAMES, still_clips, strict=False)
    ]
    sound(page.file_uploader[0].set_value(files).run())
    assert "1 clip is in; 2 could not be taken in." in words(page)
    assert [error.value.replace("\\", "") for error in page.error] == [
        "table2_tea_1.mp4, table3_jar_1.mp4: There is no room left on the disk."
    ]
    assert [clip.name for clip in record.clips(lesson.id)] == [NAMES[0]]


def test_a_body_that_names_speak_of_is_asked_for_once(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    page = open_page()
    assert "1 clip speaks of **jar**, which is not in the record." in words(page)
    press(page, "Add it, and give it to them")
    assert "Give the radius of the Jar" in words(page)
    field(page, "number_input", "Radius of its rim / mm").set_value(40.0)
    press(page, "Add it, and give it to them")
    jar = next(body for body in record.bodies() if body.name == "Jar")
    assert jar.radius_m == pytest.approx(0.040)
    assert record.clips(lesson.id)[2].body_id == jar.id
    assert "speaks of" not in words(page)


def test_measured_clips_are_in_the_record_and_in_the_results(
    open_page: Open, record: Record, lesson: Lesson, bench: StandInBench
) -> None:
    page = press(open_page(), "Measure 2 clips")
    queue = queue_of(record)
    assert queue.wait(10)
    sound(page.run())
    assert len(record.lesson_view(lesson.id).readings) == 2
    table = page.dataframe[-1].value
    assert list(table["outcome"]) == ["topples", "topples", "needs a body"]
    assert table["centre height"][0].startswith("93.4 mm")
    page = open_part(page, RESULTS)
    assert "Leaf tea tin" in words(page)
    metrics = {metric.label: metric.value for metric in page.metric}
    assert metrics["Centre height, all groups"].startswith("93.4 mm")
    assert len(page.get("vega_lite_chart")) == 1


def test_stopping_leaves_the_rest_waiting(
    open_page: Open, record: Record, lesson: Lesson, bench: StandInBench
) -> None:
    """The queue's threads are kept from beginning, so that both clips still wait their turn."""
    queue = queue_of(record)
    queue._at_once = 0
    page = press(open_page(), "Measure 2 clips")
    view = record.lesson_view(lesson.id)
    assert [state.stage for state in states(view, queue)][:2] == [Stage.QUEUED, Stage.QUEUED]
    press(page, "Stop")
    assert [state.stage for state in states(view, queue)][:2] == [Stage.WAITING, Stage.WAITING]
    assert any(button.label == "Measure 2 clips" and not button.disabled for button in page.button)


def test_a_folder_is_taken_in_and_a_wrong_one_told(
    open_page: Open, record: Record, still_clips: tuple[bytes, ...], tmp_path: Path
) -> None:
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    folder = tmp_path / "clips"
    folder.mkdir()
    page = open_page()

    def take(typed: Path) -> str:
        field(page, "text_input", "Folder").set_value(str(typed)).run()
        return words(press(page, "Take its clips in"))

    assert "cannot be read: No such file or directory" in take(folder / "none")
    assert "There are no clips" in take(folder)
    (folder / "table1_tea_1.mp4").write_bytes(still_clips[0])
    assert "1 clip is in." in take(folder)
    assert [clip.name for clip in record.clips(lesson.id)] == ["table1_tea_1.mp4"]


def test_a_plan_is_followed_or_told_line_by_line(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    page = open_page()

    def hand(text: str) -> str:
        sound(page.file_uploader[1].set_value(("plan.csv", text.encode(), "text/csv")).run())
        return words(page)

    told = hand("clip,repeat\nnone.mp4,1\ntable1_tea_1.mp4,x\n")
    assert "plan.csv, line 2: there is no clip 'none.mp4'" in told
    assert "plan.csv, line 3: repeat is 'x'" in told
    told = hand("clip,group,repeat\ntable1_tea_1.mp4,Table 7,4\n")
    assert "plan.csv is followed." in told
    assert record.clips(lesson.id)[0].repeat == 4


def test_a_clip_is_removed_and_its_figures_brought_back(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    clip = record.clips(lesson.id)[0]
    record.save_reading(clip.id, toppling(), 0.034)
    path = record.clip_path(clip)
    page = press(look_at(open_page(), clip.id), "Remove it with its figures")
    assert len(record.clips(lesson.id)) == 2 and not path.exists()
    page = open_part(page, KEEPING)
    assert "clip table1_tea_1.mp4, removed" in words(page)
    page = press(page, "Undo")
    assert record.reading_of(clip.id) is not None and len(record.clips(lesson.id)) == 3


def test_a_clips_file_is_deleted_and_its_figures_kept(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    clip = record.clips(lesson.id)[0]
    record.save_reading(clip.id, toppling(), 0.034)
    path = record.clip_path(clip)
    page = look_at(open_page(), clip.id)
    assert len(page.get("image")) == 3
    page = press(page, "Delete its file, keep its figures")
    assert not path.exists() and record.reading_of(clip.id) is not None
    assert "its figures are kept" in words(page)


def test_how_the_stories_compare_is_shown_also_without_the_clips_file(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    read, unread, _ = record.clips(lesson.id)
    record.save_reading(read.id, toppling(), 0.034)
    record.save_reading(unread.id, lost(), 0.034)
    page = look_at(open_page(), read.id)
    assert len(page.get("image")) == 3 and stories(page)[0] == ["topples", "0"]
    page = press(page, "Delete its file, keep its figures")
    assert not page.get("image")
    assert stories(page) == [["topples", "0"], ["stays", "231"], ["slides", "253"]]
    page = look_at(page, unread.id)
    assert STORIES not in {each.label for each in page.expander} and not page.table


def test_bodies_are_made_changed_and_removed(open_page: Open, record: Record) -> None:
    record.add_lesson("Tea tins", date(2026, 11, 25))
    page = open_part(open_page(), BODIES)
    press(page, "Add this body")
    assert "Give the radius of the rim" in words(page)
    field(page, "text_input", "Name").set_value("Seed tub")
    field(page, "number_input", "Radius of the rim / mm").set_value(4.0)
    sound(page.run())
    assert "Was it measured in cm?" in words(page)
    field(page, "number_input", "Radius of the rim / mm").set_value(40.0)
    sound(page.run())
    press(page, "Add this body")
    (tub,) = record.bodies()
    assert (tub.name, tub.radius_m, tub.length_m) == ("Seed tub", pytest.approx(0.04), None)
    field(page, "selectbox", "Body").set_value("Seed tub").run()
    field(page, "number_input", "Length, base to top / mm").set_value(120.0).run()
    press(page, "Change this body")
    assert record.bodies()[0].length_m == pytest.approx(0.12)
    field(page, "selectbox", "Body").set_value("Seed tub").run()
    press(page, "Remove this body")
    assert record.bodies() == ()


def test_balances_and_predictions_stand_beside_toppling(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    for clip in record.clips(lesson.id)[:2]:
        record.save_reading(clip.id, toppling(), 0.034)
    page = open_part(open_page(), OTHERS)
    field(page, "text_input", "Overhangs / mm").set_value("91.0 91.5 200")
    press(page, "Keep these readings")
    assert "An overhang of 200 mm is not within the Leaf tea tin" in words(page)
    assert record.balance_readings(lesson.id) == ()
    field(page, "text_input", "Overhangs / mm").set_value("91.0 91.5")
    press(page, "Keep these readings")
    field(page, "number_input", "Centre height / mm").set_value(93.0)
    field(page, "text_input", "Where it comes from").set_value("its parts")
    press(page, "Keep this prediction")
    told = words(page)
    assert "Leaf tea tin, no group: 91 mm with the base over the edge" in told
    assert "Leaf tea tin: 93 mm, u 0.5 mm, predicted (its parts)" in told
    told = words(open_part(page, RESULTS))
    assert "The centre by toppling lies" in told and "that by balancing" in told
    assert "that predicted (its parts)" in told


def test_names_are_shown_as_text(
    open_page: Open, record: Record, still_clips: tuple[bytes, ...]
) -> None:
    lesson = record.add_lesson("<b>*Tea*</b>", date(2026, 11, 25))
    take_in(record, lesson.id, [("table1_*tea*_<b>.mp4", still_clips[0])])
    page = open_page()
    shown = "\n".join(str(each.value) for each in page.markdown)
    assert "<b>" not in shown.replace("\\<b\\>", "")
    open_part(page, CLIPS)


def test_a_record_that_cannot_be_opened_is_told(
    open_page: Open, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    blocked = tmp_path / "a file"
    blocked.write_text("")
    monkeypatch.setenv("BRINKANGLE_DATA", str(blocked / "below"))
    page = open_page()
    assert "The class record cannot be kept in" in words(page)


def test_surfaces_and_groups_are_named_renamed_and_removed(
    open_page: Open, record: Record, lesson: Lesson
) -> None:
    page = open_part(open_page(), BODIES)
    field(page, "text_input", "Name of the surface").set_value("Felt").run()
    press(page, "Add this surface")
    assert [surface.name for surface in record.surfaces()] == ["Felt"]
    field(page, "selectbox", "Group").set_value("Table 2").run()
    field(page, "text_input", "Name of the group").set_value("table9").run()
    press(page, "Rename this group")
    assert {group.label for group in record.groups(lesson.id)} == {"Table 1", "Table 3", "Table 9"}
    field(page, "selectbox", "Group").set_value("Table 9").run()
    press(page, "Remove this group")
    assert record.clips(lesson.id)[1].group_id is None
    assert len(record.groups(lesson.id)) == 2
    field(page, "text_input", "Name of the group").set_value("Table 1").run()
    press(page, "Add this group")
    assert "There is Table 1 already. Choose another name." in words(page)


def test_two_clips_of_one_name_are_told_apart(
    open_page: Open, record: Record, still_clips: tuple[bytes, ...]
) -> None:
    lesson = record.add_lesson("Tea tins", date(2026, 11, 25))
    take_in(record, lesson.id, [("IMG_0001.mp4", each) for each in still_clips[:2]])
    page = open_page()
    assert field(page, "selectbox", "Clip").options == ["IMG_0001.mp4", "IMG_0001.mp4 (2)"]
    plan = b"clip,group\nIMG_0001.mp4,Table 1\nIMG_0001.mp4 (2),Table 2\n"
    sound(page.file_uploader[1].set_value(("plan.csv", plan, "text/csv")).run())
    view = record.lesson_view(lesson.id)
    groups = [view.group(clip.group_id) for clip in view.clips]
    assert [group.label for group in groups if group] == ["Table 1", "Table 2"]


def test_a_clip_is_put_right_by_hand_and_its_reading_kept(
    open_page: Open, record: Record, lesson: Lesson, bench: StandInBench
) -> None:
    clip = record.clips(lesson.id)[0]
    record.save_reading(clip.id, lost(), 0.034)
    page = look_at(open_page(), clip.id)
    assert "This clip could not be read." in words(page)
    field(page, "toggle", "Mark the scene, or move the brink").set_value(True)
    bench.reading = toppling(by_hand=True)
    press(sound(page.run()), "Measure again with these marks")
    assert queue_of(record).wait(10)
    path, setup = bench.asked[-1]
    assert path == record.clip_path(clip) and setup.marks is not None
    reading = record.reading_of(clip.id)
    assert reading is not None and reading.by_hand
    assert BY_HAND in words(sound(page.run()))
