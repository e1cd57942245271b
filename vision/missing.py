"""What was not to be seen, and what to do about it."""

from __future__ import annotations


class NotFoundError(Exception):
    """The board or the body is not to be seen; the message says which."""


class NothingTurnedError(NotFoundError):
    """No board was raised in the picture."""


NO_TURN = (
    "Nothing in the picture turned together by some degrees. Film the board from its "
    "side, all of it in the picture, and raise it until the body goes."
)
NO_BOARD = (
    "No straight board edge turned with the board. Film it from the side with its long "
    "edge towards the phone and in full view, or mark the edge by hand."
)
NO_BODY = (
    "No body with two straight sides was seen to turn with the board. Use a plain "
    "background that differs from the body, or mark the body's outline by hand."
)
EDGE_LOST = (
    "The board's long edge could not be followed. Film it in full view, against a "
    "table that differs from it, or mark the edge by hand."
)
BODY_ODD = (
    "The body's outline did not move as a standing cylinder's does. "
    "Mark the body's outline by hand."
)
