"""The bench's pages, driven without a browser."""

from __future__ import annotations

import re
from math import atan, degrees, radians, tan
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

import ui
from solver.quantities import measured
from ui.bench.bench_body import DRAFT
from ui.bench.body_file import written
from ui.bench.carried import KEY, CarriedCentre
from ui.bench.examples import CARD_TUBE, EXAMPLES, LEAF_TEA_TIN

PAGES = Path(ui.__file__).parent / "app_pages"
BUILD, BALANCE, PUSH = "build_a_body.py", "edge_balance.py", "slide_or_topple.py"


def opened(name: str) -> AppTest:
    page = AppTest.from_file(str(PAGES / name), default_timeout=60).run()
    assert not page.exception
    return page


def shown(page: AppTest, label: str) -> float:
    """The number under a label."""
    (metric,) = [each for each in page.metric if each.label == label]
    return float(re.findall(r"\d+\.?\d*", metric.value)[0])


def number(page: AppTest, key: str):  # type: ignore[no-untyped-def]
    """The number field whose key ends so."""
    return next(field for field in page.number_input if field.key and field.key.endswith(key))


def button(page: AppTest, label: str):  # type: ignore[no-untyped-def]
    return next(each for each in page.button if each.label == label)


def choose(page: AppTest, key: str, option: object) -> None:
    group = next(each for each in page.button_group if each.key and each.key.endswith(key))
    group.select(option).run()
    assert not page.exception


def drawing(page: AppTest) -> str:
    return next(text.value for text in page.markdown if "<svg" in text.value)


def working(page: AppTest) -> list[str]:
    return [each.value for each in page.latex]


def test_a_body_is_predicted_drawn_and_worked_out() -> None:
    page = opened(BUILD)
    assert shown(page, "It topples at") == pytest.approx(32.39, abs=0.01)
    assert "x = 57.5 mm" in drawing(page)
    assert any(r"x = \left(57.53 \pm 0.42\right)" in line for line in working(page))
    assert any("come before this page" in text.value for text in page.markdown)


@pytest.mark.parametrize("sheet", EXAMPLES, ids=lambda sheet: sheet.name)
def test_every_example_is_shown(sheet) -> None:  # type: ignore[no-untyped-def]
    page = opened(BUILD)
    page.selectbox(key="bench example").select(sheet.name).run()
    assert not page.exception and not page.error
    brink = sheet.whole().brink_rad(sheet.base.tips).nominal_value
    assert shown(page, "It topples at") == pytest.approx(degrees(brink), abs=0.05)


def test_moving_the_lump_by_number_moves_its_slider_and_the_brink() -> None:
    page = opened(BUILD)
    number(page, " place").set_value(80.0).run()
    slider = next(each for each in page.slider if each.key and each.key.endswith(" place slider"))
    assert slider.value == 80.0
    x = (48 * 55 + 16 * 110 + 8 * 50 + 60 * 80) / 146
    assert shown(page, "It topples at") == pytest.approx(degrees(atan(36.5 / x)), abs=0.01)
    slider.set_value(40.0).run()
    assert number(page, " place").value == 40.0
    assert shown(page, "It topples at") == pytest.approx(36.51, abs=0.01)


def test_a_part_keeps_what_was_typed_while_another_is_in_hand() -> None:
    page = opened(BUILD)
    number(page, "tube mass").set_value(60.0).run()
    heavier = shown(page, "Its centre is up at")
    first, second, _ = page.session_state[DRAFT].parts
    choose(page, " in hand", second)
    assert number(page, "disc mass").value == 14.0
    assert shown(page, "Its centre is up at") == heavier
    button(page, "Add a part").click().run()
    assert shown(page, "Its centre is up at") != heavier
    button(page, "Remove this part").click().run()
    choose(page, " in hand", first)
    assert shown(page, "Its centre is up at") == heavier
    assert number(page, "tube mass").value == 60.0


def test_a_click_on_what_is_chosen_leaves_it_chosen() -> None:
    page = opened(BUILD)
    choose(page, "lump question", "Set an angle")
    choose(page, "lump question", None)
    assert not page.exception and shown(page, "Put the lump at") > 0


