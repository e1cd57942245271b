"""`brinkangle class`, with readings from formulae; no clip is measured twice."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from tests.ui.stand_in import StandInBench, lost, toppling
from ui import commands
from ui.classroom import commands as class_commands
from ui.record.record import Record

PLAN = """clip,group,body,surface,repeat,radius_mm
table1_tea_1.mp4,,Leaf tea tin,Felt,,34
table1_tea_2.mp4,,Leaf tea tin,Felt,,34
table2_tea_1.mp4,Table 2,Leaf tea tin,Felt,1,34
"""
Asked = list[StandInBench]


@pytest.fixture
def folder(tmp_path: Path, still_clips: tuple[bytes, ...]) -> Path:
    folder = tmp_path / "10b"
    folder.mkdir()
    for name, content in zip(
        ("table1_tea_1.mp4", "table1_tea_2.mp4", "table2_tea_1.mp4"), still_clips, strict=False
    ):
        (folder / name).write_bytes(content)
    (folder / "plan.csv").write_text(PLAN)
    return folder


@pytest.fixture
def benches(monkeypatch: pytest.MonkeyPatch) -> Asked:
    made: Asked = []

    def bench(workers: int) -> StandInBench:
        made.append(StandInBench(toppling()))
        return made[-1]

    monkeypatch.setattr(class_commands, "Bench", bench)
    return made


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands.app, ["class", *map(str, arguments)])


def test_a_planned_folder_is_measured_kept_and_pooled(
    record: Record, benches: Asked, folder: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out.json"
    result = run(folder, "--plan", folder / "plan.csv", "--json", out)
    assert result.exit_code == 0, result.output
    assert "All groups: 93.4 mm" in result.output  # 34 / tan 20° is 93.41
    (lesson,) = record.lessons()
    assert lesson.title == "10b" and len(record.lesson_view(lesson.id).readings) == 3
    found = json.loads(out.read_text("utf-8"))
    assert [(clip["clip"], clip["group"], clip["surface"], clip["repeat"]) for clip in
            found["clips"]] == [
        ("table1_tea_1.mp4", "Table 1", "Felt", 1),
        ("table1_tea_2.mp4", "Table 1", "Felt", 2),
        ("table2_tea_1.mp4", "Table 2", "Felt", 1),
    ]  # fmt: skip
    stories = [list(clip["evidence"].items()) for clip in found["clips"]]
    assert stories == [[("topples", 0.0), ("stays", 231.4), ("slides", 252.9)]] * 3
    (body,) = found["bodies"]
    assert body["toppling"]["mean_mm"] == pytest.approx(93.41, abs=0.01)
    assert body["toppling"]["s_r_mm"] == pytest.approx(0, abs=1e-9)
    assert [group["readings"] for group in body["toppling"]["groups"]] == [2, 1]


def test_the_same_command_goes_on_and_measures_nothing_twice(
    record: Record, benches: Asked, folder: Path
) -> None:
    assert run(folder, "--plan", folder / "plan.csv").exit_code == 0
    assert run(folder, "--plan", folder / "plan.csv").exit_code == 0
    assert [len(bench.asked) for bench in benches] == [3]
    assert run(folder, "--plan", folder / "plan.csv", "--again").exit_code == 0
    assert [len(bench.asked) for bench in benches] == [3, 3]
    assert len(record.lessons()) == 1


def test_without_a_plan_names_and_known_bodies_say_enough(
    record: Record, benches: Asked, folder: Path
) -> None:
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    result = run(folder, "--lesson", "Tea tins")
    assert result.exit_code == 0, result.output
    assert [lesson.title for lesson in record.lessons()] == ["Tea tins"]


def test_a_clip_that_needs_a_body_is_not_read(record: Record, benches: Asked, folder: Path) -> None:
    result = run(folder)
    assert result.exit_code == 1
    assert "table1_tea_1.mp4 needs a body: name it in the plan" in flat(result) and benches == []


def test_one_bad_clip_stops_no_other(
    record: Record, benches: Asked, folder: Path, tmp_path: Path
) -> None:
    (folder / "table2_tea_2.mp4").write_bytes(b"no clip " * 99)
    with (folder / "plan.csv").open("a") as plan:
        plan.write("table2_tea_2.mp4,,Leaf tea tin,Felt,,34\n")
    out = tmp_path / "out.json"
    result = run(folder, "--plan", folder / "plan.csv", "--json", out)
    assert result.exit_code == 1
    assert "table2_tea_2.mp4 holds no picture" in result.output
    outcomes = [clip["outcome"] for clip in json.loads(out.read_text())["clips"]]
    assert outcomes == ["topples"] * 3 + ["unreadable"]


def test_an_unread_clip_is_1_with_its_reason(
    record: Record, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(class_commands, "Bench", lambda workers: StandInBench(lost()))
    result = run(folder, "--plan", folder / "plan.csv")
    assert result.exit_code == 1 and "No body was found" in result.output


def test_the_same_clip_under_two_names_is_told(
    record: Record, benches: Asked, folder: Path
) -> None:
    (folder / "z_copy.mp4").write_bytes((folder / "table1_tea_1.mp4").read_bytes())
    record.add_body("Leaf tea tin", 0.034, 0.0002)
    result = run(folder)
    assert "z_copy.mp4 is the same clip as table1_tea_1.mp4" in result.output
    assert [len(bench.asked) for bench in benches] == [3]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("none.mp4,,,,,\n", "line 5: there is no clip 'none.mp4'"),
        ("table1_tea_1.mp4,Table 9,,,,\n", "is given to Table 9, but line 2"),
        ("table1_tea_1.mp4,,,,x,\n", "repeat is 'x'"),
    ],
)
def test_a_plan_that_cannot_be_followed_is_2_and_keeps_nothing(
    record: Record, benches: Asked, folder: Path, line: str, words: str
) -> None:
    with (folder / "plan.csv").open("a") as plan:
        plan.write(line)
    result = run(folder, "--plan", folder / "plan.csv")
    assert (result.exit_code, words in flat(result)) == (2, True), result.output
    assert record.lessons() == () and benches == []


def test_a_body_that_is_not_known_is_2_and_keeps_nothing(
    record: Record, benches: Asked, folder: Path
) -> None:
    (folder / "plan.csv").write_text("clip,body\ntable1_tea_1.mp4,Jar\n")
    result = run(folder, "--plan", folder / "plan.csv")
    assert (result.exit_code, "Jar is not in the record" in flat(result)) == (2, True)
    assert record.lessons() == ()


def test_clips_that_are_not_planned_are_named(
    record: Record, benches: Asked, folder: Path, still_clips: tuple[bytes, ...]
) -> None:
    (folder / "late.mp4").write_bytes(still_clips[5])
    result = run(folder, "--plan", folder / "plan.csv")
    assert result.exit_code == 0
    assert "late.mp4 is not in plan.csv, so it is left out" in flat(result)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (lambda folder: [folder / "none"], "cannot be read"),
        (lambda folder: [folder.parent / "empty"], "There are no clips"),
        (lambda folder: [folder, "--plan", folder / "none.csv"], "The plan"),
        (lambda folder: [folder, "--json", folder], "Nothing can be written to"),
        (lambda folder: [folder, "--json", folder / "none" / "out.json"], "Nothing can be written"),
    ],
)
def test_wrong_usage_is_2(
    record: Record, folder: Path, arguments: Callable[[Path], list[Any]], words: str
) -> None:
    (folder.parent / "empty").mkdir()
    result = run(*arguments(folder))
    assert (result.exit_code, words in flat(result)) == (2, True), result.output
    assert record.lessons() == ()


def test_what_is_broken_off_keeps_what_was_measured(
    record: Record, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = StandInBench(toppling())

    def then_stop(*arguments: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(class_commands, "Bench", lambda workers: bench)
    monkeypatch.setattr(class_commands, "watch", then_stop)
    result = run(folder, "--plan", folder / "plan.csv")
    assert result.exit_code != 0 and "the same command goes on" in flat(result)
    (lesson,) = record.lessons()
    assert len(record.clips(lesson.id)) == 3


def flat(result: Result) -> str:
    """What was printed, without the frames and line ends of the terminal."""
    return " ".join(result.output.replace("│", " ").split())
