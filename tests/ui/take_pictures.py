"""Take the README's pictures of the page anew: ``python -m tests.ui.take_pictures [STATE...]``."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.ui.filmed_lesson import fill
from tests.ui.served import ROOT, launch, served
from ui.bench.body_file import written
from ui.bench.examples import CARD_TUBE, SEED_TUB, TIMBER_BLOCK
from ui.record.record import Record

FOLDER = ROOT / "ui" / "pictures"
WIDTHS = (1280, 390)
TALLEST_PX = 6000
MEASURED_MS = 120_000
QUALITY = 88


def empty(page: Page) -> None:
    """As one arrives."""


def read(page: Page) -> None:
    """A sample that topples."""
    page.get_by_text("A sample", exact=True).click()
    page.get_by_text("synthetic renderings").wait_for()
    page.get_by_role("button", name="Measure", exact=True).click()
    page.get_by_text("What the uncertainty is made of").wait_for(timeout=MEASURED_MS)


def by_hand(page: Page) -> None:
    """The marks on its first frame."""
    read(page)
    page.get_by_text("Put it right by hand").click()
    page.get_by_alt_text("First frame of the clip").wait_for()
    page.get_by_text("Tilt and lean").scroll_into_view_if_needed()


def unreadable(page: Page) -> None:
    """A file that is no clip."""
    letter = {"name": "table4_tea_2.mp4", "mimeType": "video/mp4", "buffer": b"no clip " * 99}
    page.locator("input[type=file]").set_input_files(letter)  # type: ignore[arg-type]
    radius = page.get_by_role("spinbutton", name="Radius / mm")
    radius.fill("36.5")
    radius.press("Tab")
    page.get_by_text("Next: press Measure").wait_for()
    page.get_by_role("button", name="Measure", exact=True).click()
    page.get_by_text("This clip could not be read.").wait_for(timeout=MEASURED_MS)


def bench(page: Page, title: str) -> None:
    """A page of the bench, drawn."""
    page.get_by_role("link", name=title).click()
    page.get_by_role("heading", name=title, exact=True).wait_for()
    page.locator("svg[role=img]").wait_for()


def build(page: Page) -> None:
    """A body at the brink, and where its lump would be for a set angle."""
    bench(page, "Build a body")
    page.get_by_text("At the brink", exact=True).click()
    page.get_by_text("Set an angle", exact=True).click()
    page.get_by_text("Put the lump at").wait_for()


def balance(page: Page) -> None:
    """Invented readings beside the prediction."""
    bench(page, "Edge balance")
    page.get_by_role("button", name="Try it with invented readings").click()
    page.get_by_text("The centre by balancing lies").wait_for()


def push(page: Page) -> None:
    """A push and its map, with bodies from files."""
    bench(page, "Slide or topple")
    page.get_by_text("The class's bodies on the map").click()
    files = [
        {
            "name": f"{sheet.name}.body.toml",
            "mimeType": "application/toml",
            "buffer": written(sheet).encode(),
        }
        for sheet in (CARD_TUBE, SEED_TUB, TIMBER_BLOCK)
    ]
    page.locator("input[type=file]").set_input_files(files)  # type: ignore[arg-type]
    page.get_by_role("button", name="Clear the map", disabled=False).wait_for()
    page.get_by_text("height ÷ r", exact=True).click()
    page.get_by_text("The class's bodies on the map").click()


def hand_outs(page: Page) -> None:
    """Papers of the invented lesson, which is on offer while the record is empty."""
    page.get_by_role("link", name="Hand-outs").click()
    page.get_by_role("heading", name="Hand-outs", exact=True).wait_for()
    for kind in ("Worksheet", "Group reports", "Class report"):
        page.get_by_text(kind, exact=True).click()
    page.get_by_text("Next: choose").wait_for(state="hidden")
    page.get_by_role("button", name="Make the hand-outs").click()
    page.get_by_text("All as one zip").wait_for(timeout=MEASURED_MS)


def class_clips(page: Page) -> None:
    """A lesson's clips, given out and measured."""
    page.get_by_role("link", name="Class record").click()
    page.get_by_text("Look at one clip").wait_for()


def class_results(page: Page) -> None:
    """What the class found, by every way."""
    class_clips(page)
    page.get_by_text("Results", exact=True).click()
    page.locator("[data-testid=stVegaLiteChart] svg").first.wait_for()


def check(page: Page) -> None:
    """A scale read from its other end, with the protractor laid on the picture."""
    page.get_by_role("link", name="Check a reading").click()
    page.get_by_text("The moment just before the body goes").wait_for()
    angle = page.get_by_role("spinbutton", name="Angle on your protractor")
    angle.fill("158")
    angle.press("Tab")
    page.get_by_role("textbox", name="A label for you").fill("pupil 5")
    page.get_by_role("button", name="Check my reading").click()
    page.get_by_text("See it: lay a protractor on the picture").click()
    page.get_by_role("img", name="A protractor laid on the brink frame").wait_for()
    page.get_by_role("button", name="Show me the answer").click()
    page.get_by_text("The clip's angle", exact=True).wait_for()


State = Callable[[Page], None]
ALONE: tuple[State, ...] = (empty, read, by_hand, unreadable, build, balance, push, hand_outs)
WITH_A_CLASS: tuple[State, ...] = (class_clips, class_results, check)


def main(*names: str) -> None:
    """Every state at every width, or those named; the record is one of its own."""
    FOLDER.mkdir(exist_ok=True)
    for states, filled in ((ALONE, False), (WITH_A_CLASS, True)):
        wanted = [state for state in states if not names or state.__name__ in names]
        if not wanted:
            continue
        with TemporaryDirectory(prefix="brinkangle-pictures-") as folder:
            data = Path(folder) / "data"
            if filled:
                record = Record(data)
                fill(record, Path(folder))
                record.close()
            with patch.dict(os.environ, BRINKANGLE_DATA=str(data)):
                take(wanted)


def take(states: Iterable[State]) -> None:
    """These states of the page, served with the record of this environment."""
    with sync_playwright() as playwright, served() as address:
        chromium = launch(playwright)
        for state in states:
            page = chromium.new_page(viewport={"width": WIDTHS[0], "height": 900})
            page.goto(address)
            page.get_by_role("heading", name="Read a clip").wait_for()
            state(page)
            for width in WIDTHS:
                _keep(_whole(page, width), FOLDER / f"{state.__name__}_{width}.webp")
            page.close()
        chromium.close()


def _whole(page: Page, width: int) -> bytes:
    """The page to its end: Streamlit scrolls inside, so the window is made as tall."""
    page.mouse.move(0, 0)
    page.set_viewport_size({"width": width, "height": 900})
    page.wait_for_timeout(1500)
    height = page.get_by_test_id("stMain").evaluate("main => main.scrollHeight")
    page.set_viewport_size({"width": width, "height": min(height, TALLEST_PX)})
    page.wait_for_timeout(1500)
    return page.screenshot()


def _keep(png: bytes, path: Path) -> None:
    with Image.open(io.BytesIO(png)) as picture:
        picture.save(path, quality=QUALITY, method=6)


if __name__ == "__main__":
    main(*sys.argv[1:])