def test_a_lump_off_the_rod_is_refused_with_the_range() -> None:
    page = opened(BUILD)
    number(page, " place").set_value(140.0).run()
    assert "at least 8 mm and at most 92 mm" in page.error[0].value.replace("\\", "")
    assert not page.metric


def test_centimetres_typed_as_millimetres_are_doubted() -> None:
    page = opened(BUILD)
    number(page, "base radius").set_value(3.65).run()
    assert any("check the unit" in warning.value for warning in page.warning)


def test_a_name_with_marks_in_it_is_shown_as_text() -> None:
    page = opened(BUILD)
    name = next(each for each in page.text_input if each.label == "Name of the body")
    name.set_value("<b>*tin*</b>").run()
    assert "<b>" not in drawing(page) and "&lt;b&gt;" in drawing(page)


X, X0, M0 = 36.5 / tan(radians(31)), (48 * 55 + 16 * 110 + 8 * 50) / 86, 86.0
"""Centre height at a brink of 31°; centre height and mass of tin and rod; mm and g."""


@pytest.mark.parametrize(
    ("question", "field", "label", "value"),
    [
        ("Find its place", "place angle", "The lump's centre is at", X + M0 / 60 * (X - X0)),
        ("Find its mass", "mass angle", "The lump's mass is", M0 * (X - X0) / (90 - X)),
        ("Set an angle", "aim angle", "Put the lump at", X + M0 / 60 * (X - X0)),
    ],
)
def test_the_lump_is_found_from_an_angle(
    question: str, field: str, label: str, value: float
) -> None:
    page = opened(BUILD)
    choose(page, "lump question", question)
    assert not page.error
    if field == "mass angle":
        number(page, "mass at").set_value(90.0)
    number(page, field).set_value(31.0).run()
    assert not page.error
    assert shown(page, label) == pytest.approx(value, rel=0.01)


def test_both_are_found_from_two_angles() -> None:
    page = opened(BUILD)
    choose(page, "lump question", "Find both")
    assert not page.error
    assert shown(page, "The lump's mass is") == pytest.approx(60, abs=1)
    number(page, "both first angle").set_value(30.0)
    number(page, "both second angle").set_value(35.0)
    number(page, "both shift").set_value(-28.0).run()
    assert shown(page, "The lump's mass is") == pytest.approx(56, abs=1)
    assert shown(page, "It was first at") == pytest.approx(74.5, abs=0.2)


def test_an_angle_beyond_reach_is_refused_with_the_reach() -> None:
    page = opened(BUILD)
    choose(page, "lump question", "Set an angle")
    number(page, "aim angle").set_value(60.0).run()
    assert "27.31° and 45.26°" in page.error[0].value.replace("\\", "")


def test_cards_show_their_answers_on_request_alone() -> None:
    page = opened(BUILD)
    choose(page, "lump question", "Challenge cards")
    cards = page.dataframe[0].value
    assert len(cards) == 6 and "place of the lump" not in cards
    page.toggle(key="cards answers").set_value(True).run()
    assert "place of the lump" in page.dataframe[0].value


def test_a_saved_body_is_opened_and_a_bad_file_refused() -> None:
    page = opened(BUILD)
    upload = page.get("file_uploader")
    assert upload
    upload[0].set_value(("tube.body.toml", written(CARD_TUBE).encode(), "application/toml")).run()
    assert shown(page, "It topples at") == pytest.approx(17.19, abs=0.01)
    bad = written(LEAF_TEA_TIN).replace("radius_mm", "radius_cm")
    page.get("file_uploader")[0].set_value(("bad.toml", bad.encode(), "application/toml")).run()
    assert "radius_mm is missing" in page.error[0].value.replace("\\", "")
    assert shown(page, "It topples at") == pytest.approx(17.19, abs=0.01)


def clip_centre() -> CarriedCentre:
    return CarriedCentre(
        "table4.mp4",
        measured(0.0580, 0.0004, "clip"),
        measured(0.0365, 0.0002, "radius"),
        measured(0.562, 0.004, "angle"),
    )


