from hypothesis import example, given
from hypothesis import strategies as st

from ui.handouts.text import BREAK, JOINERS, LONG_WORD, and_list, line, tag


def test_plain_words_stay_as_they_are() -> None:
    assert line("leaf tea tin") == "leaf tea tin"
    assert line("  leaf \n tea\ttin ") == "leaf tea tin"


def test_a_file_name_may_break_after_its_marks() -> None:
    assert line("table4_tea_2.mp4") == f"table4_{BREAK}tea_{BREAK}2.{BREAK}mp4"


def test_a_word_of_the_language_is_left_to_hyphens() -> None:
    assert line("joint standard uncertainties, so") == "joint standard uncertainties, so"


def test_what_cannot_be_seen_is_shown_to_be_there() -> None:
    assert line("a\u202eb\x00c") == "a\ufffdb\ufffdc"
    assert line("👩\u200d🔬") == "👩\u200d🔬"


def test_a_long_name_ends_in_an_ellipsis() -> None:
    assert tag("Table of the far corner") == "Table of the fa…"
    assert line("a " * 80).endswith("…")


def test_a_list_in_words() -> None:
    assert and_list([]) == ""
    assert and_list(["a"]) == "a"
    assert and_list(["a", "b", "c"]) == "a, b and c"


@given(st.text(max_size=300))
@example("A" * 200)
@example(f"x{BREAK}y")
def test_any_words_become_one_line_that_can_break(words: str) -> None:
    printed = line(words)
    assert all(letter.isprintable() or letter in JOINERS + BREAK for letter in printed)
    assert max(map(len, printed.replace(BREAK, " ").split()), default=0) <= LONG_WORD
    assert len(printed.replace(BREAK, "")) <= 80
    assert line(printed) == printed
