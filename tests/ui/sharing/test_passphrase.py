"""The teacher's passphrase."""

import stat
import sys
from pathlib import Path

import argon2
import pytest

from ui.sharing.passphrase import FILE, LEAST, MOST, is_passphrase, is_set, set_passphrase
from ui.sharing.refusals import PassphraseError

DAMAGED = (b"", b"four words in the open", b"\xff\xfe\x00", b"$argon2id$v=19$")
WORDS = "seed tub under the ladder"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "data"


def test_only_the_words_that_were_set_are_right(folder: Path) -> None:
    assert not is_set(folder)
    set_passphrase(folder, WORDS)
    assert is_set(folder) and is_passphrase(folder, WORDS)
    assert is_passphrase(folder, f"  {WORDS}\n")
    for wrong in ("", WORDS.upper(), WORDS[:-1], WORDS + "s", "x" * 5000, "\0"):
        assert not is_passphrase(folder, wrong)


def test_what_keyboards_compose_in_two_ways_is_one(folder: Path) -> None:
    set_passphrase(folder, "caf\u00e9 au bord du plan")
    assert is_passphrase(folder, "cafe\u0301 au bord du plan")


def test_a_new_one_takes_its_place(folder: Path) -> None:
    set_passphrase(folder, WORDS)
    set_passphrase(folder, "a quite different phrase")
    assert not is_passphrase(folder, WORDS) and is_passphrase(folder, "a quite different phrase")
    assert [path.name for path in folder.iterdir()] == [FILE]


def test_it_is_kept_as_an_argon2id_hash_with_its_own_salt(folder: Path) -> None:
    """Parameters of RFC 9106, section 4, second recommended option: 64 MiB, 3 passes, 4 lanes
    (seen in the argon2-cffi documentation of its profiles).
    """
    set_passphrase(folder, WORDS)
    first = (folder / FILE).read_text()
    set_passphrase(folder, WORDS)
    assert first != (folder / FILE).read_text()
    kept = argon2.extract_parameters(first)
    assert kept.type is argon2.Type.ID
    assert (kept.memory_cost, kept.time_cost, kept.parallelism) == (64 * 1024, 3, 4)
    assert WORDS not in first


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps no such modes")
def test_only_its_owner_can_read_the_file(folder: Path) -> None:
    set_passphrase(folder, WORDS)
    assert stat.S_IMODE((folder / FILE).stat().st_mode) == 0o600


@pytest.mark.parametrize("words", ["", "short", "x" * (MOST + 1), "a" * 40, "abab" * 5, " " * 20])
def test_one_that_is_too_easy_or_too_long_is_refused(folder: Path, words: str) -> None:
    with pytest.raises(PassphraseError, match=f"{LEAST} to {MOST} characters"):
        set_passphrase(folder, words)
    assert not is_set(folder)


@pytest.mark.parametrize(
    "content", [b"", b"four words in the open", b"\xff\xfe\x00", b"$argon2id$v=19$"]
)
def test_a_damaged_file_lets_nobody_in_and_says_what_to_do(folder: Path, content: bytes) -> None:
    set_passphrase(folder, WORDS)
    (folder / FILE).write_bytes(content)
    with pytest.raises(PassphraseError, match="brinkangle passphrase"):
        is_passphrase(folder, content.decode("latin-1"))


def test_none_set_lets_nobody_in(folder: Path) -> None:
    with pytest.raises(PassphraseError, match="brinkangle passphrase"):
        is_passphrase(folder, "")


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(PassphraseError, match="could not be kept in"):
        set_passphrase(tmp_path / "file", WORDS)