def with_clip(name: str) -> AppTest:
    page = AppTest.from_file(str(PAGES / name), default_timeout=60)
    page.session_state[KEY] = clip_centre()
    page.run()
    assert not page.exception
    return page


def test_a_carried_centre_is_compared_with_the_prediction() -> None:
    words = with_clip(BUILD).info[0].value.replace("\\", "")
    assert "predicted lies" in words and "table4.mp4" in words and "they agree" in words


def test_a_balance_is_predicted_before_it_is_read() -> None:
    page = opened(BALANCE)
    assert shown(page, "Predicted overhang of the base") == pytest.approx(55.5, abs=0.1)
    button(page, "Try it with invented readings").click().run()
    assert shown(page, "Its centre is up at") == pytest.approx(57.6, abs=0.1)
    assert any("The centre by balancing" in text.value for text in page.markdown)
    assert working(page)


def test_a_balance_is_compared_with_the_clip() -> None:
    page = with_clip(BALANCE)
    page.text_area[0].set_value("55.2, 56.1  55.6").run()
    lines = [text.value.replace("\\", "") for text in page.markdown]
    assert any("that by toppling" in line and "they agree" in line for line in lines)


@pytest.mark.parametrize(
    ("typed", "words"), [("55 tin", "'tin' is no number"), ("155", "less than 108 mm")]
)
def test_a_balance_that_cannot_be_is_refused(typed: str, words: str) -> None:
    page = opened(BALANCE)
    page.text_area[0].set_value(typed).run()
    assert words in page.error[0].value.replace("\\", "")


def test_a_push_is_judged_and_drawn() -> None:
    page = opened(PUSH)
    assert "slides first" in page.success[0].value
    assert "friction 0.64 N" in drawing(page)
    number(page, "push height leaf tea tin").set_value(80.0).run()
    assert "Too close to call" in page.warning[0].value
    number(page, "push height leaf tea tin").set_value(110.0).run()
    assert "topples first" in page.success[0].value


def test_a_board_is_raised_instead() -> None:
    page = opened(PUSH)
    choose(page, "push what", "Raise the board")
    assert shown(page, "It would slide at") == pytest.approx(24.2, abs=0.1)
    assert shown(page, "It would topple at") == pytest.approx(32.39, abs=0.01)


def test_friction_comes_from_sliding_clips_or_by_surface() -> None:
    page = opened(PUSH)
    choose(page, "friction how", "From sliding clips")
    assert "Give the tilts" in page.error[0].value
    page.text_area[0].set_value("24.1 25.0 23.6").run()
    assert not page.error and any("tan" in line for line in working(page))
    choose(page, "friction how", "By surface")
    assert shown(page, "It slides from") == pytest.approx(0.2 * 0.146 * 9.81, abs=0.01)


def test_a_tilt_at_which_it_would_not_rest_is_refused() -> None:
    page = opened(PUSH)
    number(page, "push tilt").set_value(30.0).run()
    assert "slides by itself at 24.23°" in page.error[0].value.replace("\\", "")


def test_the_carried_centre_is_pushed() -> None:
    page = with_clip(PUSH)
    choose(page, "push where", "From the clip")
    assert not page.error
    assert shown(page, "Both at once, pushed at") == pytest.approx(36.5 / 0.45, abs=1)


def test_a_body_is_kept_on_the_map_and_cleared() -> None:
    page = opened(PUSH)
    button(page, "Keep this one on the map").click().run()
    choose(page, "map scale", "height ÷ r")
    assert not button(page, "Clear the map").disabled
    button(page, "Clear the map").click().run()
    assert button(page, "Clear the map").disabled


def test_saved_bodies_are_put_on_the_map_at_once_and_bad_ones_named() -> None:
    page = opened(PUSH)
    good = ("tube.toml", written(CARD_TUBE).encode(), "application/toml")
    page.get("file_uploader")[0].set_value([good, ("bad.toml", b"no body", "text/plain")]).run()
    assert not page.exception
    assert page.error[0].value.replace("\\", "").startswith("bad.toml: The file cannot be read")
    chart = page.get("vega_lite_chart")[0].proto
    assert "card tube" in f"{chart.spec}{chart.datasets}"
