"""What the sheets say, kind by kind."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import pytest
from uncertainties import nominal_value

from solver.errors import ClipFormatError, InputError, UnreachableError
from solver.quantities import MILLIMETRE
from tests.ui.handouts.lessons import empty, large, unmoved
from tests.ui.handouts.paper_reader import pages, words
from ui.bench.examples import CARD_TUBE, SEED_TUB
from ui.handouts import demo
from ui.handouts.content import Lesson, Paper, beside_others, mean_of, value_of
from ui.handouts.demo import invented_lesson
from ui.handouts.pictures import as_jpeg
from ui.handouts.sheets_answers import worked_answers
from ui.handouts.sheets_before import lesson_sheet, worksheet
from ui.handouts.sheets_cards import CardSet, challenge_cards
from ui.handouts.sheets_class import class_report
from ui.handouts.sheets_group import group_report
from ui.handouts.typesetting import Sheet, as_pdf
from ui.words import FIRST, SAFETY, interval
from vision.reading import Outcome

CARDS = CardSet(CARD_TUBE, example=True)


def said(sheet: Sheet, paper: Paper = Paper.A4) -> str:
    return words(as_pdf(sheet, paper))


def test_the_lesson_sheet_puts_the_schools_own_rules_first() -> None:
    text = said(lesson_sheet(invented_lesson()))
    assert text.index(FIRST[:40]) < text.index("What the class finds out")
    assert all(caution in text for caution in SAFETY)
    assert "Frame the board, not the pupils." in text
    assert "34.00 mm ± 0.39 mm" in text
    assert "cork mat and planed board" in text


def test_a_lesson_of_which_nothing_is_known_can_be_planned() -> None:
    text = said(lesson_sheet(empty()))
    assert "bodies with a round base" in text
    assert "a rougher mat" in text


@pytest.mark.parametrize("paper", Paper)
def test_the_worksheet_is_two_pages_with_no_answer_on_them(paper: Paper) -> None:
    first, second = pages(as_pdf(worksheet(invented_lesson()), paper))
    assert "1 The brink" in first and "3 Measure" in first
    assert "4 Work it out" in second and "7 Slide or topple?" in second
    for answer in ("22.", "85.2", "84.2", "r/ tan", "34.00"):
        assert answer not in first + second


def test_the_worked_answers_are_those_of_the_class() -> None:
    text = said(worked_answers(invented_lesson()))
    pooled = invented_lesson().bodies[0].toppling.pooled
    assert interval(pooled.result, MILLIMETRE) in text
    assert "21.9°, 22.3°, 22.1°" in text
    nearest = 34.0 / tan(radians(21.8))
    assert f"({nearest:.1f} ± " in text
    assert f"would be {34.0 / tan(radians(22.8)):.1f} mm" in text


def test_cards_keep_their_answers_on_a_page_of_their_own() -> None:
    cards, answers = pages(as_pdf(challenge_cards(invented_lesson(), CARDS), Paper.A4))
    assert cards.count("Make the card tube topple at") == 6
    assert "27.5°" in cards and "23.7 mm" not in cards
    assert "Keep this sheet" in answers and "23.7 mm" in answers


def test_many_cards_fill_more_pages_and_the_seed_makes_the_same_again() -> None:
    def numbers(seed: int) -> list[str]:
        data = challenge_cards(empty(), CardSet(CARD_TUBE, 8, seed)).data
        return [card["angle"] for card in data["cards"]]

    assert numbers(1) == numbers(1) != numbers(2)
    eight = as_pdf(challenge_cards(empty(), CardSet(CARD_TUBE, 8)), Paper.A4)
    assert len(pages(eight)) == 3


def test_cards_of_an_example_body_say_so_in_a_real_lesson() -> None:
    assert "Example body: measure your own" in said(challenge_cards(empty(), CARDS))
    assert "Example body" not in said(challenge_cards(empty(), CardSet(CARD_TUBE)))


def test_cards_need_a_rod_and_as_many_answers_as_cards() -> None:
    with pytest.raises(InputError, match="seed tub has no rod"):
        challenge_cards(empty(), CardSet(SEED_TUB))
    with pytest.raises(UnreachableError, match="Only"):
        challenge_cards(empty(), CardSet(CARD_TUBE, 500))


CLASSES = [(1, 1, 1), (1, 8, 6), (4, 3, 10)]
"""Bodies, clips of each, groups."""


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("size", CLASSES, ids="{0[0]} bodies, {0[1]} clips, {0[2]} groups".format)
def test_a_groups_report_is_one_page_with_frames_on_it(
    size: tuple[int, int, int], paper: Paper
) -> None:
    sheet = group_report(large(*size), ["Table 1"])
    pdf = as_pdf(sheet, paper)
    assert len(pages(pdf)) == 1
    assert len(sheet.pictures) == (3 if size[0] == 1 else min(3, size[0]))
    assert "brink: 7.87 s" in words(pdf)


def test_a_report_for_all_has_a_page_for_each() -> None:
    lesson = invented_lesson()
    found = pages(as_pdf(group_report(lesson, lesson.groups), Paper.A4))
    assert len(found) == len(lesson.groups) == 4
    for group, page in zip(lesson.groups, found, strict=True):
        own = mean_of(lesson.bodies[0].toppling, group)
        assert f"leaf tea tin: 𝑥 = {interval(own.result, MILLIMETRE)}" in page


def test_a_group_sees_that_it_lies_apart_and_from_whom() -> None:
    text = said(group_report(invented_lesson(), ["Table 3"]))
    assert "above that by the other groups" in text
    assert "so they do not agree" in text


def test_a_group_is_told_why_a_clip_gave_nothing() -> None:
    text = said(group_report(invented_lesson(), ["Table 2"]))
    assert "not read" in text
    assert "The board left the picture before the body moved." in text


def test_a_group_whose_bodies_only_slid_has_a_page_too() -> None:
    lesson = invented_lesson()
    clips = tuple(clip for clip in lesson.view.clips if clip.body_id == demo.TUB.id)
    slid = Lesson(_with_clips(lesson, clips), lambda clip: (), unmoved)
    text = said(group_report(slid, ["Table 1"]))
    assert "seed tub on planed board: 𝜇 = 0.377 ± 0.070" in text
    assert "The working" in text and "the normal reaction" in text


def test_a_group_alone_is_told_that_there_is_nothing_to_compare_with() -> None:
    lesson = large(1, 1, 1)
    alone = Lesson(replace(lesson.view, predictions=()), lesson.pictures_of, unmoved)
    (page,) = pages(as_pdf(group_report(alone, ["Table 1"]), Paper.A4))
    assert "How it compares With nothing yet: no other group" in page
    assert "In your words" in page


def test_a_body_that_stayed_still_says_how_high_its_centre_can_be() -> None:
    lesson = large(1, 1, 1)
    stayed = replace(lesson.view.readings[0], outcome=Outcome.STAYS, angle_rad=None, budget=())
    view = replace(lesson.view, readings=(stayed,))
    text = said(group_report(Lesson(view, lambda clip: (), unmoved), ["Table 1"]))
    assert "its centre of mass lies lower than about" in text
    assert "No clip of this group toppled or slid yet." in text


def test_the_class_report_holds_pool_precision_and_what_stands_out() -> None:
    text = said(class_report(invented_lesson()))
    pooled = invented_lesson().bodies[0].toppling.pooled
    assert f"𝑥 = {interval(pooled.result, MILLIMETRE)}" in text
    assert f"{pooled.precision.repeatability * 1000:.1f} mm (repeats of one group)" in text
    assert "Table 3" in text and "a straggler" in text
    assert "it is still in the mean" in text
    assert "Table 2, pupil 7 158.0° 21.7° +136.3° no read from the other end of the scale" in text
    assert "Table 4 24.5° 22.2° +2.3° no read after the body had moved" in text
    assert "by 2 readings" in text and "Not among these: 1 reading grossly off." in text
    assert "What to discuss" in text
    assert "table2_tub_1.mp4 of Table 2 could not be read." in text


def test_two_groups_are_told_why_the_interval_of_the_class_is_wide() -> None:
    text = said(class_report(large(1, 3, 2)))
    assert "Two groups can hardly show how far groups differ, so the interval is wide." in text
    assert "Two groups" not in said(class_report(large(1, 3, 3)))


@pytest.mark.parametrize(("groups", "paper"), [(8, Paper.LETTER), (9, Paper.A4)])
def test_a_class_report_a_line_or_two_too_long_is_set_closer(groups: int, paper: Paper) -> None:
    assert len(pages(as_pdf(class_report(large(1, 2, groups)), paper))) == 1


def test_what_to_discuss_goes_to_the_next_page_as_a_whole() -> None:
    first, second = pages(as_pdf(class_report(large(1, 2, 10)), Paper.LETTER))
    assert "What to discuss" not in first and "What to discuss" in second
    assert "For the leaf tea tin the groups differ" in second


def test_a_class_without_readings_is_told_so() -> None:
    assert "No clip of this lesson has been measured yet" in said(class_report(empty()))


def test_a_group_is_compared_with_the_others_alone() -> None:
    """Its own clips are not among those it is compared with."""
    (found,) = large(1, 3, 4).bodies
    beside = beside_others(found.toppling, "Table 1")
    values = {r.group: [] for r in found.toppling.repeats}  # type: ignore[var-annotated]
    for repeat in found.toppling.repeats:
        values[repeat.group].append(nominal_value(repeat.value))
    means = {group: sum(own) / len(own) for group, own in values.items()}
    others = [means[group] for group in means if group != "Table 1"]
    expected = means["Table 1"] - sum(others) / len(others)
    assert nominal_value(beside.agreement.difference) == pytest.approx(expected, rel=0.01)
    assert beside_others(large(1, 3, 1).bodies[0].toppling, "Table 1") is None


def test_what_a_clip_gave() -> None:
    by_outcome = {clip.reading.outcome: clip for clip in invented_lesson().clips}
    values = {str(outcome): value_of(clip) for outcome, clip in by_outcome.items()}
    assert nominal_value(values["topples"]) == pytest.approx(0.034 / tan(radians(22.4)))
    assert nominal_value(values["slides"]) == pytest.approx(tan(radians(21.4)))
    assert values["unreadable"] is None


def test_a_frame_that_is_no_picture_is_refused() -> None:
    for content in (b"", b"no picture"):
        with pytest.raises(ClipFormatError, match="Measure its clip again"):
            as_jpeg(content)


def _with_clips(lesson: Lesson, clips):  # type: ignore[no-untyped-def]
    kept = {clip.id for clip in clips}
    readings = tuple(each for each in lesson.view.readings if each.clip_id in kept)
    return replace(lesson.view, clips=clips, readings=readings, student_readings=())
