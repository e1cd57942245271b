import pytest
from hypothesis import given
from hypothesis import strategies as st

from ui.handouts.axis import MOST_TICKS, Axis

NUMBERS = st.floats(-1e6, 1e6).map(lambda number: round(number, 4))


def test_ticks_are_round_numbers() -> None:
    texts = [tick["text"] for tick in Axis.round([81.9, 90.9]).ticks()]
    assert texts == ["82", "84", "86", "88", "90"]
    assert [tick["text"] for tick in Axis.round([0.30, 0.48]).ticks()] == [
        "0.30", "0.35", "0.40", "0.45",
    ]  # fmt: skip


def test_one_value_alone_has_an_axis_too() -> None:
    axis = Axis.round([84.0])
    assert axis.place(84.0) == pytest.approx(0.5)
    assert axis.ticks()
    assert Axis.round([0.0]).ticks()


@given(st.lists(NUMBERS, min_size=1, max_size=20))
def test_all_values_lie_on_it_and_ticks_are_few_and_apart(values: list[float]) -> None:
    axis = Axis.round(values)
    assert all(0 < axis.place(value) < 1 for value in values)
    places = [tick["at"] for tick in axis.ticks()]
    assert 1 <= len(places) <= MOST_TICKS + 1
    assert all(-1e-6 <= place <= 1 + 1e-6 for place in places)
    assert places == sorted(places)
    texts = [tick["text"] for tick in axis.ticks()]
    assert len(set(texts)) == len(texts)
