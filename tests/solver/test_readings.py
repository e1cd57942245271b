from math import cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import std_dev, ufloat

from solver.errors import AngleError, LengthError
from solver.quantities import DEGREE
from solver.readings import (
    Basis,
    Check,
    Moved,
    ProtractorReading,
    Verdict,
    WorkedHeight,
    check_angle,
    check_height,
)
from solver.slips import Slip

RADIUS = ufloat(0.034, 0.0002)
BRINK = ufloat(radians(22), radians(0.2))
MOVED = Moved(radians(23), radians(27))
TILTS = st.floats(8, 40)


def read(angle_deg, step_deg=1.0):
    return ProtractorReading(radians(angle_deg), radians(step_deg))


def named(check):
    return [explanation.slips for explanation in check.explanations]


def worked(height_m, angle_deg=22.0):
    """A height given to a thousandth of itself, by a student who read that angle."""
    return check_height(WorkedHeight(height_m, height_m / 1000), read(angle_deg), RADIUS, BRINK)


def test_a_protractor_of_one_degree_is_good_to_0_8_degrees():
    """Triangular, a step wide either way: its 95 % half-width is 0.776 of a step."""
    assert std_dev(read(22).quantity) == pytest.approx(radians(1) / sqrt(6))
    assert 1.96 * std_dev(read(22).quantity) == pytest.approx(radians(0.8), rel=0.01)


@given(TILTS, st.floats(0.1, 2), st.floats(-2, 2))
def test_a_reading_agrees_within_the_joint_uncertainty(tilt, step, ratio):
    assume(abs(abs(ratio) - 2) > 1e-6)
    u_deg = (step**2 / 6 + 0.2**2) ** 0.5
    brink = ufloat(radians(tilt), radians(0.2))
    inside, outside = (
        check_angle(read(tilt + times * ratio * u_deg, step), brink, MOVED) for times in (1, 3)
    )
    assert inside.agreement.agrees
    assert inside.explanations == ()
    assert outside.agreement.agrees == (abs(3 * ratio) <= 2)
    assert outside.agreement.ratio == pytest.approx(3 * ratio)


@pytest.mark.parametrize(
    ("seen", "slips"),
    [
        (158, (Slip.OTHER_END,)),
        (68, (Slip.FROM_UPRIGHT,)),
        (112, (Slip.FROM_UPRIGHT, Slip.OTHER_END)),
        (25, (Slip.BODY_MOVED,)),
    ],
)
def test_a_slip_with_the_protractor_is_named(seen, slips):
    assert named(check_angle(read(seen), BRINK, MOVED)) == [slips]


def test_reading_late_is_named_only_where_the_clip_saw_the_body_move():
    assert named(check_angle(read(25), BRINK)) == []
    assert named(check_angle(read(30), BRINK, MOVED)) == []
    assert named(check_angle(read(19), BRINK, MOVED)) == []
    assert named(check_angle(read(25), BRINK, Moved(radians(21), radians(21.5)))) == []


def test_slips_that_explain_a_reading_equally_well_are_all_named():
    """At 44.5° the upright lies at 45.5°, where the body was moving too."""
    brink = ufloat(radians(43.5), radians(0.1))
    check = check_angle(read(46.5, 0.5), brink, Moved(radians(44), radians(50)))
    assert named(check) == [(Slip.FROM_UPRIGHT,), (Slip.BODY_MOVED,)]


@given(TILTS, st.floats(-0.4, 0.4))
def test_every_slip_is_found_at_every_tilt(tilt, off):
    brink = ufloat(radians(tilt), radians(0.2))
    for slip, angle in (
        (Slip.OTHER_END, 180 - tilt),
        (Slip.FROM_UPRIGHT, 90 - tilt),
    ):
        check = check_angle(read(angle + off), brink)
        assert check.agreement.agrees or (slip,) in named(check)


SLIPPED = {
    (Slip.DIAMETER,): lambda r, a: 2 * r / tan(a),
    (Slip.UPSIDE_DOWN,): lambda r, a: r * tan(a),
    (Slip.SINE,): lambda r, a: r / sin(a),
    (Slip.COSINE,): lambda r, a: r / cos(a),
    (Slip.RADIANS,): lambda r, a: abs(r / tan(a / DEGREE.in_si)),
    (Slip.CENTIMETRES,): lambda r, a: r / tan(a) / 10,
    (Slip.DIAMETER, Slip.UPSIDE_DOWN): lambda r, a: 2 * r * tan(a),
    (Slip.SINE, Slip.CENTIMETRES): lambda r, a: 10 * r / sin(a),
}


@pytest.mark.parametrize("slips", SLIPPED)
def test_a_slip_in_the_working_is_named(slips):
    check = worked(SLIPPED[slips](0.034, radians(22)))
    assert named(check)[0] == slips
    assert not check.follows


