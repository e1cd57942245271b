"""The outcome, its angle and its reasons, from motions whose outcome is known."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, radians

import numpy as np
import pytest

from tests.vision.conftest import TIN, refined
from tests.vision.followed import blinded
from vision import rivals, verdict
from vision.falling import fit_fall
from vision.reading import Outcome, Story, level_start
from vision.scene import CAMERA
from vision.verdict import UncertainError, Verdict, course_of, judge


def _judged(motion) -> Verdict:
    return judge(motion, TIN.radius_m, level_start())


@pytest.fixture(scope="module")
def topples(toppling_motion) -> Verdict:
    return _judged(toppling_motion)


@pytest.fixture(scope="module")
def slides(sliding_motion) -> Verdict:
    return _judged(sliding_motion)


@pytest.fixture(scope="module")
def stays(staying_motion) -> Verdict:
    return _judged(staying_motion)


def test_a_body_that_topples(topples):
    assert topples.outcome is Outcome.TOPPLES
    assert degrees(topples.angle_rad.nominal_value) == pytest.approx(
        degrees(TIN.brink_rad), abs=0.15
    )
    off = topples.angle_rad.nominal_value - TIN.brink_rad
    assert abs(off) < 3 * topples.angle_rad.std_dev
    assert f"{degrees(topples.angle_rad.nominal_value):.1f}°" in topples.reasons[0]
    assert f"{topples.onset_s:.2f} s" in topples.reasons[0]


def test_a_body_that_slides(slides):
    assert slides.outcome is Outcome.SLIDES
    assert degrees(slides.angle_rad.nominal_value) == pytest.approx(degrees(atan(0.25)), abs=0.4)
    assert "slipped down the board before it leaned" in slides.reasons[0]


def test_a_body_that_stays(stays):
    assert stays.outcome is Outcome.STAYS
    assert stays.angle_rad is None and stays.onset_s is None
    assert degrees(stays.largest_tilt_rad.nominal_value) == pytest.approx(14.0, abs=0.15)
    assert "14.0°" in stays.reasons[0]


def test_the_largest_tilt_is_one_the_body_stood_at(topples, toppling_film):
    largest = topples.largest_tilt_rad.nominal_value
    assert largest <= topples.angle_rad.nominal_value + radians(0.1)
    # Within a frame of the brink: 0.2° at 6°/s.
    assert degrees(topples.angle_rad.nominal_value - largest) < 0.35


def test_reasons_are_sentences(topples, slides, stays):
    for found in (topples, slides, stays):
        for reason in found.reasons:
            assert reason[0].isupper() and reason.endswith(".") and "nan" not in reason


def test_the_series_is_the_motion_in_metres(topples, toppling_film, toppling_motion):
    series, film = topples.series, toppling_film
    count = len(film.followed)
    for name in ("frame", "time_s", "tilt_rad", "lean_rad", "slip_m", "tilt_u_rad", "slip_u_m"):
        assert getattr(series, name).shape == (count,)
    assert np.degrees(series.tilt_rad - film.truth[:, 0]) == pytest.approx(
        np.zeros(count), abs=0.12
    )
    assert np.all(series.tilt_u_rad > 0) and np.all(series.lean_u_rad > 0)


def test_slip_is_in_metres_by_the_bodys_radius(sliding_film, slides):
    """Slipped by more than 30 mm by the end; the camera has no other measure of length."""
    true = sliding_film.truth[:, 2]
    assert true.max() > 0.03
    assert slides.series.slip_m == pytest.approx(true, abs=0.0015, rel=0.05)


def test_lengths_follow_the_radius_and_angles_do_not(sliding_motion):
    one, two = (course_of(sliding_motion, radius) for radius in (0.03, 0.06))
    for name in ("slip_m", "slip_u_m", "height_m", "place_m", "radius_m"):
        assert getattr(two, name) == pytest.approx(2 * getattr(one, name))
    for name in ("tilt_rad", "lean_rad", "tilt_u_rad", "lean_u_rad", "time_s"):
        assert np.array_equal(getattr(two, name), getattr(one, name))


def test_the_course_knows_the_body(toppling_motion):
    course = course_of(toppling_motion, TIN.radius_m)
    assert course.height_m == pytest.approx(TIN.height_m, rel=0.15)
    assert course.place_m == pytest.approx(0.14, rel=0.1)


def test_a_body_out_of_sight_for_a_while_is_judged_all_the_same(toppling_film):
    found = _judged(refined(blinded(toppling_film, slice(40, 50))))
    assert found.outcome is Outcome.TOPPLES
    assert degrees(found.angle_rad.nominal_value) == pytest.approx(degrees(TIN.brink_rad), abs=0.15)
    assert np.isnan(found.series.lean_rad[40:50]).all()


@pytest.mark.parametrize("times", [0.3, 3.0])
def test_what_does_not_fall_as_a_body_is_no_toppling(monkeypatch, toppling_motion, times):
    fitted = fit_fall(course_of(toppling_motion, TIN.radius_m))
    odd = replace(fitted.brink, rate_per_s=times * fitted.brink.rate_per_s)
    monkeypatch.setattr(rivals, "fit_fall", lambda course: replace(fitted, brink=odd))
    with pytest.raises(UncertainError, match="not as a toppling or sliding body"):
        _judged(toppling_motion)


def test_a_body_whose_outlines_are_hardly_found_at_the_end_has_not_stayed(staying_motion):
    """It went, and now and then another edge is taken for one of them."""
    outlines = [k for k, line in enumerate(staying_motion.scene.lines) if line.is_outline]
    points = staying_motion.edges.points.copy()
    late = staying_motion.time_s > staying_motion.time_s[-1] - 1.5
    points[np.ix_(late, outlines[:1])] = np.nan
    points[np.flatnonzero(late)[::2], outlines[1]] = np.nan
    edges = replace(staying_motion.edges, points=points)
    with pytest.raises(UncertainError, match="lost from sight"):
        _judged(replace(staying_motion, edges=edges))


def test_a_board_lost_about_the_brink_gives_no_angle(toppling_motion, topples):
    """Its tilt is then but a guess between what was seen before and after."""
    board = [k for k, line in enumerate(toppling_motion.scene.lines) if line.of_board]
    points = toppling_motion.edges.points.copy()
    about = np.abs(toppling_motion.time_s - topples.onset_s) < 0.5
    points[np.ix_(about, board)] = np.nan
    edges = replace(toppling_motion.edges, points=points)
    with pytest.raises(UncertainError, match="board's edges were lost"):
        _judged(replace(toppling_motion, edges=edges))


def test_a_body_without_a_place_is_none(toppling_motion):
    shared = toppling_motion.scene.shared.copy()
    shared[CAMERA + 2] = 1e-6
    scene = replace(toppling_motion.scene, shared=shared)
    with pytest.raises(UncertainError, match="not as a toppling or sliding body"):
        _judged(replace(toppling_motion, scene=scene))


def test_the_evidence_is_on_the_verdict_the_best_first(topples, slides, stays):
    for found in (topples, slides, stays):
        assert found.evidence[0].behind == 0.0
        assert found.evidence[0].story.outcome is found.outcome
        assert all(rival.behind > 30 for rival in found.evidence[1:])
    assert {rival.story for rival in stays.evidence} == {
        Story.STAYS, Story.TOPPLES, Story.SLIDES
    }  # fmt: skip


def test_a_body_that_was_followed_till_it_fell_has_not_stayed(staying_motion):
    """What was followed leaned too far to be a standing body, what was fitted did not."""
    with pytest.raises(UncertainError, match="lost from sight"):
        judge(staying_motion, TIN.radius_m, level_start(), body_gone=True)


def test_stories_that_explain_the_motion_alike_are_not_told_apart(monkeypatch, toppling_motion):
    contest = rivals.compete(course_of(toppling_motion, TIN.radius_m))
    close = replace(contest, rivals=(contest.rivals[0], replace(contest.rivals[1], behind=4.4)))
    monkeypatch.setattr(verdict, "compete", lambda course: close)
    with pytest.raises(UncertainError, match=r"toppling from standing still \(.* 4;"):
        _judged(toppling_motion)
    assert judge(toppling_motion, TIN.radius_m, level_start(), 3.0).outcome is Outcome.TOPPLES


def test_a_body_that_was_only_seen_to_begin_is_not_read(monkeypatch, toppling_motion):
    contest = rivals.compete(course_of(toppling_motion, TIN.radius_m))
    begun = replace(contest, fall=replace(contest.fall, brink=None))
    monkeypatch.setattr(verdict, "compete", lambda course: begun)
    monkeypatch.setattr(verdict, "_followed_to_the_end", lambda motion, course: True)
    with pytest.raises(UncertainError, match="began to go"):
        _judged(toppling_motion)


def test_a_lean_that_no_law_explains_is_no_body(monkeypatch, toppling_motion):
    contest = rivals.compete(course_of(toppling_motion, TIN.radius_m))
    best, *others = contest.rivals
    none = replace(
        contest,
        rivals=(replace(best, story=Story.STAYS), replace(others[0], story=Story.TOPPLES)),
    )
    monkeypatch.setattr(verdict, "compete", lambda course: none)
    with pytest.raises(UncertainError, match="another edge"):
        _judged(toppling_motion)


def test_a_body_that_was_hardly_seen_is_not_read(toppling_film):
    hidden = blinded(toppling_film, slice(8, None))
    with pytest.raises(UncertainError, match="lost from sight"):
        _judged(refined(hidden))
