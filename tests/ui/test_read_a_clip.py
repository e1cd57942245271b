"""The page 'Read a clip' in each of its states, with readings from formulae."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from tests.ui.stand_in import ONSET_S, StandInBench, lost, sliding, staying, toppling
from ui import choosing, desk
from ui.answer import BY_HAND, unreadable
from ui.samples import samples
from vision.reading import ClipReading

PAGE = Path(__file__).parents[2] / "ui" / "app.py"
Open = Callable[..., tuple[AppTest, StandInBench]]


@pytest.fixture
def open_page(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Open:
    monkeypatch.setattr(choosing, "upload_folder", lambda: tmp_path)

    def open_with(reading: ClipReading, done: bool = True) -> tuple[AppTest, StandInBench]:
        bench = StandInBench(reading, done)
        monkeypatch.setattr(desk, "bench", lambda: bench)
        st.cache_resource.clear()
        page = AppTest.from_file(str(PAGE), default_timeout=60).run()
        assert not page.exception
        return page, bench

    return open_with


def words(page: AppTest) -> str:
    kinds = (page.title, page.subheader, page.markdown, page.info, page.warning, page.error)
    marked_up = "\n".join(str(element.value) for kind in kinds for element in kind)
    return marked_up.replace("\\", "")


def choose_sample(page: AppTest, name: str = "Leaf tea topples") -> AppTest:
    page.radio[0].set_value("A sample").run()
    chosen = next(sample for sample in samples() if sample.title == name)
    return page.selectbox[0].set_value(chosen).run()


def press(page: AppTest, name: str) -> AppTest:
    next(button for button in page.button if button.label == name).click().run()
    assert not page.exception
    return page


def read_sample(page: AppTest) -> AppTest:
    return press(choose_sample(page), "Measure")


def metrics(page: AppTest) -> dict[str, str]:
    return {metric.label: metric.value for metric in page.metric}


def test_empty_says_what_to_do_next_and_shows_the_cautions(open_page: Open) -> None:
    page, bench = open_page(toppling())
    assert "Next: upload a clip" in words(page)
    assert "risk assessment" in words(page) and "padded tray" in words(page)
    assert page.button[0].disabled
    assert bench.asked == []
    choose_sample(page)
    assert "Next: press Measure" in words(page)
    assert page.number_input[0].value == 34.0
    assert any("synthetic renderings" in caption.value for caption in page.caption)


def test_read_shows_how_the_stories_compare(open_page: Open) -> None:
    page, _ = open_page(sliding())
    read_sample(page)
    (table,) = (each.value for each in page.table)
    assert table.to_numpy().tolist() == [["slides", "0"], ["stays", "231"], ["topples", "253"]]
    assert "How the stories compare" in {each.label for each in page.expander}
    assert any("10 and more behind the best" in caption.value for caption in page.caption)


def test_what_was_not_measured_has_no_stories(open_page: Open) -> None:
    page, _ = open_page(lost())
    read_sample(page)
    assert not page.table


def test_working_shows_the_share_of_frames(open_page: Open) -> None:
    page, bench = open_page(toppling(), done=False)
    read_sample(page)
    assert page.get("progress")[0].proto.value == 42
    assert "Reading frames: 42 %" in page.get("progress")[0].proto.text
    assert metrics(page) == {}
    bench.tickets[0].done = True
    page.run()
    assert "Brink angle" in metrics(page)


def test_read_shows_outcome_angle_height_and_what_shows_why(open_page: Open) -> None:
    page, bench = open_page(toppling())
    read_sample(page)
    assert "The body toppled when the board stood at 20.00° ± 0.38°." in words(page)
    assert metrics(page) == {
        "Brink angle": "20.00° ± 0.38°",
        "Height of the centre of mass": "93.4 mm ± 2.2 mm",  # 34 / tan 20° is 93.41
    }
    assert len(page.get("image")) == 3
    assert len(page.get("vega_lite_chart")) == 3  # motion, budget, and the brink to move
    labels = [button.proto.label for button in page.get("download_button")]
    assert labels == ["Answer (JSON)", "Series (CSV)", "Start (PNG)", "Brink (PNG)", "After (PNG)"]
    assert any("true static angle is 22.04°" in caption.value for caption in page.caption)
    assert any("tan" in formula.value for formula in page.latex)
    assert any(r"20.00 \pm 0.38" in formula.value for formula in page.latex)
    assert bench.asked[0][1].radius_m == pytest.approx(0.034)


def test_slid_shows_friction_and_no_height(open_page: Open) -> None:
    page, _ = open_page(sliding())
    read_sample(page)
    assert metrics(page) == {
        "Angle of friction": "19.80° ± 0.59°",
        "Coefficient of friction": "0.360 ± 0.012",
    }
    assert "lies lower than about" in words(page)


def test_stayed_shows_the_largest_tilt(open_page: Open) -> None:
    page, _ = open_page(staying())
    read_sample(page)
    assert metrics(page) == {"Largest tilt": "20.0°"}


def test_unreadable_says_why_and_offers_to_mark(open_page: Open) -> None:
    page, _ = open_page(lost())
    read_sample(page)
    assert "This clip could not be read." in words(page)
    assert "No body was found" in words(page)
    assert any(button.label == "Measure again with these marks" for button in page.button)


def test_marked_by_hand_is_measured_anew_and_says_so(open_page: Open) -> None:
    page, bench = open_page(lost())
    read_sample(page)
    assert bench.asked[0][1].marks is None
    bench.reading = toppling(by_hand=True)
    number(page, "1 board, hinge end: x").set_value(352).run()
    number(page, "1 board, hinge end: y").set_value(592).run()
    press(page, "Measure again with these marks")
    marks = bench.asked[-1][1].marks
    assert marks is not None and marks.board_edge[0] == (352, 592)
    assert BY_HAND in words(page)
    assert "Brink angle" in metrics(page)
    press(page, "Back to the reading without a hand")
    assert BY_HAND not in words(page)
    assert "This clip could not be read." in words(page)


def test_a_brink_moved_by_hand_is_measured_anew_and_says_so(open_page: Open) -> None:
    page, bench = open_page(toppling())
    read_sample(page)
    bench.reading = toppling(by_hand=True)
    slider = page.slider[0]
    assert slider.value == pytest.approx(ONSET_S)
    slider.set_value(7.5).run()
    press(page, "Measure again with the brink here")
    assert bench.asked[-1][1].onset_s == pytest.approx(7.5)
    assert BY_HAND in words(page)


def test_marks_that_cannot_be_are_not_measured(open_page: Open) -> None:
    page, _ = open_page(lost())
    read_sample(page)
    number(page, "3 body left, base: x").set_value(1200).run()
    assert "must lie to the left" in words(page)
    assert not any(button.label == "Measure again with these marks" for button in page.button)


def test_an_upload_is_kept_read_and_deleted(open_page: Open) -> None:
    page, bench = open_page(toppling())
    page.file_uploader[0].set_value(("table_4 *tea*.mp4", b"frames", "video/mp4")).run()
    assert "Next: give the size of the rim" in words(page)
    page.number_input[0].set_value(30.0).run()
    press(page, "Measure")
    path = bench.asked[0][0]
    assert path.read_bytes() == b"frames" and "tea" not in path.name
    assert metrics(page)["Height of the centre of mass"].startswith("82.4 mm")
    press(page, "Delete this clip from this machine")
    assert not path.exists()
    assert "Next: upload a clip" in words(page)


def test_an_empty_upload_is_refused_in_clear_words(open_page: Open) -> None:
    page, bench = open_page(toppling())
    page.file_uploader[0].set_value(("tea.mp4", b"", "video/mp4")).run()
    assert not page.exception
    assert "came empty" in words(page) and "upload it again" in words(page)
    assert page.button[0].disabled and bench.asked == []


def test_names_are_shown_as_text(open_page: Open) -> None:
    page, bench = open_page(unreadable("to be replaced"))
    page.file_uploader[0].set_value(("<b>*tea*</b>.mp4", b"x", "video/mp4")).run()
    page.number_input[0].set_value(30.0).run()
    kept = next(iter(page.session_state["uploads"].values()))
    bench.reading = unreadable(f"{kept.path.name} is damaged.")
    press(page, "Measure")
    assert [str(warning.value) for warning in page.warning] == [
        r"\<b\>\*tea\*\</b\>\.mp4 is damaged\."
    ]


@pytest.mark.parametrize(
    ("length", "sentence"),
    [
        (0.0, "must be more than 0 mm"),
        (-4.0, "must be more than 0 mm"),
        (1200.0, "at most 1000 mm"),
    ],
)
def test_an_impossible_radius_cannot_be_measured(
    open_page: Open, length: float, sentence: str
) -> None:
    page, bench = open_page(toppling())
    choose_sample(page)
    page.number_input[0].set_value(length).run()
    assert sentence in words(page)
    assert page.button[0].disabled and bench.asked == []


def test_a_radius_in_centimetres_is_doubted(open_page: Open) -> None:
    page, _ = open_page(toppling())
    choose_sample(page)
    page.number_input[0].set_value(3.4).run()
    assert "Was it measured in cm?" in words(page)


def test_changed_inputs_are_pointed_out(open_page: Open) -> None:
    page, bench = open_page(toppling())
    read_sample(page)
    page.number_input[0].set_value(35.0).run()
    assert "You changed what is given above" in words(page)
    press(page, "Measure")
    assert "You changed what is given above" not in words(page)
    assert bench.asked[-1][1].radius_m == pytest.approx(0.035)


def test_the_same_clip_and_settings_are_measured_once_but_an_unread_one_again(
    open_page: Open,
) -> None:
    page, bench = open_page(toppling())
    read_sample(page)
    press(page, "Measure")
    assert len(bench.asked) == 1
    page, bench = open_page(lost())
    read_sample(page)
    press(page, "Measure")
    assert len(bench.asked) == 2


def number(page: AppTest, label: str):
    return next(field for field in page.number_input if field.label == label)
