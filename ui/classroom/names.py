"""What a clip's file name says of its group, body, surface and repeat.

A guess, to be put right by hand: ``table4_tea_2.mp4`` is the second repeat of
Table 4 with the body whose name has 'tea' in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import PurePath

GROUP_WORDS = {
    "table": "Table", "t": "Table", "tbl": "Table", "group": "Group", "g": "Group", "grp": "Group",
    "gruppe": "Group", "team": "Team", "pair": "Pair", "desk": "Desk", "bench": "Bench",
    "station": "Station", "row": "Row",
}  # fmt: skip
REPEAT_WORDS = {"r", "rep", "repeat", "run", "take", "try", "trial", "no", "nr", "go"}
CAMERA_WORDS = {"img", "vid", "mov", "dsc", "mvi", "pxl", "video", "clip", "film", "recording"}
SURFACE_WORDS = {
    "board", "card", "cardboard", "carpet", "cloth", "cork", "fabric", "felt", "foam", "foil",
    "mat", "paper", "plywood", "rubber", "sandpaper", "tile", "towel", "wood",
}  # fmt: skip
LARGEST_REPEAT = 99
LEAST_BEGINNING = 3
"""Letters by which a word may stand for a longer one: 'cardb' for 'cardboard'."""

_DATE = re.compile(r"(?<!\d)(?:19|20)\d{2}[-_. ]?[01]\d[-_. ]?[0-3]\d(?!\d)")
_COPY = re.compile(r"(?:\s*\(\d+\)|[\s_-]+copy)+$", re.IGNORECASE)
_SPLIT = re.compile(r"[\W_]+|(?<=[^\W\d])(?=\d)|(?<=\d)(?=[^\W\d])")


@dataclass(frozen=True)
class Guess:
    """What a file name says; None where it says nothing."""

    group: str | None = None
    body: str | None = None
    """A known body's name where one fits, else the words themselves."""
    surface: str | None = None
    """Likewise."""
    repeat: int | None = None


def guess(
    name: str,
    bodies: Sequence[str] = (),
    surfaces: Sequence[str] = (),
    groups: Sequence[str] = (),
) -> Guess:
    """What the file name says, the known names tried first."""
    stem = _COPY.sub("", PurePath(name.replace("\\", "/")).stem)
    words = [word.casefold() for word in _SPLIT.split(_DATE.sub(" ", stem)) if word]
    group, words = _group(words, groups)
    repeat, words = _repeat(words)
    words = [word for word in words if word not in CAMERA_WORDS and not word.isdigit()]
    body, surface = _body_and_surface(words, bodies, surfaces)
    if group is None and body is None:
        repeat = None  # a phone's own counter
    return Guess(group, body, surface, repeat)


def tidy_label(typed: str) -> str:
    """A group's label as it is kept: 'table4' and ' Table  4' are 'Table 4'."""
    plain = " ".join(typed.split())
    words = [word.casefold() for word in _SPLIT.split(plain) if word]
    label, rest = _group(words, ())
    return label if label is not None and not rest else plain


def same_name(first: str, second: str) -> bool:
    """Whether two names are one, but for case and blanks."""
    return _folded(first) == _folded(second)


def find_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that is the same as this one."""
    return next((each for each in known if same_name(each, name)), None)


def numbered(names: Iterable[str]) -> list[str]:
    """The names, with a number where one comes again: phones call many clips the same."""
    seen: list[str] = []
    for name in names:
        number, distinct = 1, name
        while distinct in seen:
            number += 1
            distinct = f"{name} ({number})"
        seen.append(distinct)
    return seen


def _folded(name: str) -> str:
    return "".join(name.casefold().split())


def _group(words: list[str], known: Sequence[str]) -> tuple[str | None, list[str]]:
    """The group and the words that are left."""
    for label in known:
        own = [word.casefold() for word in _SPLIT.split(label) if word]
        for i in range(len(words) - len(own) + 1):
            if own and words[i : i + len(own)] == own:
                return label, words[:i] + words[i + len(own) :]
    for i, (word, mark) in enumerate(pairwise(words)):
        if word in GROUP_WORDS and _is_mark(mark):
            number = str(int(mark)) if mark.isdigit() else mark.upper()
            return f"{GROUP_WORDS[word]} {number}", words[:i] + words[i + 2 :]
    return None, words


def _is_mark(word: str) -> bool:
    return (word.isdecimal() and len(word) <= 2) or (len(word) == 1 and word.isalpha())


def _repeat(words: list[str]) -> tuple[int | None, list[str]]:
    """The repeat and the words that are left: after a word for it, else the last number."""
    numbers = [i for i, word in enumerate(words) if word.isdecimal() and len(word) <= 2]
    told = [i for i in numbers if i and words[i - 1] in REPEAT_WORDS]
    for i in (told or numbers)[-1:]:
        before = i - 1 if told else i
        number = int(words[i])
        return (number if 1 <= number <= LARGEST_REPEAT else None), words[:before] + words[i + 1 :]
    return None, words


def _body_and_surface(
    words: Sequence[str], bodies: Sequence[str], surfaces: Sequence[str]
) -> tuple[str | None, str | None]:
    """The two that together account for the most words, and then leave least of a name unsaid."""
    readings = []
    for surface in _surfaces_in(words, surfaces):
        parts = _words(surface or "")
        taken = _once_each(words, parts)
        rest = _without(words, taken)
        body = _known(rest, bodies)
        meant, unsaid = _score(rest, _words(body)) if body else (0, 0)
        score = len(taken) + meant, unsaid + len(taken) - len(parts)
        readings.append((score, body or " ".join(rest) or None, surface))
    best = max(score for score, _, _ in readings)
    fitting = [(body, surface) for score, body, surface in readings if score == best]
    return fitting[0] if len(fitting) == 1 else (" ".join(words) or None, None)


def _surfaces_in(words: Sequence[str], surfaces: Sequence[str]) -> list[str | None]:
    """None, and the surfaces that a word may stand for: known ones, else usual ones."""
    known = [name for name in surfaces if _once_each(words, _words(name))]
    usual = [word for word in dict.fromkeys(words) if word in SURFACE_WORDS]
    return [None, *(known or usual)]


def _once_each(words: Sequence[str], parts: Sequence[str]) -> list[str]:
    """For each part of a name the last word that stands for it."""
    found = ([word for word in words if _stands_for(word, [part])][-1:] for part in parts)
    return list(dict.fromkeys(word for match in found for word in match))


def _without(words: Sequence[str], gone: Sequence[str]) -> list[str]:
    """The words without the last of each that has gone."""
    left = list(reversed(words))
    for word in gone:
        left.remove(word)
    return left[::-1]


def _known(words: Sequence[str], names: Sequence[str]) -> str | None:
    """The known name that the most words stand for, where it is only one."""
    scores = {name: _score(words, _words(name)) for name in names}
    best = max(scores.values(), default=(0, 0))
    fitting = [name for name, score in scores.items() if score == best]
    return fitting[0] if best[0] > 0 and len(fitting) == 1 else None


def _score(words: Sequence[str], of: Sequence[str]) -> tuple[int, int]:
    """How many words of a name are meant, and how few of it are not."""
    meant = sum(any(_stands_for(word, [part]) for word in words) for part in of)
    return meant, meant - len(of)


def _stands_for(word: str, parts: Sequence[str]) -> bool:
    return any(
        part == word or (len(word) >= LEAST_BEGINNING and part.startswith(word)) for part in parts
    )


def _words(name: str) -> list[str]:
    return [word.casefold() for word in _SPLIT.split(name) if word]
