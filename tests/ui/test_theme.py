"""Can it be read? Contrast after WCAG 2.1, success criterion 1.4.3 (level AA: 4.5 to 1)."""

import pytest

from ui.theme import INK, OPTIONS, PAPER, PLUM, QUIET, SHADE, TEAL


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1's definition."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.03928 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_itself() -> None:
    """Black on white is 21 to 1 by definition; #777777 on white 4.48 (as WebAIM's checker says)."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)


CALLOUTS = [OPTIONS[f"theme.{name}BackgroundColor"] for name in ("blue", "yellow", "red")]
PAIRS = [
    (INK, PAPER),
    (INK, SHADE),
    (QUIET, PAPER),
    (TEAL, PAPER),
    (PLUM, PAPER),
    ("#FFFFFF", TEAL),
]


@pytest.mark.parametrize(("text", "ground"), PAIRS + [(INK, ground) for ground in CALLOUTS])
def test_text_can_be_read(text: str, ground: str) -> None:
    assert contrast(text, ground) >= 4.5
