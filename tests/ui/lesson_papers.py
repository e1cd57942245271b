"""A lesson's papers as they come out of the browser: read, and their pages measured."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.ui.handouts.paper_reader import SIZES_MM, sizes_mm, title, words
from tests.ui.served import drawn
from ui.handouts.choosing import PAPERS, TOLD
from ui.handouts.content import Kind, Paper
from ui.words import SAFETY

PATIENCE_MS = 120_000
FILES = {kind: f"{kind}.pdf" for kind in Kind} | {Kind.GROUP: "group-reports.pdf"}
"""The file that holds all of a kind."""


def open_papers(page: Page) -> None:
    """Go to the page, and tick every kind."""
    page.get_by_role("link", name="Hand-outs").click()
    expect(page.get_by_role("heading", name="Hand-outs", exact=True)).to_be_visible()
    for name, _ in TOLD.values():
        page.get_by_text(name, exact=True).click()
        expect(page.get_by_role("checkbox", name=name)).to_be_checked()


def papers(page: Page, paper: Paper, folder: Path) -> dict[str, bytes]:
    """All that is ticked, made on the page and taken down as one file; by name."""
    main = page.get_by_test_id("stMain")
    main.get_by_text(PAPERS[paper], exact=True).click()
    expect(main.get_by_role("radio", name=PAPERS[paper])).to_be_checked()
    zipped = page.get_by_role("button", name="All as one zip")
    changed = page.get_by_text("The choice above has changed")
    if zipped.count():  # of the paper chosen before
        expect(changed).to_be_visible()
    page.get_by_role("button", name="Make the hand-outs").click()
    expect(changed).to_have_count(0, timeout=PATIENCE_MS)
    expect(zipped).to_be_visible(timeout=PATIENCE_MS)
    drawn(page)
    path = download(page, "All as one zip", folder / f"{paper}.zip")
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def download(page: Page, button: str, path: Path) -> Path:
    with page.expect_download() as saved:
        page.get_by_role("button", name=button).click()
    saved.value.save_as(path)
    return path


def see_sizes_and_titles(made: dict[str, bytes], paper: Paper, lesson: str) -> None:
    """Each kind is there, says what it is, and every page of it is the paper asked for."""
    for kind, name in FILES.items():
        assert title(made[name]).startswith(f"{lesson}: {TOLD[kind][0].removesuffix('s')}")
        for size in sizes_mm(made[name]):
            assert size == pytest.approx(SIZES_MM[paper], abs=0.2)


def see_what_papers_say(
    made: dict[str, bytes], lesson: str, height: str, angles_deg: dict[str, float]
) -> None:
    """What the page showed stands on paper: the class's height, each group's angle."""
    said = {kind: words(made[name]) for kind, name in FILES.items()}
    assert all(lesson in text for kind, text in said.items() if kind is not Kind.PROTRACTOR)
    assert all(caution in said[Kind.LESSON] for caution in SAFETY)
    assert height not in said[Kind.WORKSHEET]
    assert "Make the card tube topple at" in said[Kind.CARDS]
    assert f"𝑥 = {height}" in said[Kind.CLASS]
    assert "By 1 clip 𝜇 = " in said[Kind.ANSWERS]
    assert f"by all groups together 𝑥 = {height}" in said[Kind.ANSWERS]
    for group, angle_deg in angles_deg.items():
        assert f"{group} {angle_deg:.1f}°" in said[Kind.ANSWERS]
        own = words(made[f"group-report-{group.replace(' ', '_')}.pdf"])
        assert own in said[Kind.GROUP] and group in said[Kind.CLASS]
        assert f"the class: {height}" in own
        assert re.search(rf"toppled {angle_deg:.2f}° ± 0\.\d\d°", own)


def see_the_class_report(report: bytes) -> None:
    """Slips by name, what could not be read, and what a few readings cannot show."""
    text = words(report)
    assert "Table 1, pupil 7" in text and "read from the other end of the scale" in text
    assert "Table 1, pupil 8" in text and "mm for cm" in text
    assert "table1_tube_1.mp4 of Table 1 could not be read" in text
    assert "One reading shows no scatter: repeat it." in text  # of the tub, which one group slid
