"""Lesson codes."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ui.sharing.codes import ALPHABET, LENGTH, new_code, tidy_code

NO_CODES = ("", "CDFH", "CDFHJKMNP", "CDFHJKM0", "CDFH_JKMN", "ＣＤＦＨJKMN", "\0" * 8)
ALIKE = ("0O", "1IL", "2Z", "5S", "8B", "6G", "UV", "O0Q")


def test_no_two_letters_look_alike_and_no_word_arises() -> None:
    for alike in ALIKE:
        assert len(set(alike) & set(ALPHABET)) <= 1
    assert not set("AEIOU") & set(ALPHABET)
    assert len(set(ALPHABET)) == len(ALPHABET)


def test_codes_are_new_each_time_and_use_the_whole_alphabet_evenly() -> None:
    codes = [new_code() for _ in range(2000)]
    assert len(set(codes)) == len(codes)
    letters = Counter("".join(codes).replace("-", ""))
    expected = 2000 * LENGTH / len(ALPHABET)
    assert set(letters) == set(ALPHABET)
    # Chi-squared with 20 degrees of freedom: 59 is exceeded once in 100 000 times.
    assert sum((n - expected) ** 2 / expected for n in letters.values()) < 59


@given(st.text(alphabet=ALPHABET, min_size=LENGTH, max_size=LENGTH))
def test_a_code_is_taken_however_it_is_typed(code: str) -> None:
    half = LENGTH // 2
    for typed in (
        code,
        code.lower(),
        f" {code[:half]} - {code[half:]}\n",
        f"{code[:half]}–{code[half:]}",
    ):
        assert tidy_code(typed) == code


@pytest.mark.parametrize(
    "typed", ["", "CDFH", "CDFHJKMNP", "CDFHJKM0", "CDFH_JKMN", "ＣＤＦＨJKMN", "\0" * 8]
)
def test_what_cannot_be_a_code_is_none(typed: str) -> None:
    assert tidy_code(typed) is None
