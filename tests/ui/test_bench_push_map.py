"""The map of slide or topple: its border and its band, held to closed forms and to the verdict."""

from __future__ import annotations

from math import isfinite, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from solver.friction import Motion, Push, Stand, Way, push
from ui.bench.push_map import mark_of, pushed_map, spoken

R, X = 0.0365, 0.0575


def stand(u_mu: float, u_r: float = 0.0) -> Stand:
    return Stand(ufloat(R, u_r) if u_r else R, X, ufloat(0.5, u_mu) if u_mu else 0.5)


def test_on_the_level_the_border_is_r_over_mu() -> None:
    drawn = pushed_map(stand(0.0), Push(0.06), 0.0, 0.11)
    assert drawn.edge == pytest.approx([1000 * R / mu for mu in drawn.frictions])
    assert drawn.low == drawn.high == drawn.edge


def test_in_distances_r_the_border_is_one_over_mu_for_every_body() -> None:
    drawn = pushed_map(stand(0.0), Push(0.06), 0.0, 0.11, unit_m=R)
    assert drawn.edge == pytest.approx([1 / mu for mu in drawn.frictions])


def test_with_friction_alone_uncertain_the_band_is_known_in_closed_form() -> None:
    """μ h = r at μ ± 1.96 u: the ends of the band are r/(μ ± 1.96 u)."""
    drawn, u = pushed_map(stand(0.04), Push(0.06), 0.0, 0.11), 0.04 * 1.959964
    for mu, low, high in zip(drawn.frictions, drawn.low, drawn.high, strict=True):
        assert low == pytest.approx(1000 * R / (mu + u), rel=1e-6)
        assert high == pytest.approx(1000 * R / (mu - u) if mu > u else np.inf, rel=1e-6)


@settings(max_examples=25)
@given(
    st.floats(0.01, 0.05), st.floats(0.0, 0.001), st.floats(0.0, 0.002), st.floats(0.0, 12.0),
    st.sampled_from(list(Way)),
)  # fmt: skip
def test_at_the_ends_of_the_band_the_verdict_is_just_sure(
    u_mu: float, u_r: float, u_h: float, tilt_deg: float, way: Way
) -> None:
    here, tilt = stand(u_mu, u_r), radians(tilt_deg)
    how = Push(ufloat(0.06, u_h) if u_h else 0.06, way=way)
    drawn = pushed_map(here, how, tilt, 0.11)
    for mu, low, high in list(zip(drawn.frictions, drawn.low, drawn.high, strict=True))[8::8]:
        own = Stand(here.radius_m, X, ufloat(mu, u_mu))
        for end, first in ((low, Motion.SLIDES), (high, Motion.TOPPLES)):
            if isfinite(end):
                height = ufloat(end / 1000, u_h) if u_h else end / 1000
                verdict = push(own, Push(height, way=way), tilt).verdict
                assert verdict.likely is first
                assert verdict.chance == pytest.approx(0.975, abs=2e-3)


def test_a_mark_says_what_its_own_uncertainties_allow() -> None:
    near, far = Push(ufloat(0.072, 0.001)), Push(0.02)
    assert mark_of("tin", stand(0.04), near, 0.001).verdict == "too close to call"
    assert mark_of("tin", stand(0.04), far, 0.001).verdict == "slides"
    assert spoken(push(stand(0.01), Push(0.11)).verdict) == "topples"
