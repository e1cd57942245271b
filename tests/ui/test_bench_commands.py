"""The bench's commands: answers, JSON with units in the keys, refusals with status 2."""

from __future__ import annotations

import json
import subprocess
import sys
from math import atan, degrees, tan
from pathlib import Path

import pytest
from click.testing import Result
from typer.testing import CliRunner

from ui.bench.body_file import written
from ui.bench.examples import BOTTLE_OF_SAND, LEAF_TEA_TIN, SEED_TUB
from ui.bench.sheet import BodySheet
from ui.commands import app

R_MM, EMPTY_G, EMPTY_MM = 36.5, 86.0, (48 * 55 + 16 * 110 + 8 * 50) / 86
"""Of the leaf tea tin with its rod, by hand."""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, list(map(str, arguments)))


def answer(*arguments: object) -> dict[str, object]:
    done = run(*arguments, "--json", "-")
    assert done.exit_code == 0, done.output
    found: dict[str, object] = json.loads(done.stdout)
    return found


def saved(folder: Path, sheet: BodySheet) -> Path:
    path = folder / "it.body.toml"
    path.write_text(written(sheet), "utf-8")
    return path


@pytest.fixture
def tin(tmp_path: Path) -> Path:
    return saved(tmp_path, LEAF_TEA_TIN)


def brink_deg(lump_g: float, at_mm: float) -> float:
    """By the two lines a student would write."""
    x = (EMPTY_G * EMPTY_MM + lump_g * at_mm) / (EMPTY_G + lump_g)
    return degrees(atan(R_MM / x))


def test_a_body_is_weighed_and_toppled(tin: Path) -> None:
    found = answer("body", tin)
    assert found["mass_g"] == pytest.approx(146.0)
    assert found["brink_deg"] == pytest.approx(brink_deg(60, 60))
    assert 0 < float(str(found["brink_u95_deg"])) < 1
    assert found["inertia_is_least"] is False


def test_a_weighed_part_makes_the_inertia_a_least_one(tmp_path: Path) -> None:
    assert answer("body", saved(tmp_path, BOTTLE_OF_SAND))["inertia_is_least"] is True


def test_the_lump_is_predicted_and_found_again(tin: Path) -> None:
    angle = answer("lump", "predict", tin, "--at-mm", 40)["brink_deg"]
    assert angle == pytest.approx(brink_deg(60, 40))
    assert answer("lump", "place", tin, "--angle-deg", angle)["place_mm"] == pytest.approx(40)
    by_mass = answer("lump", "mass", tin, "--angle-deg", angle, "--at-mm", 40)
    assert by_mass["mass_g"] == pytest.approx(60)
    again = answer("lump", "predict", tin, "--at-mm", 70)["brink_deg"]
    both = answer(
        "lump", "both", tin, "--angle-deg", angle, "--then-deg", again, "--moved-up-mm", 30
    )
    assert both["mass_g"] == pytest.approx(60) and both["place_mm"] == pytest.approx(40)


def test_a_set_angle_is_reached_by_place_and_by_mass(tin: Path) -> None:
    by_place = answer("lump", "aim", tin, "--angle-deg", 35, "--angle-u-deg", 0.3)
    assert brink_deg(60, float(str(by_place["place_mm"]))) == pytest.approx(35)
    assert 0.58 < float(str(by_place["reading_u95_deg"])) < 1
    by_mass = answer("lump", "aim", tin, "--angle-deg", 30, "--by-mass", "--at-mm", 85)
    assert brink_deg(float(str(by_mass["mass_g"])), 85) == pytest.approx(30)


def test_cards_of_one_seed_are_the_same_and_right(tin: Path) -> None:
    first = answer("lump", "cards", tin, "--count", 5, "--seed", 3)
    assert first == answer("lump", "cards", tin, "--count", 5, "--seed", 3)
    assert first != answer("lump", "cards", tin, "--count", 5, "--seed", 4)
    cards = first["cards"]
    assert isinstance(cards, list) and len(cards) == 5
    for card in cards:
        assert brink_deg(60, card["place_mm"]) == pytest.approx(card["angle_deg"], abs=1e-2)


def test_a_push_is_judged_by_mu_h_against_r(tin: Path) -> None:
    found = answer("push", tin, "--friction", 0.45, "--height-mm", 40)
    assert found["first"] == "slides" and found["sure"] is True
    assert found["slide_n"] == pytest.approx(0.146 * 9.81 * 0.45)
    assert found["topple_n"] == pytest.approx(0.146 * 9.81 * R_MM / 40)
    assert found["crossing_mm"] == pytest.approx(R_MM / 0.45)


