"""The page 'Hand-outs' in a browser: papers of a lesson in the record, downloaded and read."""

from __future__ import annotations

import zipfile
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser, expect

from tests.ui import stand_in
from tests.ui.handouts.paper_reader import words
from tests.ui.served import drawn, served
from tests.vision.odd_clips import write_clip
from ui.record.record import Record

TITLE = "Tins & <b>tubs</b> #1"


def fill(folder: Path) -> None:
    """A lesson with one measured clip."""
    record = Record(folder)
    lesson = record.add_lesson(TITLE, date(2026, 11, 24))
    group = record.add_group(lesson.id, "Table 1")
    body = record.add_body("leaf tea tin", 0.034, 0.0002, 0.21)
    film = write_clip(folder / "table1_tea_1.mp4", np.arange(12) / 30)
    clip = record.add_clip(lesson.id, film.name, film).clip
    record.change(clip, group_id=group.id, body_id=body.id)
    record.save_reading(clip.id, stand_in.toppling(stand_in.brink_deg(22.0)), 0.034)
    record.close()


def test_papers_are_made_looked_at_and_downloaded(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = tmp_path / "kept"
    data.mkdir()
    monkeypatch.delenv("BRINKANGLE_RECORD", raising=False)
    monkeypatch.setenv("BRINKANGLE_DATA", str(data))
    fill(data)
    with served() as address:
        page = browser.new_page(viewport={"width": 390, "height": 900})
        page.goto(f"{address}/hand-outs")
        expect(page.get_by_role("checkbox", name="Class report")).to_be_enabled()
        for kind in ("Protractor", "Group reports", "Class report"):
            page.get_by_text(kind, exact=True).click()
            expect(page.get_by_role("checkbox", name=kind)).to_be_checked()
            drawn(page)
        page.get_by_text("Letter", exact=True).click()
        expect(page.get_by_role("radio", name="Letter")).to_be_checked()
        drawn(page)
        page.get_by_role("button", name="Make the hand-outs").click()
        expect(page.get_by_role("heading", name=f"For {TITLE}")).to_be_visible()
        drawn(page)
        with page.expect_download() as waiting:
            page.get_by_role("button", name="All as one zip").click()
        path = tmp_path / "papers.zip"
        waiting.value.save_as(path)
        overflow = page.evaluate("document.documentElement.scrollWidth > window.innerWidth")
        page.close()
    assert not overflow
    with zipfile.ZipFile(path) as archive:
        names = ["protractor.pdf", "group-reports.pdf", "class-report.pdf"]
        assert archive.namelist() == names
        report = words(archive.read("group-reports.pdf"))
    assert "Table 1" in report and "22.00° ± 0.38°" in report
    assert TITLE in report
