"""What `brinkangle class` shows in the terminal."""

from __future__ import annotations

import io
from pathlib import Path

from rich.console import Console

from tests.ui.classroom.test_queue import HeldBench, queue_of, task, until
from tests.ui.classroom.views import FELT, TIN, Shot, slides, topples, view_of
from ui.classroom.printing import show_lesson, watch
from ui.record.rows import BalanceReading, LessonView, Prediction
from vision.reading import Outcome


def shown(view: LessonView, refused: tuple[tuple[str, str], ...] = ()) -> str:
    text = io.StringIO()
    show_lesson(view, refused, Console(file=text, width=160))
    return text.getvalue()


def test_clips_groups_and_ways_are_shown_together() -> None:
    text = shown(
        view_of(
            [topples(1, 83), topples(1, 85), topples(2, 84), slides(2, 0.36, FELT)],
            balance=[BalanceReading(1, 1, 1, TIN.id, 0.082, "base", 0.002, 0.0)],
            predictions=[Prediction(1, TIN.id, 0.0862, 0.0006, "its parts")],
        )
    )
    for words in (
        "Leaf tea tin: centre height", "Table 1", "All groups: 84 mm ± ", "ISO 5725: s_r 1.4 mm",
        "By balancing: 84.00 mm ± ", "that predicted (its parts)",
        "Seed tub on Felt: coefficient of friction", "μ 0.3600 ± ", "Seed tub, Felt",
    ):  # fmt: skip
        assert words in text, text


def test_what_was_not_read_says_why() -> None:
    text = shown(view_of([Shot(1, Outcome.UNREADABLE)]), (("bad.mp4", "It is damaged."),))
    assert "clip_1.mp4: It was seen to do so." in text
    assert "bad.mp4: It is damaged." in text
    assert text.count("unreadable") == 2


def test_a_name_does_not_steer_the_terminal() -> None:
    text = shown(view_of([]), (("a\x1b[2Jb.mp4", "It is [red]damaged[/red]."),))
    assert "\x1b" not in text and "[red]damaged[/red]" in text


def test_watching_ends_when_all_are_measured() -> None:
    bench, saved = HeldBench(), list[int]()
    queue, view = queue_of(bench, saved), view_of([topples(1, 84), topples(2, 84)])
    queue.add(task(clip.id, str(Path(clip.name))) for clip in view.clips)
    until(lambda: len(bench.tickets) == 2)
    bench.let_go(*bench.tickets)
    watch(view.clips, queue, Console(file=io.StringIO()))
    assert queue.wait(10) and sorted(saved) == [1, 2]
