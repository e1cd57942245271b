"""The page in a browser, with nothing stood in for."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, Route, expect

from tests.ui.served import drawn
from ui.samples import FOLDER

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
MEASURED_MS = 120_000
FIRST_MARK = '[data-mark="0"]'


class Visit:
    """A page in a browser without any network but the page's own server."""

    def __init__(self, browser: Browser, address: str, size: dict[str, int]) -> None:
        self.page: Page = browser.new_page(viewport=size)  # type: ignore[arg-type]
        self.outside: list[str] = []
        self.page.route("**/*", lambda route: self._let(route, address))
        self.page.goto(address)
        expect(self.page.get_by_role("heading", name="Read a clip")).to_be_visible()
        drawn(self.page)

    def _let(self, route: Route, address: str) -> None:
        if route.request.url.startswith((address, "data:", "blob:")):
            route.continue_()
        else:
            self.outside.append(route.request.url)
            route.abort()

    def measure(self, clip: Path, radius_mm: float) -> None:
        self.page.locator("input[type=file]").set_input_files(clip)
        radius = self.page.get_by_role("spinbutton", name="Radius / mm")
        radius.fill(str(radius_mm))
        radius.press("Tab")
        button = self.page.get_by_role("button", name="Measure", exact=True)
        expect(button).to_be_enabled()
        drawn(self.page)
        button.click()

    def metric(self, label: str) -> tuple[float, float]:
        """The value and the half-width shown under a label."""
        card = self.page.get_by_test_id("stMetric").filter(has_text=label)
        text = card.get_by_test_id("stMetricValue").inner_text()
        numbers = re.findall(r"\d+\.?\d*", text)
        return float(numbers[0]), float(numbers[1])


@pytest.fixture
def visit(browser: Browser, page_address: str) -> Iterator[Visit]:
    visit = Visit(browser, page_address, DESK)
    yield visit
    visit.page.close()
    assert visit.outside == []


def test_a_clip_is_uploaded_and_read(visit: Visit) -> None:
    truth = json.loads((FOLDER / "leaf_tea_topples.truth.json").read_text())
    page = visit.page
    visit.measure(FOLDER / truth["clip"], truth["radius_mm"])
    expect(page.get_by_text("Reading frames")).to_be_visible(timeout=MEASURED_MS)
    outcome = page.get_by_role("heading", name="The body toppled when the board stood at")
    expect(outcome).to_be_visible(timeout=MEASURED_MS)
    angle, angle_u95 = visit.metric("Brink angle")
    height, _ = visit.metric("Height of the centre of mass")
    assert angle == pytest.approx(truth["angle_deg"], abs=1.0) and 0 < angle_u95 < 2
    assert height == pytest.approx(truth["centre_height_mm"], rel=0.05)
    for moment in ("Start", "Brink", "After"):
        expect(page.get_by_text(re.compile(rf"^{moment}: .* frame \d+$"))).to_be_visible()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Answer (JSON)").click()
    record = json.loads(Path(saved.value.path()).read_text("utf-8"))["clips"][0]
    assert record["outcome"] == "topples"
    assert record["angle_deg"] == pytest.approx(angle, abs=0.05)


def test_marks_are_dragged_nudged_and_measured(visit: Visit, still_clip: Path) -> None:
    page = visit.page
    visit.measure(still_clip, 36.5)
    expect(page.get_by_text("This clip could not be read.")).to_be_visible(timeout=MEASURED_MS)
    drawn(page)
    mark = page.locator(FIRST_MARK)
    mark.scroll_into_view_if_needed()
    handle, board = mark.bounding_box(), page.get_by_alt_text("First frame").bounding_box()
    assert handle and board
    page.mouse.move(handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2)
    page.mouse.down()
    page.mouse.move(board["x"] + 0.25 * board["width"], board["y"] + 0.5 * board["height"])
    page.mouse.up()
    # The pictures are 320 by 240.
    page.get_by_role("button", name="Type the pixels instead").click()
    expect(_typed(page, "x")).to_have_value(re.compile("^(79|80|81)$"))
    expect(_typed(page, "y")).to_have_value(re.compile("^(119|120|121)$"))
    before = int(_typed(page, "x").input_value())
    mark.press("ArrowRight")
    expect(_typed(page, "x")).to_have_value(str(before + 1))
    page.keyboard.press("Escape")
    drawn(page)
    page.get_by_role("button", name="Measure again with these marks").click()
    expect(page.get_by_text("A hand was in this reading")).to_be_visible(timeout=MEASURED_MS)


def _typed(page: Page, axis: str) -> Locator:
    """The field that follows the first mark."""
    return page.get_by_role("spinbutton", name=f"1 board, hinge end: {axis}")


def test_a_file_that_is_no_clip_is_told_by_its_own_name(visit: Visit, tmp_path: Path) -> None:
    clip = tmp_path / "table_4 *tea* <b>.mp4"
    clip.write_text("This is no clip.\n" * 50)
    visit.measure(clip, 36.5)
    told = visit.page.get_by_text("table_4 *tea* <b>.mp4 holds no picture")
    expect(told).to_be_visible(timeout=MEASURED_MS)


def test_it_fits_a_phone(browser: Browser, page_address: str) -> None:
    page = Visit(browser, page_address, PHONE).page
    widths = "[document.documentElement.scrollWidth, window.innerWidth]"
    needed, given = page.evaluate(widths)
    assert needed <= given == 390
    lead = page.get_by_text("A body stands on a board")
    assert float(lead.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")) >= 16
    page.close()
