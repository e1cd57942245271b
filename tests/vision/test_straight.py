"""Robust lines against least squares where all is clean, and statsmodels where it is not."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import linregress

from vision.straight import FEWEST, NARROWEST, SETTLED, STEEPEST, WIDEST, robust_lines

Floats = NDArray[np.float64]

COUNT, HALF = 60, 59.0
S = np.linspace(-HALF, HALF, COUNT)
CUT = 4.0
"""Scatters from the line at which a sample has no weight left."""
seeds = st.integers(0, 10**6)
offsets, slopes = st.floats(-3, 3), st.floats(-0.04, 0.04)


def _noisy(seed: int, offset: float = 0.0, slope: float = 0.0, noise: float = 0.2) -> Floats:
    return offset + slope * S + np.random.default_rng(seed).normal(0, noise, COUNT)


def _at_middle(fit) -> Floats:
    """Offset at ``s = 0`` and slope of a single line."""
    return np.array([fit.offset[0] - fit.slope[0] * fit.middle[0], fit.slope[0]])


@given(offsets, slopes, st.integers(FEWEST, COUNT))
def test_clean_samples_give_the_line_of_least_squares(offset, slope, count):
    s = S[:count]
    across = offset + slope * s
    fit = robust_lines(s[None], across[None])
    there = np.polyfit(s, across, 1)
    assert fit.slope == pytest.approx(there[0], abs=1e-9)
    assert fit.offset == pytest.approx(np.polyval(there, s.mean()), abs=1e-9)
    assert fit.middle == pytest.approx(s.mean()) and fit.reach == pytest.approx(s.std())
    assert fit.spread == pytest.approx(0, abs=1e-9)
    assert fit.samples == count and fit.on.all()


@given(seeds, offsets, slopes)
def test_noise_alone_moves_it_little_from_least_squares(seed, offset, slope):
    """Of normal errors the biweight cut at four scatters loses some hundredths of what
    they tell: it lies well within the uncertainty of least squares."""
    across = _noisy(seed, offset, slope)
    fit, there = robust_lines(S[None], across[None]), linregress(S, across)
    assert fit.slope[0] == pytest.approx(there.slope, abs=1.5 * there.stderr)
    at_middle = there.intercept + there.slope * fit.middle[0]
    assert fit.offset[0] == pytest.approx(at_middle, abs=1.5 * there.intercept_stderr)


def _statsmodels(across: Floats, start: Floats | None = None) -> Floats:
    """RLM with Tukey's biweight of the same cut and scale: the median of what is left."""
    norm = sm.robust.norms.TukeyBiweight(c=CUT)
    model = sm.RLM(across, sm.add_constant(S), M=norm)
    fit = model.fit(maxiter=200, tol=1e-10, start_params=start)
    assert NARROWEST < fit.scale < WIDEST  # else ours is bounded and theirs is not
    return fit.params


def _some_away(seed: int, share: float, away: float) -> Floats:
    across = _noisy(seed, 0.4, 0.003)
    across[np.random.default_rng([1, seed]).random(COUNT) < share] += away
    return across


@pytest.mark.parametrize("away", [0.0, 1.0, 2.0, 4.0])
def test_the_line_is_that_of_statsmodels(away):
    for seed in range(20):
        across = _some_away(seed, 0.1, away)
        ours = _at_middle(robust_lines(S[None], across[None]))
        assert np.abs(ours - _statsmodels(across)) @ [1.0, HALF] < 3 * SETTLED


@pytest.mark.parametrize(("away", "within"), [(1.0, 0.1), (2.0, 0.02), (4.0, 0.02)])
def test_with_many_astray_statsmodels_stays_where_it_is(away, within):
    """From least squares it would settle on another line, drawn towards those astray. Eight
    rounds end this near to where rounds without end would, of samples that scatter by 0.2;
    the farther off, the harder those astray are to tell from the rest."""
    for seed in range(20):
        across = _some_away(seed, 0.25, away)
        ours = _at_middle(robust_lines(S[None], across[None]))
        assert np.abs(ours - _statsmodels(across, ours)) @ [1.0, HALF] < within


