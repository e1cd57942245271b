"""A lesson in a browser, with nothing stood in for: from six clips to what goes back to the class.

The clips are the samples cut down, so that measuring takes seconds: three groups'
tea tins that topple, a tub that slides, a clip in which nothing moves, and a file that is no clip.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable, Iterator
from math import degrees, radians, tan
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.ui.classroom.clips import shrunk, still
from tests.ui.lesson_papers import (
    download,
    open_papers,
    papers,
    see_sizes_and_titles,
    see_the_class_report,
    see_what_papers_say,
)
from tests.ui.served import PATIENCE_S, drawn, served
from ui.classroom.clip_table import HEAD_PX, ROW_PX
from ui.handouts.content import Paper
from ui.record.record import Record
from ui.record.rows import LessonView
from ui.samples import FOLDER
from vision.reading import Outcome

DESK = {"width": 1280, "height": 2000}
MEASURED_MS = 300_000
TITLE = "Tea tins, 10b"
TIN, TUB = "leaf_tea_topples", "seed_tub_slides"
BODIES = {"tea": ("Leaf tea tin", 34.0), "tub": ("Seed tub", 40.0), "tube": ("Shuttle tube", 36.0)}


@pytest.fixture(scope="module")
def six_clips(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("clips")
    shrunk(f"{TIN}.mp4", folder / "table1_tea_1.mp4", every=2, size=(640, 360))
    shrunk(f"{TIN}.mp4", folder / "table2_tea_1.mp4", every=2, size=(560, 315))
    shrunk(f"{TIN}.mp4", folder / "IMG_4032.mp4", every=2, size=(480, 270))
    shrunk(f"{TUB}.mov", folder / "table2_tub_paper_1.mp4", every=2, size=(640, 360))
    still(folder / "table1_tube_1.mp4", frames=30)
    (folder / "table3_tea_2.mp4").write_bytes(b"This is no clip.\n" * 99)
    return sorted(folder.iterdir())


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("data")


@pytest.fixture(scope="module")
def address(data: Path) -> Iterator[str]:
    """The page, served with a record of its own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRINKANGLE_DATA", str(data))
        with served() as address:
            yield address


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    page = opened(browser, address)
    yield page
    page.close()


def opened(browser: Browser, address: str) -> Page:
    page = browser.new_page(viewport=DESK)  # type: ignore[arg-type]
    page.goto(f"{address}/class-record")
    expect(page.get_by_role("heading", name="Class record", exact=True)).to_be_visible()
    return page


def test_a_lesson_from_clips_to_paper(
    page: Page, browser: Browser, address: str, data: Path, six_clips: list[Path], tmp_path: Path
) -> None:
    make_lesson(page)
    drop(page, six_clips)
    give_bodies(page)
    assign_the_one_without_a_name(page, data)
    second = opened(browser, address)
    expect(second.get_by_text("0 of 5 measured")).to_be_visible()
    page.get_by_role("button", name="Measure 5 clips").click()
    expect(page.get_by_text("5 of 5 measured")).to_be_visible(timeout=MEASURED_MS)
    see_what_was_measured(data)
    height = see_pooled(page)
    see_it_in_a_second_browser(second)
    check_two_readings(page, data)
    take_paper_home(page, height, angles_in(data), tmp_path)


def make_lesson(page: Page) -> None:
    expect(page.get_by_text("Next: make a lesson")).to_be_visible()
    page.get_by_label("Title").fill(TITLE)
    page.get_by_role("button", name="Make this lesson").click()
    expect(page.get_by_text("Next: drop the clips of all groups above.")).to_be_visible()


def drop(page: Page, clips: list[Path]) -> None:
    page.locator("input[type=file]").first.set_input_files(clips)
    expect(page.get_by_text("5 clips are in; 1 could not be taken in.")).to_be_visible()
    expect(page.get_by_text("table3_tea_2.mp4 holds no picture")).to_be_visible()
    drawn(page)


def give_bodies(page: Page) -> None:
    """The bodies that names speak of, each asked for once."""
    for words, (name, radius_mm) in BODIES.items():
        form = page.get_by_test_id("stForm").filter(has_text=f"of {words}, which is not")
        expect(form.get_by_label("Its name")).to_have_count(1)
        form.get_by_label("Its name").fill(name)
        form.get_by_role("spinbutton", name="Radius of its rim / mm").fill(str(radius_mm))
        form.get_by_role("button", name="Add it, and give it to them").click()
        expect(form).to_have_count(0)
        drawn(page)


