"""What the page and the command ask alike: kinds in words, and the body of the cards."""

from __future__ import annotations

from ui.bench.examples import EXAMPLES
from ui.handouts.content import Kind, Paper

TOLD: dict[Kind, tuple[str, str]] = {
    Kind.LESSON: ("Lesson sheet", "Equipment, set-up, how to film, cautions."),
    Kind.WORKSHEET: ("Worksheet", "For students, with room to write."),
    Kind.PROTRACTOR: ("Protractor", "To print true to scale and cut out."),
    Kind.CARDS: ("Challenge cards", "Angles to reach with a lump; the answers apart."),
    Kind.ANSWERS: ("Worked answers", "From the class's own bodies and numbers."),
    Kind.GROUP: ("Group reports", "A page each: frames, angle, x, working, comparison."),
    Kind.CLASS: ("Class report", "Tables, plots, the pooled result, what to discuss."),
}
"""Title and what is in it."""
PAPERS = {Paper.A4: "A4", Paper.LETTER: "Letter"}
CARD_EXAMPLES = {sheet.name: sheet for sheet in reversed(EXAMPLES) if sheet.rod is not None}
"""Bodies with a rod, for cards before a class has its own."""
