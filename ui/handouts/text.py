"""Words from people, made fit to print: one line, nothing unseen, room to break."""

from __future__ import annotations

import re

LONGEST = 80
"""Letters of a name on paper; a longer one ends in an ellipsis."""
UNBROKEN = 18
"""Letters in a row after which a line may break."""
JOINERS = "\u200d\ufe0e\ufe0f"
"""Unseen, but part of what emoji and scripts are written with."""
BREAK = "\u200b"


def line(words: str, longest: int = LONGEST) -> str:
    """Words on one line, without what cannot be seen; they are text, never markup."""
    seen = "".join(
        letter if letter.isprintable() or letter in JOINERS else "\ufffd"
        for letter in " ".join(words.split())
    )
    short = seen if len(seen) <= longest else seen[: longest - 1] + "…"
    return re.sub(rf"(\S{{{UNBROKEN}}})(?=\S)", rf"\1{BREAK}", short)


def and_list(words: list[str]) -> str:
    """'a, b and c'."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1]))) if words else ""