def test_near_the_border_nothing_is_said_for_certain(tin: Path) -> None:
    done = run("push", tin, "--friction", 0.45, "--friction-u", 0.05, "--height-mm", 80)
    assert "Too close to call" in done.stdout


def test_a_board_is_raised_where_no_push_is_given() -> None:
    found = answer("push", "--friction", 0.5, "--radius-mm", 36.5, "--centre-mm", 60)
    assert found["first"] == "slides"
    assert found["slide_deg"] == pytest.approx(degrees(atan(0.5)))
    assert tan(float(str(found["topple_deg"])) / degrees(1)) == pytest.approx(36.5 / 60)


def test_no_force_is_null_in_json() -> None:
    found = answer(
        "push", "--friction", 0.9, "--radius-mm", 30, "--centre-mm", 50,
        "--height-mm", 10, "--angle-deg", -80, "--behind-mm", 60,
    )  # fmt: skip
    assert found["first"] == "stays" and found["slide_n"] is None and found["topple_n"] is None


def test_a_balance_is_compared_with_toppling() -> None:
    readings = ("--base-mm", 55, "--base-mm", 56, "--top-mm", 51, "--edge-radius-mm", 2)
    found = answer("balance", "--length-mm", 110, *readings, "--toppling-mm", 57.3)
    heights = (57, 58, 57)
    assert found["centre_height_mm"] == pytest.approx(sum(heights) / 3)
    assert found["agrees"] is True and found["readings"] == 3


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("lump", "aim", "TIN", "--angle-deg", 20), "topple between 27.31° and 45.26°"),
        (("lump", "predict", "TIN", "--at-mm", 120), "at least 8 mm and at most 92 mm"),
        (("lump", "place", "TIN", "--angle-deg", 95), "less than 90°"),
        (("lump", "cards", "TIN", "--count", 99), "cards have answers"),
        (("lump", "cards", "TIN", "--step-deg", 0), "at least 0.05°"),
        (("push", "TIN", "--friction", -0.1), "coefficient of friction"),
        (("push", "TIN", "--friction", 0.5, "--height-mm", 300), "at most 110 mm"),
        (("push", "TIN", "--friction", 0.5, "--height-mm", 30, "--tilt-deg", 40), "by itself"),
        (("push", "--friction", 0.5), "Give a body file"),
        (("push", "--friction", 0.5, "--radius-mm", 0, "--centre-mm", 60), "more than 0 mm"),
        (("balance", "--length-mm", 110), "give at least one"),
        (("balance", "--length-mm", 110, "--base-mm", 120), "less than 110 mm"),
        (("body", "NOWHERE"), "cannot be opened"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_what_can(
    arguments: tuple[object, ...], words: str, tin: Path
) -> None:
    done = run(*(tin if word == "TIN" else word for word in arguments))
    assert done.exit_code == 2
    assert words in " ".join(done.stderr.split())


def test_a_body_without_a_rod_takes_no_lump(tmp_path: Path) -> None:
    done = run("lump", "predict", saved(tmp_path, SEED_TUB))
    assert done.exit_code == 2 and "no rod" in done.stderr


def test_centimetres_typed_as_millimetres_are_doubted(tmp_path: Path) -> None:
    small = written(LEAF_TEA_TIN).replace("36.5", "3.65").replace("110.0", "11.0")
    path = tmp_path / "small.body.toml"
    path.write_text(small.partition("[rod]")[0], "utf-8")
    done = run("body", path)
    assert done.exit_code == 0 and "check" in done.stderr


def test_json_goes_to_a_file_and_the_working_to_the_screen(tin: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.json"
    done = run("body", tin, "--json", out, "--working")
    assert json.loads(out.read_text("utf-8"))["body"] == "leaf tea tin"
    assert "φ = tan⁻¹((36.5 mm) / (57.53 mm))" in done.stdout


def test_a_place_that_takes_no_file_is_said(tin: Path, tmp_path: Path) -> None:
    done = run("body", tin, "--json", tmp_path / "gone" / "out.json")
    assert done.exit_code == 1 and "could not be written" in done.stderr


def test_the_commands_do_not_wait_for_streamlit() -> None:
    code = "import sys, ui.commands; sys.exit('streamlit' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], timeout=60).returncode == 0
