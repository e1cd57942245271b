"""Mathematics as one line of plain text, for the terminal."""

from __future__ import annotations

from dataclasses import replace

from solver.notation import GREEK, Dialect, Letter

LETTERS = dict(zip(GREEK, "αβθφρμ", strict=True))


class PlainDialect(Dialect):
    """A dialect whose Greek letters are themselves."""

    def symbol(self, letter: Letter) -> str:
        """A letter with its index."""
        return super().symbol(replace(letter, letter=LETTERS.get(letter.letter, letter.letter)))


PLAIN = PlainDialect(
    greek="{}",
    index="_{}",
    unit=" {}",
    degree="°",
    fraction="({}) / ({})",
    brackets="({})",
    power="{}^{}",
    function="{}({})",
    inverse_tangent="tan⁻¹({})",
    times=" × ",
    plus_minus=" ± ",
)
