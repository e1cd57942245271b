"""Names that are markup, formulas or paths: shown as text on every page, and never made a path."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from math import radians
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from solver.errors import BrinkangleError
from tests.ui.served import Runs, served
from tests.ui.stand_in import sliding, toppling
from ui.app import PAGES
from ui.app_pages import class_record
from ui.bench.body_file import written
from ui.bench.examples import CARD_TUBE
from ui.record.record import Record
from ui.samples import FOLDER
from ui.uploads import keep

MARKUP = "<img src=x onerror=alert(1)>"
HOSTILE = {
    "title": f"L {MARKUP}",
    "group": "G [x](javascript:alert(2)) **b**",
    "body": "B $\\alpha$ :red[hot] `c`",
    "surface": "S <script>alert(3)</script>",
    "clip": "C <svg onload=alert(4)> www.elsewhere.example.mp4",
    "by": "P https://elsewhere.example :material/home:",
    "source": "Q ![i](http://elsewhere.example/i.png)",
}
MADE_OF_NAMES = (
    "img[src=x], #root script, svg[onload], a[href^=javascript], "
    "a[href*=elsewhere], img[src*=elsewhere], [aria-label='home icon']"
)
ODD_FILE_NAMES = (
    "../../../etc/passwd.mp4",
    "..\\..\\con.mp4",
    "/etc/passwd.mp4",
    "C:\\nul.mp4",
    "nul.mp4",
    "a\0b.mp4",
    "line\nbreak.mp4",
    "\u202egnp.mp4",
    "~/.ssh/id.mp4",
    "$(touch x).mp4",
    "=HYPERLINK(1).mp4",
    f"{'x' * 300}.mp4",
    ".mp4",
)


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A page whose record holds nothing but such names."""
    folder = tmp_path_factory.mktemp("hostile") / "data"
    record = Record(folder)
    _fill(record)
    record.close()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRINKANGLE_DATA", str(folder))
        patch.delenv("BRINKANGLE_RECORD", raising=False)
        with served() as address:
            yield address


def _fill(record: Record) -> None:
    lesson = record.add_lesson(HOSTILE["title"], date(2026, 11, 25))
    body = record.add_body(HOSTILE["body"], 0.0365, 0.0002, 0.15, note=HOSTILE["source"])
    surface = record.add_surface(HOSTILE["surface"])
    for i, (file, reading) in enumerate(
        (("leaf_tea_topples.mp4", toppling()), ("seed_tub_slides.mov", sliding()))
    ):
        group = record.add_group(lesson.id, f"{HOSTILE['group']} {i}")
        clip = record.add_clip(lesson.id, f"{i} {HOSTILE['clip']}", FOLDER / file).clip
        record.change(clip, group_id=group.id, body_id=body.id, surface_id=surface.id, repeat=i + 1)
        record.save_reading(clip.id, reading, 0.0365)
        record.add_student_reading(
            clip.id, HOSTILE["by"], radians(70), radians(1), MARKUP, slip=MARKUP
        )
    record.add_balance_reading(lesson.id, body.id, 0.07, "base", group.id)
    record.add_prediction(body.id, 0.1, 0.001, HOSTILE["source"])
    record.remove(record.add_group(lesson.id, HOSTILE["group"]))


