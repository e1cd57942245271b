"""`brinkangle measure`, with readings from formulae."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result
from uncertainties import nominal_value

from solver.errors import BrinkangleError
from tests.ui.stand_in import StandInBench, lost, toppling
from ui import commands
from vision.reading import ClipReading


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> StandInBench:
    bench = StandInBench(toppling())
    monkeypatch.setattr(commands, "Bench", lambda workers: bench)
    return bench


def run(*arguments: object) -> Result:
    return CliRunner().invoke(commands.app, ["measure", *map(str, arguments)])


def test_all_read_is_0_and_written(bench: StandInBench, tmp_path: Path) -> None:
    out, folder = tmp_path / "out.json", tmp_path / "new" / "evidence"
    result = run("b.mp4", "a.mp4", "--radius-mm", 30, "--json", out, "--evidence", folder)
    assert result.exit_code == 0, result.output
    clips = json.loads(out.read_text("utf-8"))["clips"]
    assert [clip["clip"] for clip in clips] == ["b.mp4", "a.mp4"]
    assert clips[0]["centre_height_mm"] == pytest.approx(82.424, abs=0.001)
    names = sorted(path.name for path in folder.iterdir())
    assert names == [
        f"{stem}.{end}"
        for stem in "ab"
        for end in ("after.png", "brink.png", "series.csv", "start.png")
    ]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["new", "out.json"]


def test_some_unread_is_1_and_the_rest_are_written(
    bench: StandInBench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    readings: dict[str, ClipReading] = {"fog.mp4": lost(), "tin.mp4": toppling()}
    measure = bench.measure

    def each(path: Path, setup):
        bench.reading = readings[path.name]
        return measure(path, setup)

    monkeypatch.setattr(bench, "measure", each)
    out = tmp_path / "out.json"
    result = run("fog.mp4", "tin.mp4", "--radius-mm", 30, "--json", out)
    assert result.exit_code == 1
    assert [clip["outcome"] for clip in json.loads(out.read_text())["clips"]] == [
        "unreadable",
        "topples",
    ]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ([], "none was given"),
        (["--radius-mm", "30", "--diameter-mm", "60"], "2 were given"),
        (["--radius-mm", "0"], "base radius is 0 mm"),
        (["--radius-mm", "-3"], "base radius is −3 mm"),
        (["--radius-mm", "1000.1"], "at most 1000 mm"),
        (["--radius-mm", "nan"], "base radius is nan mm"),
        (["--radius-mm", "thirty"], "--radius-mm"),
        (["--circumference-mm", "7000"], "base circumference is 7000 mm"),
        (["--radius-mm", "30", "--radius-u-mm", "-1"], "uncertainty of the radius"),
        (["--radius-mm", "30", "--start-tilt-deg", "90"], "start tilt is 90°"),
        (["--radius-mm", "30", "--radius-cm", "3"], "No such option"),
    ],
)
def test_wrong_usage_is_2_and_nothing_is_measured(
    bench: StandInBench, options: list[str], words: str
) -> None:
    result = run("tin.mp4", *options)
    assert result.exit_code == 2
    assert words in result.output
    assert bench.asked == []


def test_a_place_that_cannot_be_written_is_found_before_measuring(
    bench: StandInBench, tmp_path: Path
) -> None:
    a_file = tmp_path / "file"
    a_file.write_text("")
    for option, place, words in (
        ("--json", tmp_path / "none" / "out.json", "Nothing can be written into"),
        ("--json", tmp_path, "is a folder"),
        ("--evidence", a_file / "below", "Nothing can be written into"),
    ):
        result = run("tin.mp4", "--radius-mm", 30, option, place)
        assert (result.exit_code, words in result.output) == (2, True), result.output
    assert bench.asked == []
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_full_disk_is_said_and_leaves_nothing_half_written(
    bench: StandInBench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(commands, "write_whole", full)
    result = run("tin.mp4", "--radius-mm", 30, "--json", tmp_path / "out.json")
    assert result.exit_code == 1
    assert "could not be written" in result.output and "No space" in result.output
    assert list(tmp_path.iterdir()) == []


def test_centimetres_typed_as_millimetres_are_warned_of(bench: StandInBench) -> None:
    result = run("tin.mp4", "--radius-mm", 3.65)
    assert result.exit_code == 0
    assert "Was it measured in cm?" in result.output


def test_one_rim_by_three_options(bench: StandInBench) -> None:
    for option, mm in (
        ("--radius-mm", 36.5),
        ("--diameter-mm", 73),
        ("--circumference-mm", 229.3362637),
    ):
        assert run("tin.mp4", option, mm, "--start-tilt-deg", 7).exit_code == 0
    for _, setup in bench.asked:
        assert setup.radius_m == pytest.approx(0.0365)
        assert float(nominal_value(setup.start_tilt_rad)) == pytest.approx(0.12217, abs=1e-5)


def test_an_interrupted_measurement_closes_the_bench(
    bench: StandInBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed = []
    monkeypatch.setattr(bench, "close", lambda: closed.append(True))

    def broken(*_: object) -> None:
        raise BrinkangleError("stop")

    monkeypatch.setattr(commands, "watch", broken)
    assert run("tin.mp4", "--radius-mm", 30).exit_code != 0
    assert closed == [True]
