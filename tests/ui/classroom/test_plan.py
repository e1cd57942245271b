"""The plan: what it says, and each way in which it can be wrong."""

from math import radians

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev

from ui.classroom.plan import MOST_TOLD, read_plan
from ui.classroom.plan_table import COLUMNS, PlanError

CLIPS = ("table4_tea_1.mp4", "table4_tea_2.mp4", "IMG_4032.MOV")
FULL = """clip,group,body,surface,repeat,radius_mm,radius_u_mm,start_tilt_deg
table4_tea_1.mp4,table 4,Leaf tea tin,Felt,1,34.0,0.3,0
IMG_4032.MOV,"Table 5",Leaf tea tin,,2,34,0.3,1.5
"""


def refused(text: str, clips: tuple[str, ...] = CLIPS) -> str:
    with pytest.raises(PlanError) as error:
        read_plan(text.encode(), "plan.csv", clips)
    return str(error.value)


def test_a_full_plan_is_read() -> None:
    first, second = read_plan(FULL.encode(), "plan.csv", CLIPS).rows
    assert (first.line, first.clip, first.group, first.body) == (
        2, "table4_tea_1.mp4", "Table 4", "Leaf tea tin",
    )  # fmt: skip
    assert (first.surface, first.repeat, first.start_tilt_rad) == ("Felt", 1, 0.0)
    assert nominal_value(first.radius_m) == pytest.approx(0.034)
    assert std_dev(first.radius_m) == pytest.approx(0.0003)
    assert (second.group, second.surface, second.repeat) == ("Table 5", None, 2)
    assert second.start_tilt_rad == pytest.approx(radians(1.5))


@pytest.mark.parametrize(
    "content",
    [
        b"\xef\xbb\xbf" + FULL.encode(),
        FULL.replace(",", ";").encode(),
        FULL.replace(",", "\t").encode(),
        FULL.replace("\n", "\r\n").encode(),
        ("\n\n" + FULL + "\n,,,\n").encode(),
        FULL.replace("radius_mm", " Radius mm ").encode(),
    ],
    ids=["byte order mark", "semicolons", "tabs", "other line ends", "idle lines", "headings"],
)
def test_what_spreadsheets_write_is_read(content: bytes) -> None:
    rows = read_plan(content, "plan.csv", CLIPS).rows
    assert [row.group for row in rows] == ["Table 4", "Table 5"]
    assert nominal_value(rows[0].radius_m) == pytest.approx(0.034)


def test_a_decimal_comma_is_read() -> None:
    text = "clip;radius_mm\ntable4_tea_1.mp4;36,5\n"
    assert nominal_value(read_plan(text.encode(), "p", CLIPS).rows[0].radius_m) == pytest.approx(
        0.0365
    )


def test_letters_of_an_old_encoding_are_read() -> None:
    content = "clip,group\ntable4_tea_1.mp4,Tür\n".encode("cp1252")
    assert read_plan(content, "plan.csv", CLIPS).rows[0].group == "Tür"


def test_what_is_not_said_is_none() -> None:
    (row,) = read_plan(b"clip\ntable4_tea_1.mp4\n", "plan.csv", CLIPS).rows
    assert (row.group, row.body, row.surface, row.repeat, row.radius_m) == (None,) * 5
    assert row.start_tilt_rad is None


def test_clips_that_are_not_planned_are_named() -> None:
    plan = read_plan(FULL.encode(), "plan.csv", CLIPS)
    assert plan.unplanned(CLIPS) == ("table4_tea_2.mp4",)


