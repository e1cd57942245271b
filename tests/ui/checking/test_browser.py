"""'Check a reading' in a browser, on a record of its own."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from solver.slips import Slip
from tests.ui.checking.lesson import RADIUS_M, filled
from tests.ui.served import drawn, served
from ui.checking.protractor import FEW, MANY
from ui.checking.words import FOUND, HINTS
from ui.record.record import Record

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("checked")
    record = Record(folder / "data")
    filled(record, folder)
    record.close()
    return folder / "data"


@pytest.fixture(scope="module")
def address(data: Path) -> Iterator[str]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRINKANGLE_DATA", str(data))
        patch.delenv("BRINKANGLE_RECORD", raising=False)
        with served() as address:
            yield f"{address}/check-a-reading"


def kept(data: Path) -> list[tuple[str, str | None]]:
    """Labels and slips of the readings in the record."""
    record = Record(data)
    lesson = record.lessons()[0]
    rows = [(each.by, each.slip) for each in record.student_readings(lesson.id)]
    record.close()
    return rows


def type_in(page: Page, angle: str, x_mm: str) -> None:
    for name, text in (("Angle on your protractor", angle), ("Your x", x_mm)):
        field = page.get_by_role("spinbutton", name=name)
        field.fill(text)
        field.press("Tab")


@pytest.mark.parametrize(("size", "by"), [(DESK, "pupil 1"), (PHONE, "pupil 2")])
def test_a_student_reads_tries_sees_and_is_told(
    browser: Browser, address: str, data: Path, size: dict[str, int], by: str
) -> None:
    page = browser.new_page(viewport=size)  # type: ignore[arg-type]
    page.goto(address)
    expect(page.get_by_text("The moment just before the body goes")).to_be_visible()
    drawn(page)
    type_in(page, "160", f"{2000 * RADIUS_M / tan(radians(20)):.0f}")
    page.get_by_role("textbox", name="A label for you").fill(by)
    page.get_by_role("button", name="Check my reading").click()
    expect(page.get_by_text(HINTS[Slip.OTHER_END])).to_be_visible()
    expect(page.get_by_text("The clip's angle", exact=True)).to_have_count(0)
    drawn(page)
    page.get_by_text("See it: lay a protractor on the picture").click()
    protractor = page.get_by_role("img", name="A protractor laid on the brink frame")
    expect(protractor).to_be_visible()
    within = protractor.locator("image").bounding_box()
    assert within is not None and within["width"] > 200
    shown, hidden = (MANY, FEW) if size is DESK else (FEW, MANY)
    number = protractor.locator(f".{shown.name} text").first
    expect(number).to_be_visible()
    expect(protractor.locator(f".{hidden.name} text").first).to_be_hidden()
    box = number.bounding_box()
    assert box is not None and box["height"] > 14
    drawn(page)
    page.get_by_role("button", name="Show me the answer").click()
    expect(page.get_by_text(FOUND[Slip.OTHER_END])).to_be_visible()
    expect(page.get_by_text(FOUND[Slip.DIAMETER])).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    assert (by, f"{Slip.OTHER_END}, {Slip.DIAMETER}") in kept(data)
    page.close()
