"""The bench in a browser: a body is built, a lump placed, its brink read, and it is pushed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import atan, degrees
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.ui.served import Runs, drawn

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}


FIVE_PARTS = rf"^{8400 / 146:.2f} mm"
SIX_PARTS = rf"^{(8400 + 100 * 40) / 246:.2f} mm"
"""The centre of the leaf tea tin as it comes, and with 100 g at 40 mm more."""


def opened(browser: Browser, address: str, title: str, size: dict[str, int] = DESK) -> Page:
    page = browser.new_page(viewport=size)  # type: ignore[arg-type]
    runs = Runs(page)
    page.goto(f"{address}/{title.lower().replace(' ', '-')}")
    expect(page.get_by_role("heading", name=title, exact=True)).to_be_visible()
    runs.over()
    return page


@pytest.fixture
def builder(browser: Browser, page_address: str) -> Iterator[Page]:
    page = opened(browser, page_address, "Build a body")
    yield page
    page.close()


def field(page: Page, name: str) -> Locator:
    return page.get_by_role("spinbutton", name=name, exact=True)


def fill(page: Page, name: str, value: float) -> None:
    drawn(page)
    field(page, name).fill(str(value))
    field(page, name).press("Tab")


def expect_metric(page: Page, label: str, pattern: str) -> None:
    card = page.get_by_test_id("stMetric").filter(has_text=label)
    expect(card.get_by_test_id("stMetricValue")).to_have_text(re.compile(pattern))
    drawn(card.page)


def laden_brink_deg(place_mm: float) -> float:
    x = (48 * 55 + 16 * 110 + 8 * 50 + 90 * place_mm) / 176
    return degrees(atan(36.5 / x))


def test_a_body_is_built_laden_and_pushed(builder: Page) -> None:
    """48 g wall, 14 g base, 16 g lid, 8 g rod; a lump of 90 g at 60, then 80 mm, by hand."""
    page = builder
    expect(page.locator("svg[role=img]")).to_be_visible()
    fill(page, "Mass of the lump / g", 90)
    expect_metric(page, "It topples at", rf"^{laden_brink_deg(60):.2f}°")
    fill(page, "Place of the lump / mm", 80)
    brink = laden_brink_deg(80)
    expect_metric(page, "It topples at", rf"^{brink:.2f}°")
    page.get_by_text("At the brink", exact=True).click()
    drawing = page.locator("svg[role=img]")
    expect(drawing).to_have_attribute("aria-label", re.compile(rf"the board at {brink:.1f}°"))
    drawn(page)
    page.get_by_text("The working: Brink angle with the lump in place").click()
    expect(page.locator(".katex:visible").first).to_be_visible()

    page.get_by_role("link", name="Slide or topple").click()
    expect(page.get_by_role("heading", name="Slide or topple", exact=True)).to_be_visible()
    expect_metric(page, "It slides from", rf"^{0.45 * 0.176 * 9.81:.2f} N")
    fill(page, "Height h of the push / mm", 40)
    expect_metric(page, "It topples from", r"^1\.57")  # 0.176 × 9.81 × 36.5 / 40
    verdict = page.get_by_test_id("stAlert")
    expect(verdict.get_by_text("It slides first (chance over 99 %).")).to_be_visible()
    expect(page.locator("svg[role=img]")).to_contain_text("weight 1.73 N")

    page.get_by_role("link", name="Build a body").click()
    expect(field(page, "Place of the lump / mm")).to_have_value("80.0")


def test_a_part_is_added_and_the_body_saved_and_opened(builder: Page) -> None:
    page = builder
    page.get_by_role("button", name="Add a part").click()
    expect(page.get_by_role("textbox", name="Name of the part")).to_have_value("part 4")
    fill(page, "Mass / g", 100)
    expect_metric(page, "Its centre is up at", SIX_PARTS)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save this body").click()
    content = Path(saved.value.path()).read_bytes()
    assert saved.value.suggested_filename == "leaf_tea_tin.body.toml"
    page.reload()
    expect_metric(page, "Its centre is up at", FIVE_PARTS)
    file = {"name": "ours.body.toml", "mimeType": "application/toml", "buffer": content}
    page.locator("input[type=file]").first.set_input_files(file)  # type: ignore[arg-type]
    expect_metric(page, "Its centre is up at", SIX_PARTS)


@pytest.mark.parametrize("title", ["Build a body", "Edge balance", "Slide or topple"])
def test_nothing_sticks_out_of_a_phone(title: str, browser: Browser, page_address: str) -> None:
    page = opened(browser, page_address, title, PHONE)
    expect(page.locator("svg[role=img]")).to_be_visible()
    wide = page.evaluate("document.documentElement.scrollWidth")
    main = page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth")
    assert max(wide, main) <= PHONE["width"]
    assert page.locator("svg[role=img]").bounding_box()["width"] <= PHONE["width"]  # type: ignore[index]
    page.close()
