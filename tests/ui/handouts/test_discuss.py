from __future__ import annotations

from math import atan, radians, tan

from tests.ui.handouts.lessons import empty, large
from ui.handouts.demo import invented_lesson
from ui.handouts.discuss import points


def test_a_class_that_differs_is_asked_why() -> None:
    found = points(invented_lesson())
    assert any("times as far apart as" in each for each in found)
    assert any("scatter of the groups" in each for each in found)
    assert any("Table 2, slips in 1 readings: read from the other end" in each for each in found)


def test_a_class_that_agrees_is_asked_what_it_would_not_see() -> None:
    found = points(large(1, 3, 4))
    assert any("differ no more than their intervals allow" in each for each in found)


def test_what_one_degree_does_is_that_of_the_class() -> None:
    x = invented_lesson().bodies[0].toppling.pooled.result.value
    angle = radians(1) + atan(0.034 / x)
    moved = 1000 * (x - 0.034 / tan(angle))
    assert any(f"makes x {moved:.2g} mm too small" in each for each in points(invented_lesson()))


def test_friction_is_given_with_the_classs_interval() -> None:
    found = next(each for each in points(invented_lesson()) if "slid on the planed board" in each)
    assert "μ = 0.384 ± 0.095" in found


def test_nothing_measured_is_nothing_to_discuss() -> None:
    assert points(empty()) == []
