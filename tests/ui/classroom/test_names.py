"""Guesses from file names."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ui.classroom.names import LARGEST_REPEAT, Guess, find_name, guess, numbered, tidy_label

BODIES = ("Leaf tea tin", "Seed tub", "Paper cup", "Shuttle tube")
SURFACES = ("Felt", "Cardboard", "Paper")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("table4_tea_2.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("Table 4 - leaf tea tin - felt - 2.MOV", Guess("Table 4", "Leaf tea tin", "Felt", 2)),
        ("T04-seed-cardb-r3.mov", Guess("Table 4", "Seed tub", "Cardboard", 3)),
        ("group-b_shuttle_run1.mp4", Guess("Group B", "Shuttle tube", None, 1)),
        ("table1_paper_cup_paper_1.mp4", Guess("Table 1", "Paper cup", "Paper", 1)),
        ("table1_paper_cup_1.mp4", Guess("Table 1", "Paper cup", None, 1)),
        ("table1_tea_paper_1.mp4", Guess("Table 1", "Leaf tea tin", "Paper", 1)),
        ("2_tea_table5.mp4", Guess("Table 5", "Leaf tea tin", None, 2)),
        ("2026-11-25 table4 tea 2.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("table4_tea_2_20261125.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("table4_tea_2 (1).mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("table4_tea_2 - Copy.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("a/b/table4_tea_2.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("c:\\clips\\table4_tea_2.mp4", Guess("Table 4", "Leaf tea tin", None, 2)),
        ("table4_jar_2.mp4", Guess("Table 4", "jar", None, 2)),
        ("table4_jam_jar_felt_take_2.mp4", Guess("Table 4", "jam jar", "Felt", 2)),
        ("table4_jar_sandpaper.mp4", Guess("Table 4", "jar", "sandpaper", None)),
        ("IMG_4032.MOV", Guess()),
        ("IMG_12.MOV", Guess()),
        ("VID_20261125_101500.mp4", Guess()),
        ("", Guess()),
        ("0", Guess()),
    ],
)
def test_a_name_is_read(name: str, expected: Guess) -> None:
    assert guess(name, BODIES, SURFACES) == expected


def test_a_word_that_two_bodies_share_names_neither() -> None:
    assert guess("table1_tin_1.mp4", ("Tea tin", "Herb tin")).body == "tin"
    assert guess("table1_tea_tin_1.mp4", ("Tea tin", "Herb tin")).body == "Tea tin"


def test_the_shorter_of_two_names_is_meant_by_its_own_words() -> None:
    names = ("Leaf tea tin", "Leaf tea tin with lump")
    assert guess("table1_leaf_tea_tin_1.mp4", names).body == "Leaf tea tin"
    assert guess("table1_tin_lump_1.mp4", names).body == "Leaf tea tin with lump"


def test_a_known_group_keeps_its_own_spelling() -> None:
    assert guess("blue_tea_3.mp4", BODIES, SURFACES, ("Blue",)) == Guess(
        "Blue", "Leaf tea tin", None, 3
    )


@given(st.text(max_size=40))
def test_any_name_gives_a_guess(name: str) -> None:
    found = guess(name, BODIES, SURFACES)
    assert found.repeat is None or 1 <= found.repeat <= LARGEST_REPEAT
    assert found.body != "" and found.group != "" and found.surface != ""


@given(st.integers(1, 99), st.sampled_from(BODIES), st.sampled_from(SURFACES), st.integers(1, 99))
def test_what_is_named_in_full_is_found(table: int, body: str, surface: str, repeat: int) -> None:
    name = f"Table {table}_{body}_{surface}_{repeat}.mp4"
    assert guess(name, BODIES, SURFACES) == Guess(f"Table {table}", body, surface, repeat)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("table4", "Table 4"),
        ("  Table   4 ", "Table 4"),
        ("TABLE 04", "Table 4"),
        ("t4", "Table 4"),
        ("Blue  team", "Blue team"),
        ("Table 4 and 5", "Table 4 and 5"),
        ("", ""),
    ],
)
def test_labels_are_kept_tidy(typed: str, kept: str) -> None:
    assert tidy_label(typed) == kept == tidy_label(kept)


def test_a_name_is_found_but_for_case_and_blanks() -> None:
    assert find_name("leaf  TEA tin", BODIES) == "Leaf tea tin"
    assert find_name("tea", BODIES) is None


def test_names_that_come_again_are_numbered() -> None:
    assert numbered(["a", "b", "a", "a (2)", "a"]) == ["a", "b", "a (2)", "a (2) (2)", "a (3)"]
    assert numbered([]) == []
