"""Working as Typst sets it, with the same in plain text for those who cannot see it.

Typst's markup is made here from `solver.notation` alone, whose letters, indices
and units are the project's own: no word of a user comes near it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from solver.notation import GREEK, TYPST, Letter
from solver.working import Step, Working
from ui.bench.plain_notation import LETTERS, PLAIN
from ui.handouts.text import line

PRINCIPLE_LETTERS = 600
ONE_OF_MANY = ", reading "
"""As `solver.working.mean_step` tells one repeat from the next."""
NEXT = " \\ &= "


def worked(working: Working) -> dict[str, Any]:
    """A working, as the templates print it."""
    return {
        "title": line(working.title),
        "steps": [step_set(step) for step in working.steps],
        "letters": letters_of(working.steps),
        "conclusion": line(working.conclusion, PRINCIPLE_LETTERS),
    }


def step_set(step: Step) -> dict[str, str]:
    """One step: why, the lines one below the other, and the same in plain text."""
    return {
        "principle": line(step.principle, PRINCIPLE_LETTERS),
        "maths": maths(step),
        "alt": "; ".join(_lines(step, PLAIN)),
    }


def maths(step: Step) -> str:
    """Symbols, numbers and answer below each other, their signs of equality aligned."""
    left, _, first = step.in_symbols(TYPST).partition(" = ")
    others = (text.partition(" = ")[2] for text in _lines(step, TYPST)[1:])
    return f"{left} &= {NEXT.join((first, *others))}"


def letters_of(steps: Iterable[Step]) -> list[dict[str, str]]:
    """Each letter once, with what it stands for, in the order met; single repeats left out."""
    letters = {s.letter.name: s.letter for step in steps for s in step.symbols.values()}
    return [_letter(each) for each in letters.values() if ONE_OF_MANY not in each.meaning]


def _letter(letter: Letter) -> dict[str, str]:
    plain = LETTERS[letter.letter] if letter.letter in GREEK else letter.letter
    alt = f"{plain} {letter.index}".strip()
    return {"maths": TYPST.symbol(letter), "alt": alt, "meaning": line(letter.meaning)}


def _lines(step: Step, dialect: Any) -> tuple[str, str, str]:
    return step.in_symbols(dialect), step.with_numbers(dialect), step.answer(dialect)
