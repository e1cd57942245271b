"""What a lesson's clips say together."""

from __future__ import annotations

import pytest
from uncertainties import nominal_value, std_dev

from solver.quantities import Quantity
from tests.ui.classroom.views import FELT, PAPER, TIN, TUB, Shot, slides, topples, view_of
from ui.answer import Answer, answer
from ui.classroom import results
from ui.classroom.results import (
    BY_BALANCE,
    BY_TOPPLING,
    NO_GROUP,
    body_results,
    friction_results,
    measured_clips,
)
from ui.record.rows import BalanceReading, Prediction
from vision.reading import ClipReading, Outcome


def balanced(number: int, group: int, overhang_mm: float, end: str = "base") -> BalanceReading:
    return BalanceReading(number, 1, group, TIN.id, overhang_mm / 1000, end, 0.002, 0.0)


def test_groups_are_pooled_by_body() -> None:
    view = view_of([topples(1, 83), topples(1, 85), topples(2, 84), topples(2, 60, TUB)])
    tin, tub = body_results(view)
    assert (tin.body, tub.body) == (TIN, TUB)
    assert tin.toppling is not None and tub.toppling is not None
    pooled = tin.toppling.pooled
    assert [group.group for group in pooled.groups] == ["Table 1", "Table 2"]
    assert [group.count for group in pooled.groups] == [2, 1]
    assert pooled.result.value == pytest.approx(0.084, rel=1e-3)
    assert nominal_value(tub.toppling.pooled.mean) == pytest.approx(0.060)


def test_groups_come_in_the_order_in_which_people_count_them() -> None:
    (tin,) = body_results(view_of([topples(group, 84) for group in (10, None, 2, 1)]))
    assert tin.toppling is not None
    groups = [each.group for each in tin.toppling.pooled.groups]
    assert groups == ["Table 1", "Table 2", "Table 10", NO_GROUP]


def test_one_rule_measured_the_radius_of_all() -> None:
    """However many clips: the radius's own share does not shrink."""
    view = view_of([topples(i % 6 + 1, 84, u_deg=0.001) for i in range(30)])
    (tin,) = body_results(view)
    assert tin.toppling is not None
    u = std_dev(tin.toppling.pooled.mean)
    assert u == pytest.approx(0.084 * TIN.radius_u_m / TIN.radius_m, rel=0.02)


def test_a_groups_only_reading_is_as_uncertain_as_its_clip_is_said_to_be() -> None:
    for shots in ([topples(1, 84)], [topples(1, 84), topples(2, 83)]):
        view = view_of(shots)
        (tin,), (clip, *_) = body_results(view), measured_clips(view)
        assert tin.toppling is not None and clip.answer is not None and clip.answer.height
        group = tin.toppling.pooled.groups[0]
        # The start is level within limits, so its share takes less than 1.96 to cover.
        assert group.result.coverage_factor < 1.955
        assert group.result.half_width == pytest.approx(clip.answer.height.linear.half_width)
    (tin,) = body_results(view_of([topples(1, 84)]))
    assert tin.toppling is not None
    assert tin.toppling.pooled.result == tin.toppling.pooled.groups[0].result


def test_scatter_that_other_groups_show_widens_an_only_reading() -> None:
    shots = [topples(1, 84), topples(2, 75), topples(2, 93), topples(2, 84)]
    view = view_of(shots)
    (tin,), (clip, *_) = body_results(view), measured_clips(view)
    assert tin.toppling is not None and clip.answer is not None and clip.answer.height
    assert tin.toppling.pooled.groups[0].result.u > 2 * clip.answer.height.linear.u


def test_what_gives_no_height_is_left_out_with_its_reason() -> None:
    view = view_of(
        [
            topples(1, 84),
            Shot(2, Outcome.UNREADABLE),
            Shot(1, Outcome.STAYS),
            topples(3, 84, u_deg=12),
        ]
    )
    (tin,) = body_results(view)
    assert tin.toppling is not None and len(tin.toppling.repeats) == 1
    unread, stayed, unsure = tin.left_out
    assert unread.startswith("clip_2.mp4 of Table 2 could not be read. It was seen")
    assert stayed.startswith("clip_3.mp4 of Table 1 stays. It had not toppled at 22°")
    assert unsure.startswith("clip_4.mp4 of Table 3 topples.") and "more closely" in unsure


def test_balancing_and_predictions_stand_beside_toppling() -> None:
    view = view_of(
        [topples(1, 84), topples(2, 84)],
        balance=[balanced(1, 1, 82), balanced(2, 1, 82), balanced(3, 2, 82.5)],
        predictions=[Prediction(1, TIN.id, 0.090, 0.0005, "from its parts")],
    )
    (tin,) = body_results(view)
    assert [way.name for way in tin.ways] == [BY_TOPPLING, BY_BALANCE, "predicted (from its parts)"]
    assert tin.balance is not None
    assert [group.group for group in tin.balance.pooled.groups] == ["Table 1", "Table 2"]
    assert nominal_value(tin.balance.pooled.mean) == pytest.approx(0.0842, abs=0.0001)
    agreement = {(each.first, each.second): each.agreement.agrees for each in tin.beside}
    assert agreement[BY_TOPPLING, BY_BALANCE]
    assert not agreement[BY_BALANCE, "predicted (from its parts)"]


def test_a_balance_without_a_length_is_not_used_and_says_so() -> None:
    reading = BalanceReading(1, 1, 1, TUB.id, 0.05, "base", 0.0, 0.0)
    (tub,) = body_results(view_of([topples(1, 60, TUB)], balance=[reading]))
    assert tub.balance is None
    assert tub.left_out == (
        "The balance readings are not used. Give the length of the Seed tub, base to top.",
    )


def test_a_reading_that_stands_out_is_pointed_out_and_stays_in() -> None:
    shots = [topples(i % 3 + 1, 84 + 0.2 * (i % 4)) for i in range(11)] + [topples(3, 99)]
    (tin,) = body_results(view_of(shots))
    assert tin.toppling is not None
    assert len(tin.toppling.repeats) == 12
    assert any(suspicion.rows == (11,) for suspicion in tin.toppling.suspicions)


def test_friction_goes_by_surface_and_body() -> None:
    view = view_of([slides(1, 0.36), slides(2, 0.38), slides(2, 0.5, FELT), slides(1, 0.4, None)])
    found = {(each.surface, each.body): each.friction.pooled for each in friction_results(view)}
    assert set(found) == {
        (PAPER.name, TUB.name), (FELT.name, TUB.name), ("no surface named", TUB.name),
    }  # fmt: skip
    assert found["Paper", "Seed tub"].result.value == pytest.approx(0.37, abs=0.001)


def test_clips_without_a_group_are_kept_apart() -> None:
    (only,) = measured_clips(view_of([topples(None, 84)]))
    assert only.group == NO_GROUP


def test_a_lesson_without_readings_has_no_results() -> None:
    assert body_results(view_of([])) == () == friction_results(view_of([]))


def test_each_clip_is_answered_once_for_all_that_is_said_of_a_lesson(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = []

    def counting(reading: ClipReading, radius_m: Quantity) -> Answer:
        asked.append(reading)
        return answer(reading, radius_m)

    monkeypatch.setattr(results, "answer", counting)
    view = view_of([topples(1, 81.7), topples(2, 81.8), slides(1, 0.417)])
    for say in (measured_clips, body_results, friction_results):
        say(view)
    assert len(asked) == 3