@given(seeds, offsets, slopes, st.sampled_from([-1, 1]), st.floats(3, 5))
def test_a_quarter_that_lies_elsewhere_does_not_count(seed, offset, slope, side, away):
    across = _noisy(seed, offset, slope, noise=0.1)
    astray = np.random.default_rng(seed + 1).permutation(COUNT) < COUNT // 4
    across[astray] += side * away
    fit = robust_lines(S[None], across[None])
    clean = linregress(S[~astray], across[~astray])
    assert _at_middle(fit) @ [1, 0] == pytest.approx(clean.intercept, abs=0.03)
    assert fit.slope[0] == pytest.approx(clean.slope, abs=0.03 / HALF)
    assert not fit.on[0, astray].any() and fit.on[0, ~astray].mean() > 0.9


@given(seeds, st.sets(st.integers(0, COUNT - 1), max_size=COUNT - 10))
def test_samples_that_are_not_there_do_not_count(seed, missing):
    across = _noisy(seed, 0.5, 0.01)
    kept = np.array([k not in missing for k in range(COUNT)])
    fit = robust_lines(S[None], np.where(kept, across, np.nan)[None])
    alone = robust_lines(S[None, kept], across[None, kept])
    for name in ("offset", "slope", "middle", "spread", "reach", "samples"):
        ours, theirs = getattr(fit, name), getattr(alone, name)
        assert ours == pytest.approx(theirs, abs=2 * SETTLED)
    assert not fit.on[0, ~kept].any()


@pytest.mark.parametrize("count", range(FEWEST))
def test_too_few_samples_make_no_line(count):
    across = np.full((2, COUNT), np.nan)
    across[0, :count], across[1] = 1.0, 1.0
    fit = robust_lines(np.tile(S, (2, 1)), across)
    for values in (fit.offset, fit.slope, fit.middle, fit.spread, fit.reach):
        assert np.isnan(values[0]) and np.isfinite(values[1])
    assert not fit.on[0].any() and fit.on[1].all()


def test_no_lines_at_all():
    assert robust_lines(np.empty((0, 0)), np.empty((0, 0))).offset.shape == (0,)


@given(seeds, offsets)
def test_shifted_samples_shift_the_line(seed, by):
    across = _noisy(seed)
    before, after = robust_lines(S[None], across[None]), robust_lines(S[None], across[None] + by)
    assert after.offset - before.offset == pytest.approx(by, abs=1e-9)
    assert after.slope == pytest.approx(before.slope, abs=1e-9)


@given(seeds, offsets, slopes)
def test_mirrored_samples_mirror_the_line(seed, offset, slope):
    across = _noisy(seed, offset, slope)
    fit = _at_middle(robust_lines(S[None], across[None]))
    assert _at_middle(robust_lines(-S[None], across[None])) == pytest.approx(fit * [1, -1])
    assert _at_middle(robust_lines(S[None], -across[None])) == pytest.approx(-fit)


@given(seeds)
def test_the_order_of_samples_does_not_matter(seed):
    across, order = _noisy(seed, 1.0, 0.01), np.random.default_rng(seed).permutation(COUNT)
    fit, other = (
        robust_lines(S[None], across[None]),
        robust_lines(S[None, order], across[None, order]),
    )
    assert _at_middle(other) == pytest.approx(_at_middle(fit), abs=1e-9)
    assert np.array_equal(other.on[0], fit.on[0, order])


@given(st.lists(st.tuples(seeds, offsets, slopes), min_size=2, max_size=4))
def test_lines_beside_it_leave_a_line_alone(several):
    rows = np.array([_noisy(*each) for each in several])
    together = robust_lines(np.tile(S, (len(rows), 1)), rows)
    for k, row in enumerate(rows):
        alone = robust_lines(S[None], row[None])
        assert together.offset[k] == pytest.approx(alone.offset[0], abs=SETTLED)
        assert together.slope[k] == pytest.approx(alone.slope[0], abs=SETTLED / HALF)


def test_the_stated_spread_is_that_of_the_samples():
    """Root mean square with two fewer degrees of freedom than samples, σ on average."""
    fits = [robust_lines(S[None], _noisy(seed, noise=0.15)[None]) for seed in range(200)]
    # Of 12 000 samples some thousandths lie beyond three scatters and are left out.
    assert np.mean([fit.spread[0] for fit in fits]) == pytest.approx(0.15, rel=0.05)


def test_no_line_is_steeper_than_the_segment_it_was_looked_for_beside():
    s = np.linspace(-1, 1, 21)
    fit = robust_lines(s[None], 3 * s[None])
    assert not np.abs(fit.slope[0]) > STEEPEST
