"""Words from people, made fit to print: one line, nothing unseen, room to break."""

from __future__ import annotations

import re

LONGEST = 80
"""Letters of a name on paper; a longer one ends in an ellipsis."""
TAG_LONGEST = 16
"""Of a name beside a mark, where there is room for one line alone."""
LONG_NAME, LONG_WORD = 12, 20
"""Letters of a name that never needs to be broken, and of a word that is letters alone."""
JOINERS = "\u200d\ufe0e\ufe0f"
"""Unseen, but part of what emoji and scripts are written with."""
BREAK = "\u200b"
"""Where a long word may break, unseen."""


def line(words: str, longest: int = LONGEST) -> str:
    """Words on one line, without what cannot be seen; they are text, never markup."""
    return re.sub(rf"\S{{{LONG_NAME + 1},}}", _with_breaks, tag(words, longest))


def tag(words: str, longest: int = TAG_LONGEST) -> str:
    """Words likewise, never to be broken."""
    one_line = " ".join(words.replace(BREAK, "").split())
    seen = "".join(
        letter if letter.isprintable() or letter in JOINERS else "\ufffd" for letter in one_line
    )
    return seen if len(seen) <= longest else seen[: longest - 1].rstrip() + "…"


def _with_breaks(word: re.Match[str]) -> str:
    """Breaks after the marks that part a file's name, and within what is still long."""
    if len(word[0]) <= LONG_WORD and word[0].strip("'’.,;:!?()").isalpha():
        return word[0]
    parted = re.sub(r"([_.-])(?=\w)", rf"\1{BREAK}", word[0])
    return re.sub(rf"([^\s{BREAK}]{{10}})(?=[^\s{BREAK}])", rf"\1{BREAK}", parted)


def and_list(words: list[str]) -> str:
    """'a, b and c'."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1]))) if words else ""