def test_a_radius_in_centimetres_is_doubted() -> None:
    plan = read_plan(b"clip,radius_mm\ntable4_tea_1.mp4,3.4\n", "plan.csv", CLIPS)
    assert "plan.csv, line 2: A base radius of 3.4 mm is small" in plan.doubts[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "plan.csv is empty. Begin with a line of headings: clip, group"),
        ("group,body\nTable 4,tea\n", "line 1: there is no column 'clip'"),
        ("clip,colour\n", "line 1: 'colour' is not a column"),
        ("clip,radius_cm\n", "give the numbers in mm under 'radius_mm'"),
        ("clip,start_tilt_rad\n", "give the numbers in deg under 'start_tilt_deg'"),
        ("clip,group,group\n", "line 1: the column 'group' is there twice"),
        ("clip\ntable4_tea_3.mp4\n", "line 2: there is no clip 'table4_tea_3.mp4'. Is it 'table4"),
        ("clip\n../../etc/passwd\n", "line 2: there is no clip '../../etc/passwd'. Put it there"),
        ("clip,group\n,Table 4\n", "line 2: no clip is named"),
        ("clip,repeat\nIMG_4032.MOV,two\n", "line 2: repeat is 'two'"),
        ("clip,repeat\nIMG_4032.MOV,0\n", "line 2: repeat is '0'"),
        ("clip,radius_mm\nIMG_4032.MOV,3.4 cm\n", "radius_mm is '3.4 cm'; give a plain number in"),
        ("clip,radius_mm\nIMG_4032.MOV,inf\n", "radius_mm is 'inf'"),
        ("clip,radius_mm\nIMG_4032.MOV,-3\n", "line 2: The base radius is −3 mm"),
        ("clip,radius_u_mm\nIMG_4032.MOV,1\n", "there is a radius_u_mm, but no radius_mm"),
        ("clip,start_tilt_deg\nIMG_4032.MOV,80\n", "line 2: The start tilt is 80°"),
        ("clip,group\nIMG_4032.MOV,Tea, felt\n", "line 2: there are more cells than headings"),
        ("clip\nIMG_4032.MOV\n\nIMG_4032.MOV\n", "line 4: 'IMG_4032.MOV' is on line 2 already"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(text: str, words: str) -> None:
    assert words in refused(text)


def test_two_groups_for_one_clip_are_told_with_both_lines() -> None:
    told = refused("clip,group\nIMG_4032.MOV,Table 4\nIMG_4032.MOV,Table 5\n")
    assert "line 3: 'IMG_4032.MOV' is given to Table 5, but line 2 gives it to Table 4" in told


def test_a_body_with_two_radii_is_refused() -> None:
    told = refused(
        "clip,body,radius_mm\ntable4_tea_1.mp4,Tea tin,34\ntable4_tea_2.mp4,tea  TIN,36\n"
    )
    assert "line 3: 'tea TIN' has another radius than on line 2" in told


def test_all_problems_are_told_at_once() -> None:
    told = refused("clip,repeat\nnone.mp4,1\nIMG_4032.MOV,x\n")
    assert "plan.csv, line 2" in told and "plan.csv, line 3" in told
    many = "clip\n" + "".join(f"none{i}.mp4\n" for i in range(MOST_TOLD + 3))
    assert refused(many, ()).endswith("… and 3 more lines of plan.csv like these.")


@pytest.mark.parametrize("content", [b"\x00\x01\x02", b"\xff\xfeclip\x00", b"PK\x03\x04\x00"])
def test_a_file_that_is_no_text_is_refused(content: bytes) -> None:
    with pytest.raises(PlanError, match="not a text file"):
        read_plan(content, "plan.csv", CLIPS)


@given(st.binary(max_size=80))
def test_any_bytes_are_a_plan_or_refused(content: bytes) -> None:
    try:
        read_plan(content, "plan.csv", CLIPS)
    except PlanError:
        return
    assert content.lower().count(b"clip") >= 1


@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=8), min_size=8, max_size=8))
def test_any_cells_are_a_row_or_refused(cells: list[str]) -> None:
    line = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)
    text = ",".join(COLUMNS) + "\n" + line + "\n"
    try:
        rows = read_plan(text.encode(), "plan.csv", cells).rows
    except PlanError:
        return
    assert [row.clip for row in rows] in ([], [cells[0].strip()])
