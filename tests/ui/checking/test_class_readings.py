"""A class's readings against its clips."""

from dataclasses import replace
from math import radians, tan

import pytest

from solver.readings import Moved
from solver.slips import Slip
from tests.ui.classroom.views import NOW, TIN, slides, topples, view_of
from ui.checking.checkable import checkable, distinct_names
from ui.checking.class_chart import KINDS, LANES, _lanes, readings_chart
from ui.checking.class_readings import class_readings, to_discuss
from ui.checking.typed import last_figure_m, worked_height
from ui.record.rows import StudentReading
from vision.reading import Outcome

HEIGHT_MM = 34 / tan(radians(22))


def lesson(*readings, clips=None):
    """Tables 1, 2 and 3 with a clip each at 22°; readings are (table, degrees, mm, label)."""
    view = view_of(clips or [topples(table, HEIGHT_MM) for table in (1, 2, 3)])
    rows = tuple(
        StudentReading(i, table, by, radians(deg), radians(1), mm and mm / 1e3, "", None, NOW)
        for i, (table, deg, mm, by) in enumerate(readings, 1)
    )
    return replace(view, student_readings=rows)


def checked(*readings):
    moved = Moved(radians(23), radians(26))
    return class_readings(lesson(*readings), lambda reading: moved)


def test_bias_and_spread_of_those_that_count():
    found = checked((1, 22, None, "a"), (1, 23, None, "b"), (2, 22, None, "c"), (2, 21, None, "d"))
    assert found.bias.result.value == pytest.approx(0, abs=1e-9)
    assert found.spread_rad == pytest.approx(radians((2 / 3) ** 0.5))
    assert [group.group for group in found.bias.groups] == ["Table 1", "Table 2"]


def test_a_clips_own_uncertainty_is_shared_by_all_readings_of_it():
    """0.2° of the clip and 0.41° of each of 16 protractors."""
    found = checked(*((1, 22, None, f"{i}") for i in range(16)))
    assert found.bias.result.u == pytest.approx(radians((0.2**2 + 1 / 6 / 16) ** 0.5), rel=1e-6)


def test_a_misread_scale_and_a_gross_reading_stand_apart_and_are_not_lost():
    found = checked((1, 22, None, ""), (1, 158, None, ""), (2, 68, None, ""), (3, 40, None, ""))
    assert len(found.all) == 4
    assert [each.reading.protractor_rad for each in found.counted] == [radians(22)]
    assert len(found.apart) == 3
    assert found.spread_rad is None


def test_only_the_first_try_of_a_label_counts():
    found = checked((1, 25, None, "Pupil 7"), (1, 22, None, "pupil 7 "), (2, 22, None, "pupil 7"))
    assert [each.first for each in found.all] == [True, False, True]
    assert found.repeated == 1
    assert checked((1, 22, None, ""), (1, 22, None, "")).repeated == 0


def test_whose_method_to_discuss():
    """Table 2 reads late, Table 3 from the wrong end, one of Table 1 takes the diameter."""
    late = [(2, deg, None, f"late {i}") for i, deg in enumerate((24, 24.5, 24, 25))]
    found = checked(
        (1, 22, 2 * HEIGHT_MM, "a"), (1, 22, None, "b"), (1, 21.5, None, "c"),
        *late, (3, 158, None, "d"), (3, 22, None, "e"),
    )  # fmt: skip
    told = to_discuss(found)
    assert any(words.startswith("Table 2 reads 2.37° ± ") and "above" in words for words in told)
    assert f"Table 1, slips in 3 readings: {Slip.DIAMETER} (1)." in told
    assert f"Table 2, slips in 4 readings: {Slip.BODY_MOVED} (4)." in told
    assert f"Table 3, slips in 2 readings: {Slip.OTHER_END} (1)." in told
    assert not any(words.startswith("Table 1 reads") for words in told)


def test_a_class_that_reads_well_has_nothing_to_discuss():
    assert to_discuss(checked((1, 22, None, ""), (2, 22, None, ""), (3, 22, None, ""))) == []


def test_readings_of_a_clip_that_lost_its_angle_are_left_out():
    view = lesson((1, 22, None, ""))
    lost = replace(view.readings[0], outcome=Outcome.UNREADABLE, angle_rad=None, budget=())
    assert class_readings(replace(view, readings=(lost,)), lambda _: None).all == ()


def test_no_readings_have_no_bias():
    found = checked()
    assert (found.bias, found.spread_rad, to_discuss(found)) == (None, None, [])


def test_clips_are_named_by_group_body_and_repeat():
    view = view_of([topples(1, 84), topples(1, 84), slides(2, 0.36), topples(None, 84)])
    repeated = replace(view.clips[1], repeat=2)
    view = replace(view, clips=(view.clips[0], repeated, *view.clips[2:]))
    found = checkable(view)
    assert distinct_names(found) == [
        "Leaf tea tin",
        "Table 1, Leaf tea tin",
        "Table 1, Leaf tea tin, repeat 2",
        "Table 2, Seed tub",
    ]
    assert [each.toppled for each in found] == [True, True, True, False]
    assert found[3].radius_m is None
    assert found[1].radius_m.nominal_value == TIN.radius_m


def test_two_clips_called_alike_are_told_apart_by_their_own_names():
    names = distinct_names(checkable(view_of([topples(1, 84), topples(1, 85)])))
    assert names == ["Table 1, Leaf tea tin (clip_1.mp4)", "Table 1, Leaf tea tin (clip_2.mp4)"]


@pytest.mark.parametrize(("mm", "last_mm"), [(84, 1), (84.1, 0.1), (84.15, 0.01), (110, 1)])
def test_the_last_figure_of_what_was_typed(mm, last_mm):
    assert last_figure_m(mm / 1000) == pytest.approx(last_mm / 1000)
    assert worked_height(mm).step_m == pytest.approx(last_mm / 1000)
    assert worked_height(None) is None


def test_the_chart_has_a_mark_for_each_and_no_two_upon_each_other():
    found = checked((1, 22, None, "a"), (1, 22, None, "b"), (1, 158, None, "c"), (2, 25, None, ""))
    chart = readings_chart(found.all, found.bias).to_dict()
    points = next(each for each in chart["layer"] if each["mark"]["type"] == "point")
    marks = points["data"]["values"]
    assert [row["kind"] for row in marks] == [KINDS[0], KINDS[0], KINDS[2], KINDS[1]]
    assert len({(row["group"], row["lane"], row["off"]) for row in marks}) == 4
    reach = chart["layer"][0]["encoding"]["x"]["scale"]["domain"][1]
    assert marks[2]["off"] == reach
    assert marks[2]["read"] == "158°"
    assert chart["layer"][0]["encoding"]["x"]["title"] == "reading − clip / °"


def test_lanes_are_shared_when_they_are_all_taken():
    assert _lanes([("A", 0.0)] * 5) == [0, 1, 2, LANES - 1, LANES - 1]
    assert _lanes([("A", 0.0), ("B", 0.0), ("A", 2.0)]) == [0, 0, 0]
