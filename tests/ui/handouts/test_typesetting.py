"""The PDFs as files: paper, accessibility, and words that stay words."""

from __future__ import annotations

import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.ui.handouts.lessons import MARKUP, named
from tests.ui.handouts.paper_reader import SIZES_MM, pages, sizes_mm, title, words
from ui.bench.examples import CARD_TUBE
from ui.handouts.content import Kind, Lesson, Paper
from ui.handouts.demo import invented_lesson
from ui.handouts.making import Task, Wanted, tasks
from ui.handouts.sheets_before import lesson_sheet
from ui.handouts.sheets_cards import CardSet
from ui.handouts.typesetting import Sheet, as_pdf, as_pictures

CARDS = CardSet(CARD_TUBE, example=True)
COMMON = ("#set page(fill: red)", "$x^2$", "*bold*", "_it_", "@ref", "<tag>", '[b] "q"', "`c`")


def sheet_of(kind: Kind, lesson: Lesson) -> Sheet:
    (first, *_) = tasks(lesson, Wanted((kind,), Paper.A4, CARDS))
    assert isinstance(first, Task)
    return first.write()


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("kind", Kind)
def test_every_page_has_the_papers_size_and_every_sheet_a_title(kind: Kind, paper: Paper) -> None:
    pdf = as_pdf(sheet_of(kind, invented_lesson()), paper)
    for size in sizes_mm(pdf):
        assert size == pytest.approx(SIZES_MM[paper], abs=0.05)
    assert title(pdf).startswith("Where is the tin's centre?: ")


@pytest.mark.parametrize("kind", Kind)
def test_a_screen_reader_can_follow_it(kind: Kind) -> None:
    """PDF/UA-1 (ISO 14289-1), as Typst checks it: tags, titles, alternative texts."""
    assert as_pdf(sheet_of(kind, invented_lesson()), Paper.A4, ("ua-1",)).startswith(b"%PDF")


def test_a_drawing_without_words_for_it_would_be_found_out() -> None:
    blind = b'#set document(title: "T")\n#set page("a4")\n$ x = r / tan(theta) $'
    with pytest.raises(typst.TypstError, match="alt"):
        typst.compile(blind, format="pdf", pdf_standards="ua-1")


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.CARDS])
def test_words_that_look_like_markup_are_printed_as_they_are(kind: Kind) -> None:
    said = words(as_pdf(sheet_of(kind, named(MARKUP)), Paper.A4))
    assert all(part in said for part in COMMON if kind is not Kind.WORKSHEET)
    assert "#set page" in said


@settings(max_examples=25)
@given(st.text(max_size=120))
def test_no_name_whatever_stops_a_sheet(name: str) -> None:
    assert as_pdf(lesson_sheet(named(name)), Paper.A4).startswith(b"%PDF")


@pytest.mark.parametrize("kind", (Kind.GROUP, Kind.CLASS, Kind.ANSWERS, Kind.WORKSHEET))
@pytest.mark.parametrize("name", ["", "x" * 500, "\u202e\x00\n", "مجموعة 桌子 Стол 👩‍🔬"])
def test_odd_names_are_printed_too(kind: Kind, name: str) -> None:
    assert as_pdf(sheet_of(kind, named(name)), Paper.LETTER).startswith(b"%PDF")


@pytest.mark.parametrize("kind", Kind)
def test_an_invented_lesson_says_so_on_every_page(kind: Kind) -> None:
    for page in pages(as_pdf(sheet_of(kind, invented_lesson()), Paper.A4)):
        assert "Invented example: no real lesson" in page


def test_a_page_can_be_looked_at_before_it_is_printed() -> None:
    first, *_ = as_pictures(sheet_of(Kind.GROUP, invented_lesson()), Paper.A4, 30)
    (only,) = as_pictures(Sheet("worked_answers", _bare()), Paper.A4, 30)
    assert first.startswith(b"\x89PNG") and only.startswith(b"\x89PNG")


def _bare() -> dict[str, object]:
    return {"lesson": "L", "day": "1 May 2026", "mark": "", "bodies": [], "surfaces": []}


def test_fonts_are_inside(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """Every font is embedded, so that any printer prints the same."""
    path = tmp_path / "sheet.pdf"
    path.write_bytes(as_pdf(sheet_of(Kind.ANSWERS, invented_lesson()), Paper.A4))
    for page in PdfReader(path).pages:
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font.get_object()["/DescendantFonts"]
            descriptor = inner.get_object()["/FontDescriptor"].get_object()
            assert "/FontFile3" in descriptor or "/FontFile2" in descriptor
