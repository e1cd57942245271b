from __future__ import annotations

import io
import zipfile

from tests.ui.handouts.lessons import empty, large, named, unmoved
from ui.bench.examples import CARD_TUBE, SEED_TUB
from ui.handouts.content import NEEDS_READINGS, Kind, Lesson, Paper
from ui.handouts.demo import invented_lesson
from ui.handouts.making import Made, Refused, Wanted, made, tasks, zip_name, zipped
from ui.handouts.sheets_cards import CardSet
from vision.reading import EvidencePicture

CARDS = CardSet(CARD_TUBE, example=True)


def all_of(lesson: Lesson, *kinds: Kind, cards: CardSet = CARDS) -> list[Made | Refused]:
    wanted = Wanted(kinds or tuple(Kind), Paper.A4, cards)
    return list(made(tasks(lesson, wanted), wanted.paper))


def test_every_kind_becomes_a_file_and_every_group_one_of_its_own() -> None:
    files = all_of(invented_lesson())
    assert all(isinstance(each, Made) for each in files)
    names = [each.name for each in files if isinstance(each, Made)]
    assert names == [
        "lesson-sheet.pdf",
        "worksheet.pdf",
        "protractor.pdf",
        "challenge-cards.pdf",
        "worked-answers.pdf",
        "group-reports.pdf",
        *[f"group-report-Table_{n}.pdf" for n in (1, 2, 3, 4)],
        "class-report.pdf",
    ]
    assert [each.name for each in files if isinstance(each, Made) and each.part] == names[6:10]


def test_one_group_alone_has_one_file() -> None:
    (only,) = all_of(large(1, 2, 1), Kind.GROUP)
    assert isinstance(only, Made) and only.name == "group-reports.pdf" and not only.part


def test_what_needs_readings_is_refused_until_there_are_some() -> None:
    files = all_of(empty())
    refused = [each for each in files if isinstance(each, Refused)]
    assert [each.kind for each in refused] == list(NEEDS_READINGS)
    assert all("'Class record'" in each.reason for each in refused)
    assert sum(isinstance(each, Made) for each in files) == 4


def test_one_that_cannot_be_made_stops_no_other() -> None:
    cards, sheet = all_of(empty(), Kind.CARDS, Kind.WORKSHEET, cards=CardSet(SEED_TUB))
    assert isinstance(cards, Refused) and "no rod" in cards.reason
    assert isinstance(sheet, Made)


def test_a_broken_frame_refuses_the_groups_report_alone() -> None:
    broken = (EvidencePicture("brink", 1, 1.0, b"no picture"),)
    lesson = Lesson(invented_lesson().view, lambda clip: broken, unmoved)
    files = all_of(lesson, Kind.GROUP, Kind.CLASS)
    assert isinstance(files[0], Refused) and "no picture" in files[0].reason
    assert isinstance(files[-1], Made)


def test_names_of_groups_never_become_paths() -> None:
    files = all_of(named("/../../etc/passwd"), Kind.GROUP)
    names = [each.name for each in files if isinstance(each, Made)]
    assert len(set(names)) == len(names) == 5
    assert not any("/" in name or ".." in name for name in names)
    assert zip_name(named("../../a b")) == "hand-outs-a_b.zip"


def test_all_as_one_zip() -> None:
    files = all_of(empty(), Kind.LESSON, Kind.PROTRACTOR)
    content = zipped([each for each in files if isinstance(each, Made)])
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.namelist() == ["lesson-sheet.pdf", "protractor.pdf"]
        assert archive.read("protractor.pdf").startswith(b"%PDF")