def assign_the_one_without_a_name(page: Page, data: Path) -> None:
    """A phone's own name says nothing: its line is the first, and is typed into by keys."""
    expect(page.get_by_role("button", name="Search")).to_have_count(2)
    expect(page.get_by_role("button", name="Download as CSV")).to_have_count(0)
    tea = BODIES["tea"][0]
    expect(cells(page, tea)).to_have_count(2)
    type_into(page, 1, "table3")
    kept(page, lambda: given(data)[0] == "Table 3")
    expect(cells(page, "Table 3")).to_have_count(1)
    type_into(page, 2, tea)
    kept(page, lambda: given(data) == ("Table 3", tea))
    expect(cells(page, tea)).to_have_count(3)
    expect(page.get_by_role("button", name="Measure 5 clips")).to_be_visible()


def given(data: Path) -> tuple[str | None, str | None]:
    """Group and body of the clip whose name says nothing, as the record has them."""
    view = lesson_in(data)
    (clip,) = (clip for clip in view.clips if clip.name == "IMG_4032.mp4")
    group, body = view.group(clip.group_id), view.body(clip.body_id)
    return group and group.label, body and body.name


def kept(page: Page, is_so: Callable[[], bool]) -> None:
    """Until the record says so, and the page has been drawn since."""
    deadline = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < deadline
        page.wait_for_timeout(100)
    drawn(page)


def table(page: Page) -> Locator:
    """The table in which clips are given out; it is drawn, and tells its cells to readers."""
    return page.get_by_test_id("stDataFrame").first


def cells(page: Page, words: str) -> Locator:
    return table(page).locator("[role=gridcell]", has_text=words)


def type_into(page: Page, column: int, words: str) -> None:
    """Type into a cell of the first line, by keys alone once the line is in hand."""
    table(page).click(position={"x": 40, "y": HEAD_PX + ROW_PX / 2})
    in_hand = table(page).locator("[role=gridcell][aria-selected=true]")
    expect(in_hand).to_have_attribute("aria-colindex", "1")
    for step in range(column):
        # A key pressed before the last one has been drawn counts from the same cell.
        page.keyboard.press("ArrowRight")
        expect(in_hand).to_have_attribute("aria-colindex", str(step + 2))
    page.keyboard.press("Enter")
    editor = page.locator("#portal textarea, #portal input").first
    expect(editor).to_be_visible()
    editor.fill(words)
    page.keyboard.press("Enter")


def lesson_in(data: Path) -> LessonView:
    """The lesson, as another process finds it in the record."""
    record = Record(data)
    try:
        (lesson,) = record.lessons()
        return record.lesson_view(lesson.id)
    finally:
        record.close()


def see_what_was_measured(data: Path) -> None:
    view = lesson_in(data)
    outcomes = {
        clip.name: reading.outcome
        for clip in view.clips
        if (reading := view.reading_of(clip.id)) is not None
    }
    assert outcomes == {
        "IMG_4032.mp4": Outcome.TOPPLES,
        "table1_tea_1.mp4": Outcome.TOPPLES,
        "table2_tea_1.mp4": Outcome.TOPPLES,
        "table2_tub_paper_1.mp4": Outcome.SLIDES,
        "table1_tube_1.mp4": Outcome.UNREADABLE,
    }


def see_pooled(page: Page) -> str:
    """The class's centre of the tin as shown, seen to agree with the truth of the rendering."""
    drawn(page)
    main(page).get_by_text("Results", exact=True).click()
    expect(page.get_by_role("heading", name="Leaf tea tin")).to_be_visible()
    value, half = metric(page, "Centre height, all groups")
    true_mm = truth(TIN)["centre_height_mm"]
    assert abs(value - true_mm) < max(half, 0.06 * true_mm)
    expect(page.get_by_text("From 3 readings of 3 groups.")).to_be_visible()
    friction, _ = metric(page, "Coefficient of friction")
    assert friction == pytest.approx(truth(TUB)["friction_coefficient"], abs=0.03)
    expect(page.get_by_text("table1_tube_1.mp4 of Table 1 could not be read")).to_be_visible()
    expect(page.get_by_text("One reading shows no scatter: repeat it.")).to_be_visible()
    return card(page, "Centre height, all groups").inner_text()


