"""The table in the terminal."""

import io
from pathlib import Path

from rich.console import Console

from tests.ui.stand_in import StandInTicket, lost, sliding, toppling
from ui.answer import answer
from ui.report import short_names, show, watch


def drawn(names: list[str], readings) -> str:
    text = io.StringIO()
    show(names, [answer(reading, 0.03) for reading in readings], Console(file=text, width=100))
    return text.getvalue()


def test_a_row_a_clip_and_its_reasons() -> None:
    text = drawn(["tin.mp4", "tub.mov", "fog.mp4"], [toppling(), sliding(), lost()])
    tin, tub, fog = (
        next(line for line in text.splitlines() if name in line) for name in ("tin", "tub", "fog")
    )
    assert "topples" in tin and "20.00° ± 0.38°" in tin and "82.4 mm" in tin
    assert "slides" in tub and "0.360 ± 0.012" in tub
    assert "unreadable" in fog and "–" in fog
    assert "No body was found. Mark it by hand." in text


def test_a_name_can_neither_steer_the_terminal_nor_mark_it_up() -> None:
    text = drawn(["\x1b[31m[red]tin\udcff.mp4"], [toppling()])
    assert "\x1b" not in text and "[red]tin" in text
    text.encode("utf-8")


def test_names_are_short_where_that_tells_them_apart() -> None:
    assert short_names([Path("a/x.mp4"), Path("b/y.mp4")]) == ["x.mp4", "y.mp4"]
    assert short_names([Path("a/x.mp4"), Path("b/x.mp4")]) == ["a/x.mp4", "b/x.mp4"]


def test_bars_end_full() -> None:
    text = io.StringIO()
    watch(["tin.mp4"], [StandInTicket(Path("tin.mp4"), toppling())], Console(file=text, width=100))
    assert "tin.mp4" in text.getvalue() and "100%" in text.getvalue()
