"""Six marks on the first frame."""

import pytest

from solver.errors import InputError
from ui.marking import HANDLES, first_guess, marks_of
from ui.stills import Still

STILL = Still(b"", 1280, 720)
GOOD = [(352, 592), (938, 611), (606, 540), (602, 222), (709, 540), (705, 222)]


def test_marks_keep_their_order() -> None:
    marks = marks_of(GOOD, STILL)
    assert marks.board_edge == ((352, 592), (938, 611))
    assert marks.body_left == ((606, 540), (602, 222))
    assert marks.body_right == ((709, 540), (705, 222))


def test_the_first_guess_can_be_measured_in_any_picture() -> None:
    for width, height in ((1280, 720), (720, 1280), (3840, 2160), (640, 480)):
        still = Still(b"", width, height)
        guess = first_guess(still)
        assert len(guess) == len(HANDLES)
        marks_of(guess, still)


@pytest.mark.parametrize(
    ("moved", "words"),
    [
        ({0: (-1, 592)}, "'board, hinge end' lies outside"),
        ({3: (602, 720)}, "'body left, top' lies outside"),
        ({1: (360, 592)}, "board's edge lie too close"),
        ({4: (705, 240)}, "right outline lie too close"),
        ({2: (720, 540), 3: (716, 222)}, "left outline must lie to the left"),
        ({4: (709, 222), 5: (705, 540)}, "base must lie below its top"),
    ],
)
def test_marks_that_cannot_be_are_refused(moved: dict, words: str) -> None:
    points = [moved.get(i, point) for i, point in enumerate(GOOD)]
    with pytest.raises(InputError, match=words):
        marks_of(points, STILL)