@given(TILTS.filter(lambda tilt: abs(tilt - 22) > 0.1), st.sampled_from(sorted(SLIPPED)))
def test_a_slip_is_found_from_the_students_own_angle(tilt, slips):
    """Whatever they read: it is named, or a simpler account of the same number is."""
    height = SLIPPED[slips](0.034, radians(tilt))
    assume(height > 1e-6)
    check = worked(height, tilt)
    simpler = min((len(found) for found in named(check)), default=0) < len(slips)
    assert check.follows or slips in named(check) or simpler


@given(TILTS)
def test_right_working_follows_whatever_was_read(tilt):
    check = worked(0.034 / tan(radians(tilt)), tilt)
    assert check.basis is Basis.OWN_ANGLE
    assert check.explanations == ()
    assert check.own_m == pytest.approx(0.034 / tan(radians(tilt)))


def test_two_figures_of_the_tangent_are_right_enough():
    assert worked(0.034 / 0.40).follows


def test_a_height_from_the_right_angle_follows_though_the_scale_was_read_from_the_other_end():
    check = worked(0.034 / tan(radians(22)), 158)
    assert check.basis is Basis.CLIPS_ANGLE
    assert check.own_m is None


def test_a_height_agrees_with_the_clip_within_what_the_protractor_leaves_open():
    """dx = r dθ / sin²θ: 0.41° of protractor and 0.2° of clip at 22°, 1.92 mm; r cancels."""
    check = worked(0.034 / tan(radians(22)))
    by_angle = 0.034 / sin(radians(22)) ** 2 * radians(sqrt(1 / 6 + 0.04))
    assert std_dev(check.agreement.difference) == pytest.approx(by_angle)
    assert check.agreement.agrees
    assert not worked(0.095).agreement.agrees


def test_a_number_no_slip_explains_is_left_unexplained():
    assert worked(0.0505).explanations == ()
    assert named(check_angle(read(12), BRINK, MOVED)) == []


def test_the_verdict_takes_angle_and_height_apart():
    right, wrong = check_angle(read(22), BRINK), check_angle(read(158), BRINK)
    good, bad = worked(0.084), worked(0.168)
    assert Check(right, None).verdict is Check(right, good).verdict is Verdict.AGREES
    assert Check(right, bad).verdict is Verdict.HEIGHT_DIFFERS
    assert Check(wrong, good).verdict is Verdict.ANGLE_DIFFERS
    assert Check(wrong, bad).verdict is Verdict.BOTH_DIFFER
    assert Check(wrong, bad).slips == (Slip.OTHER_END, Slip.DIAMETER)
    assert Check(right, good).slips == ()


@pytest.mark.parametrize(("angle", "step"), [(-1, 1), (181, 1), (22, 0), (22, 11), (np.nan, 1)])
def test_impossible_readings_are_refused(angle, step):
    with pytest.raises(AngleError):
        read(angle, step)


def test_impossible_heights_and_clips_are_refused():
    with pytest.raises(LengthError):
        WorkedHeight(0.0)
    with pytest.raises(AngleError):
        check_angle(read(22), ufloat(pi / 2, 0.1))
    with pytest.raises(LengthError):
        check_height(WorkedHeight(0.08), read(22), 0.0, BRINK)


def a_student(rng, slips):
    """A protractor off by its own uncertainty, x rounded to 1 mm; the check of it.

    Bodies of 20–45 mm radius and brinks of 12–30° are common in the classroom.
    """
    r, tilt = rng.uniform(0.020, 0.045), rng.uniform(12, 30)
    seen = round(tilt + rng.normal(0, 0.41))
    x = max(round(SLIPPED[slips](r, radians(seen)), 3), 0.001)
    brink = ufloat(radians(tilt), radians(0.2))
    return check_height(WorkedHeight(x), read(seen), ufloat(r, 0.0002), brink)


@pytest.mark.parametrize("slips", [slips for slips in SLIPPED if len(slips) == 1])
def test_the_slip_made_is_named_and_as_a_rule_first(slips):
    """100 students each: of those whose height is not as good as right, all but 2 % are told
    the slip they made, and 9 in 10 before any other.

    A height may be as good as right: below 15° the sine is within rounding of the tangent.
    """
    rng = np.random.default_rng(6)
    checks = [a_student(rng, slips) for _ in range(100)]
    wrong = [check for check in checks if not check.follows]
    assert len(wrong) >= (55 if slips == (Slip.SINE,) else 95)
    assert sum(slips in named(check) for check in wrong) >= 0.98 * len(wrong)
    assert sum(named(check)[0] == slips for check in wrong if named(check)) >= 0.9 * len(wrong)
