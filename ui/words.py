"""What the page and the command say, in plain sentences."""

from __future__ import annotations

import re

from uncertainties import nominal_value

from solver.propagation import Linear
from solver.quantities import DEGREE, MILLIMETRE, Quantity, Unit
from solver.rounding import rounded, rounded_interval
from solver.toppling import CentreHeight
from ui.answer import Answer
from vision.reading import Outcome

LEAST_USUAL_RADIUS_M = 0.010
"""Below this a radius in mm is more likely one in cm: tins and tubs measure 20 to 60 mm."""

SYNTHETIC = "The samples are synthetic renderings with known truth: no one was filmed."

SAFETY = (
    "Stand the board over a padded tray: the body will fall.",
    "Keep feet out from under it, and fingers clear of the hinge.",
    "Use no glass. Secure the rod and the lump.",
    "Leave no bags or leads to trip on.",
)
FILMING = (
    "Frame the board, not the pupils.",
    "Clips stay on this machine and can be deleted in one click.",
)
JOINER = "\u2060"
MADE_OF_TEXT = re.compile(
    r"(?<=:)(?=//|\w[\w/+-]*:)|(?<=www)(?=\.)|(?<=@)|(?<=[-<>~])(?=[-=>])", re.IGNORECASE
)
"""Places inside an address, an icon's name, or a sign that is drawn with several letters."""

FIRST = (
    "Your school's own risk assessment and data-protection policy, and the technician's advice, "
    "come before this page."
)


def headline(answer: Answer) -> str:
    """The outcome in one sentence."""
    outcome, largest = answer.reading.outcome, answer.reading.largest_tilt_rad
    if outcome is Outcome.TOPPLES and answer.angle:
        return f"The body toppled when the board stood at {interval(answer.angle, DEGREE)}."
    if outcome is Outcome.SLIDES and answer.angle:
        return f"The body slid when the board stood at {interval(answer.angle, DEGREE)}."
    if outcome is Outcome.STAYS and largest is not None:
        return f"The body stayed where it was, up to a tilt of {plain(largest, DEGREE)}."
    if outcome is Outcome.UNREADABLE:
        return "This clip could not be read."
    return f"The body {outcome}."


def interval(result: Linear, unit: Unit) -> str:
    """A result with its 95 % half-width, both in ``unit``."""
    texts = rounded(result.value / unit.in_si, result.half_width / unit.in_si)
    return f"{_with(texts.value, unit)} ± {_with(texts.uncertainty, unit)}"


def height_interval(height: CentreHeight) -> str:
    """A centre height with its interval; with both ends where a ± does not say it well."""
    linear = height.linear
    if not height.differs:
        return interval(linear, MILLIMETRE)
    value = rounded(linear.value / MILLIMETRE.in_si, linear.half_width / MILLIMETRE.in_si).value
    low_m, high_m = height.interval_m
    low, high = rounded_interval(low_m / MILLIMETRE.in_si, high_m / MILLIMETRE.in_si)
    return f"{value} mm ({low} to {high})"


def plain(value: Quantity, unit: Unit) -> str:
    """A value to one decimal, for what is said in passing."""
    return _with(f"{nominal_value(value) / unit.in_si:.1f}".replace("-", "−"), unit)


def unit_doubt(radius_m: Quantity) -> str:
    """A warning where a radius looks like centimetres typed as millimetres; else nothing."""
    if nominal_value(radius_m) >= LEAST_USUAL_RADIUS_M:
        return ""
    typed = nominal_value(radius_m) / MILLIMETRE.in_si
    return (
        f"A base radius of {typed:g} mm is small for a body on a board. Was it measured in cm? "
        f"{typed:g} cm are {10 * typed:g} mm."
    )


def as_text(words: str) -> str:
    """Words from a user or a file, so that Markdown shows them as they are.

    What Streamlit makes of plain text after Markdown is done with it (links out of
    addresses, icons out of names, arrows out of hyphens) is kept apart by a joiner
    that takes no room.
    """
    printable = "".join(letter if letter.isprintable() else "\ufffd" for letter in words)
    apart = MADE_OF_TEXT.sub(JOINER, re.sub(r"^ {4,}", " ", printable))
    return re.sub(r"([\\`*_{}\[\]()#+\-.!|<>$~:&])", r"\\\1", apart)


def _with(number: str, unit: Unit) -> str:
    return number + ("" if unit.symbol in ("", "°") else " ") + unit.symbol