class Visit:
    """A browser at the page, in which every step is seen to its end."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.runs = page, Runs(page)
        page.goto(address)
        self.runs.over()

    def go(self, name: str) -> None:
        self.page.get_by_role("link", name=PAGES[name]).click()
        expect(self.page.get_by_role("heading", name=PAGES[name], exact=True)).to_be_visible()
        self.runs.over()

    def choose(self, part: str) -> None:
        parts = self.page.get_by_test_id("stButtonGroup").first
        parts.get_by_text(part, exact=True).click()
        expect(parts.get_by_role("radio", name=part, exact=True)).to_be_checked()
        self.runs.over()

    def open_all(self) -> None:
        """All that is folded up."""
        self.page.evaluate(
            "document.querySelectorAll('details:not([open]) > summary').forEach(e => e.click())"
        )
        expect(self.page.locator("details:not([open])")).to_have_count(0)
        self.runs.over()

    def bring(self, name: str, content: str) -> None:
        """A file into the first place for one."""
        file = {"name": name, "mimeType": "application/toml", "buffer": content.encode()}
        self.page.locator("input[type=file]").first.set_input_files(file)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def visit(browser: Browser, address: str) -> Iterator[Visit]:
    page = browser.new_page(viewport={"width": 1280, "height": 1400})
    seen: list[str] = []
    page.on("dialog", lambda dialog: (seen.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: seen.append(request.url))
    yield Visit(page, address)
    page.close()
    assert [each for each in seen if not each.startswith((address, "data:", "blob:"))] == []


def made_of_names(page: Page) -> list[str]:
    """What a name was made into, if anything."""
    script = """which => [
        ...document.querySelectorAll(which),
        ...[...document.querySelectorAll('annotation')].filter(e => /alpha/.test(e.textContent)),
        ...[...document.querySelectorAll('code')].filter(e => e.textContent === 'c'),
    ].map(e => e.outerHTML.slice(0, 200))"""
    return list(page.evaluate(script, MADE_OF_NAMES))


@pytest.mark.parametrize("part", class_record.PARTS)
def test_the_class_record_shows_names_as_text(visit: Visit, part: str) -> None:
    visit.go("class_record")
    visit.choose(part)
    visit.open_all()
    assert visit.page.get_by_test_id("stException").count() == 0
    assert made_of_names(visit.page) == []


def test_results_are_drawn_under_those_names_and_tooltips_are_text(visit: Visit) -> None:
    visit.go("class_record")
    visit.choose(class_record.RESULTS)
    expect(visit.page.locator("main")).to_contain_text(HOSTILE["body"])
    visit.runs.over()
    hover_over_charts(visit.page)
    assert made_of_names(visit.page) == []


def test_checking_shows_names_as_text(visit: Visit) -> None:
    visit.go("check_a_reading")
    clip = visit.page.get_by_role("combobox", name="Your group's clip")
    assert HOSTILE["group"] in clip.input_value()
    hover_over_charts(visit.page)
    assert made_of_names(visit.page) == []


def hover_over_charts(page: Page) -> None:
    """Wake every tooltip there is, by sweeping over each chart."""
    charts = page.get_by_test_id("stVegaLiteChart")
    assert charts.count()
    for chart in charts.all():
        chart.scroll_into_view_if_needed()
        expect(chart.locator(".marks")).to_be_visible()
        box = chart.bounding_box()
        assert box
        for i in range(40):
            x, y = box["x"] + box["width"] * (i % 10) / 10, box["y"] + box["height"] * (i // 10) / 4
            page.mouse.move(x, y + 10)
        assert made_of_names(page) == []


def test_a_body_file_with_such_names_is_drawn_as_text(visit: Visit) -> None:
    visit.go("build_a_body")
    text = written(CARD_TUBE).replace(f'name = "{CARD_TUBE.name}"', f"name = '{MARKUP}'", 1)
    text = re.sub(r'(\[\[part\]\]\nname = )"[^"]*"', rf"\1'{HOSTILE['surface']}'", text)
    assert MARKUP in text and HOSTILE["surface"] in text
    visit.bring(f"{MARKUP}.body.toml", text)
    expect(visit.page.locator("main")).to_contain_text(MARKUP)
    visit.runs.over()
    assert made_of_names(visit.page) == []


def test_hand_outs_show_names_as_text(visit: Visit) -> None:
    visit.go("hand_outs")
    assert made_of_names(visit.page) == []


@pytest.mark.parametrize("name", ODD_FILE_NAMES)
def test_a_file_name_is_never_made_a_path(tmp_path: Path, name: str) -> None:
    record = Record(tmp_path / "data")
    lesson = record.add_lesson("Toppling, set B", date(2026, 11, 25))
    folder = tmp_path / "uploads"
    folder.mkdir()
    content = (FOLDER / "leaf_tea_topples.mp4").read_bytes()
    before = set(tmp_path.parent.rglob("*"))
    try:
        paths = [
            record.clip_path(record.add_clip(lesson.id, name, content).clip),
            keep(name, content, folder).path,
        ]
    except BrinkangleError as refused:
        assert str(refused)
        paths = []
    finally:
        record.close()
    for path in paths:
        assert path.parent in (folder, tmp_path / "data" / "clips")
        assert re.fullmatch(r"clip-[0-9a-f-]+\.mp4", path.name)
    new = set(tmp_path.parent.rglob("*")) - before
    assert all(each.is_relative_to(tmp_path) for each in new)