def angles_in(data: Path) -> dict[str, float]:
    """The toppling angle of each group's tin, degrees."""
    view, found = lesson_in(data), {}
    for clip in view.clips:
        reading, group = view.reading_of(clip.id), view.group(clip.group_id)
        assert reading is not None and group is not None
        if reading.outcome is Outcome.TOPPLES and reading.angle_rad is not None:
            found[group.label] = degrees(reading.angle_rad)
    assert sorted(found) == ["Table 1", "Table 2", "Table 3"]
    return found


def see_it_in_a_second_browser(second: Page) -> None:
    main(second).get_by_text("Results", exact=True).click()
    expect(second.get_by_text("From 3 readings of 3 groups.")).to_be_visible()
    second.close()


def check_two_readings(page: Page, data: Path) -> None:
    """Two students, a slip each: the wrong end of the scale, and centimetres."""
    page.get_by_role("link", name="Check a reading").click()
    expect(page.get_by_role("heading", name="Check a reading", exact=True)).to_be_visible()
    reading = next(r for r in lesson_in(data).readings if r.clip_id == _chosen(page, data))
    assert reading.angle_rad is not None
    angle = round(degrees(reading.angle_rad))
    check(page, "pupil 7", 180 - angle, None)
    expect(page.get_by_text("A protractor has two scales.")).to_be_visible()
    drawn(page)
    page.get_by_role("button", name="Show me the answer").click()
    expect(page.get_by_text("read from the other end of the scale").first).to_be_visible()
    check(page, "pupil 8", angle, round(3.4 / tan(radians(angle)), 1))
    expect(page.get_by_text("Write the unit behind every length.")).to_be_visible()
    slips = [each.slip for each in lesson_in(data).student_readings]
    assert slips == ["read from the other end of the scale", "mm for cm"]


def _chosen(page: Page, data: Path) -> int:
    """The clip of the tin that stood on Table 1, chosen on the page."""
    box = page.get_by_role("combobox", name=re.compile("Your group's clip"))
    box.click()
    page.get_by_role("option", name=re.compile("Table 1")).first.click()
    expect(box).to_have_value(re.compile("Table 1"))
    drawn(page)
    return next(c.id for c in lesson_in(data).clips if c.name == "table1_tea_1.mp4")


def check(page: Page, label: str, angle_deg: float, height_mm: float | None) -> None:
    page.get_by_role("spinbutton", name="Angle on your protractor / °").fill(str(angle_deg))
    if height_mm is not None:
        page.get_by_role("spinbutton", name=re.compile("Your x")).fill(str(height_mm))
    page.get_by_label("A label for you, not your name").fill(label)
    page.get_by_role("button", name="Check my reading").click()


def take_paper_home(page: Page, height: str, angles_deg: dict[str, float], folder: Path) -> None:
    """All kinds on both papers; one file alone is the same as in the zip."""
    open_papers(page)
    made = papers(page, Paper.A4, folder)
    see_sizes_and_titles(made, Paper.A4, TITLE)
    see_what_papers_say(made, TITLE, height, angles_deg)
    see_the_class_report(made["class-report.pdf"])
    alone = download(page, "class-report.pdf", folder / "alone.pdf")
    assert alone.read_bytes() == made["class-report.pdf"]
    see_sizes_and_titles(papers(page, Paper.LETTER, folder), Paper.LETTER, TITLE)


def main(page: Page) -> Locator:
    return page.get_by_test_id("stMain")


def card(page: Page, label: str) -> Locator:
    """What is shown large under a label."""
    shown = page.get_by_test_id("stMetric").filter(has_text=label).first
    return shown.get_by_test_id("stMetricValue")


def metric(page: Page, label: str) -> tuple[float, float]:
    """The value and the half-width shown under a label."""
    numbers = re.findall(r"\d+\.?\d*", card(page, label).inner_text())
    return float(numbers[0]), float(numbers[1])


def truth(sample: str) -> dict[str, float]:
    found: dict[str, float] = json.loads((FOLDER / f"{sample}.truth.json").read_text())
    return found
