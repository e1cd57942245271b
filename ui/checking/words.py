"""What a student is told: first where to look, and only then what was found."""

from __future__ import annotations

from collections.abc import Sequence

from uncertainties import nominal_value

from solver.quantities import DEGREE, MILLIMETRE, Unit, decimal
from solver.readings import Basis, Check, HeightCheck, Verdict
from solver.repeats import Agreement
from solver.rounding import rounded
from solver.slips import Explanation, Slip
from ui.answer import reckoned

HINTS = {
    Slip.OTHER_END: (
        "A protractor has two scales. Which of them begins with 0 on the table, on the side of "
        "the end you lifted? Is the tilt you saw more or less than a right angle?"
    ),
    Slip.FROM_UPRIGHT: (
        "Look at where your base line lay. The tilt of the board is counted from the level table, "
        "not from the upright, nor along the side of the body."
    ),
    Slip.BODY_MOVED: (
        "When did you read the scale? The board goes on rising while the body falls. The angle is "
        "that at which the body is just about to go."
    ),
    Slip.DIAMETER: "Look at the length you put over the tangent: where on the base does it begin?",
    Slip.UPSIDE_DOWN: (
        "Draw the triangle: the pivot, the middle of the base, the centre of mass. Which side lies "
        "opposite the angle, and which beside it?"
    ),
    Slip.SINE: (
        "Draw the triangle: the two sides you use are the radius and the height. Is either of them "
        "its longest side?"
    ),
    Slip.COSINE: (
        "Draw the triangle: the two sides you use are the radius and the height. Is either of them "
        "its longest side?"
    ),
    Slip.RADIANS: "Try tan 45 on your calculator. It should say 1: what does yours say?",
    Slip.CENTIMETRES: "Write the unit behind every length. Are all of them the same?",
}
LOOK_AT_ANGLE = (
    "Look again at the three things a protractor needs: its centre on the hinge, its base line "
    "along the table, and your eye straight in front of the mark you read."
)
LOOK_AT_HEIGHT = (
    "Go through your working line by line: the triangle, the lengths with their units, the angle, "
    "the key you pressed."
)

FOUND = {
    Slip.OTHER_END: "the number was read from the other end of the scale: 180° − θ",
    Slip.FROM_UPRIGHT: "the angle was measured from the upright, not from the level: 90° − θ",
    Slip.BODY_MOVED: "it was read after the body had moved, with the board already higher",
    Slip.DIAMETER: "the diameter was used where the radius belongs",
    Slip.UPSIDE_DOWN: "the tangent was turned upside down: x = r × tan θ instead of r / tan θ",
    Slip.SINE: "the sine was used for the tangent",
    Slip.COSINE: "the cosine was used for the tangent",
    Slip.RADIANS: "the calculator was set to radians",
    Slip.CENTIMETRES: "millimetres and centimetres were mixed: it is out by a factor of ten",
}


def hints(check: Check) -> list[str]:
    """Where to look, for each of the numbers that differs; nothing of the answer."""
    words = []
    if not check.angle.agreement.agrees:
        words += _hints(check.angle.explanations, LOOK_AT_ANGLE)
    if check.height is not None and not check.height.follows:
        words += _hints(check.height.explanations, LOOK_AT_HEIGHT)
    return words


def _hints(explanations: Sequence[Explanation], otherwise: str) -> list[str]:
    """The hint of each slip that explains the number, once."""
    slips = [slip for explanation in explanations for slip in explanation.slips]
    return list(dict.fromkeys(HINTS[slip] for slip in slips)) or [otherwise]


HEADLINES = {
    Verdict.AGREES: "Your reading agrees with the clip.",
    Verdict.ANGLE_DIFFERS: "Your angle and the clip's differ by more than their intervals allow.",
    Verdict.HEIGHT_DIFFERS: "Your angle agrees with the clip. Your x does not follow from it.",
    Verdict.BOTH_DIFFER: (
        "Your angle and the clip's differ by more than their intervals allow, and your x does "
        "not follow from your angle."
    ),
}


def headline(check: Check) -> str:
    """The verdict in a sentence, without the answer."""
    if check.verdict is Verdict.AGREES and check.height is not None:
        return "Your reading agrees with the clip, and your x follows from it."
    return HEADLINES[check.verdict]


def apart(agreement: Agreement, unit: Unit, yours: str, theirs: str) -> str:
    """How far two numbers lie from each other, and what that is measured by."""
    gap = nominal_value(agreement.difference) / unit.in_si
    u95 = reckoned(agreement.difference).half_width / unit.in_si
    texts = rounded(abs(gap), u95)
    space = "" if unit is DEGREE else " "
    side = "above" if gap >= 0 else "below"
    verdict = "They agree" if agreement.agrees else "They do not agree"
    return (
        f"{yours} lies {texts.value}{space}{unit.symbol} {side} {theirs}; their intervals together "
        f"allow ±{texts.uncertainty}{space}{unit.symbol}. {verdict}."
    )


def likely(explanations: Sequence[Explanation], number: str, unit: Unit) -> str:
    """The slips that explain a number, the likeliest first."""
    if not explanations:
        return f"No usual slip leads to {number}. Measure or work it once more, step by step."
    told = [_told(explanation, unit) for explanation in explanations]
    if len(told) == 1 and len(explanations[0].slips) == 1:
        return f"What probably happened: {told[0]}."
    if len(told) == 1:
        return f"Two slips together would lead to {number}: {told[0]}. Look at both."
    listed = "; or ".join(told)
    return f"More than one slip leads to {number}: {listed}. Only you can tell which."


def worked_from(check: HeightCheck) -> str:
    """Which angle a height follows from; empty where from none."""
    if check.basis is Basis.OWN_ANGLE:
        return "Your x follows from your angle."
    if check.basis is Basis.CLIPS_ANGLE and check.own_m is not None:
        return "Your x follows from the clip's angle, not from the one you typed."
    return "Your x is what the clip's angle gives." if check.basis else ""


def _told(explanation: Explanation, unit: Unit) -> str:
    slips = ", and ".join(FOUND[slip] for slip in explanation.slips)
    if explanation.slips == (Slip.BODY_MOVED,):
        return slips
    space = "" if unit is DEGREE else " "
    figures = decimal(explanation.expected / unit.in_si, 3)
    return f"{slips}. That gives {figures}{space}{unit.symbol}".replace("-", "−")


def plain_height(height_m: float) -> str:
    """A height as it was given."""
    return MILLIMETRE.show(height_m, 4)
