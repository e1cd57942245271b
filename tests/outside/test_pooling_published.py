"""Pooling a class against Kacker, NIST StRD, statsmodels and tables of tests for outliers."""

from importlib.resources import files

import numpy as np
import pytest
from scipy.stats import f_oneway
from statsmodels.stats.meta_analysis import combine_effects
from uncertainties import ufloat

from solver.combining import agreement, fixed_effect, paule_mandel
from solver.outlying import cochran_critical, grubbs, grubbs_critical
from solver.pooling import Repeat, pool
from solver.precision import precision

KACKER = np.array([61.00, 61.40, 62.21, 62.30, 62.34, 62.60, 62.70, 62.84, 65.90])
KACKER_U = np.sqrt([0.2025, 1.2100, 0.0900, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225])
"""R. N. Kacker, Metrologia 41 (2004) 132, Table 1, as carried in statsmodels' tests."""


def strd(name):
    """The groups of a NIST StRD file for the analysis of variance, as scipy carries it."""
    text = files("scipy.stats").joinpath(f"tests/data/nist_anova/{name}.dat").read_text()
    rows = [line.split() for line in text.splitlines()[60:] if line.strip()]
    groups: dict[str, list[float]] = {}
    for group, value in rows:
        groups.setdefault(group, []).append(float(value))
    return list(groups.values())


def test_kackers_fixed_effect():
    """Weighted mean 62.583397, u 0.107846, Q 24.80190, Birge 1.76075."""
    found, test = fixed_effect(KACKER, KACKER_U), agreement(KACKER, KACKER_U)
    assert (found.mean, found.u) == (pytest.approx(62.583397), pytest.approx(0.107846, abs=1e-6))
    assert test.q == pytest.approx(24.80190)
    assert test.birge == pytest.approx(1.76075, abs=1e-5)
    assert not test.agree


def test_kackers_paule_mandel():
    """Mean 62.407620, u 0.338031, τ² 0.705395."""
    found = paule_mandel(KACKER, KACKER_U)
    assert found.mean == pytest.approx(62.407620, abs=1e-6)
    assert found.u == pytest.approx(0.338031, abs=1e-6)
    assert found.between**2 == pytest.approx(0.705395, abs=1e-6)


def test_a_class_of_kackers_laboratories_has_hartung_and_knapps_interval():
    """statsmodels, with scale estimated and Student's t; where τ > 0 theirs is ours."""
    theirs = combine_effects(KACKER, KACKER_U**2, method_re="pm", use_t=True, atol=1e-7)
    found = pool(
        [
            Repeat(f"Laboratory {i}", ufloat(value, u, "own"))
            for i, (value, u) in enumerate(zip(KACKER, KACKER_U, strict=True))
        ]
    )
    low, high = theirs.conf_int()[3]
    assert found.result.interval == pytest.approx((low, high), abs=1e-5)
    assert found.agreement.chance == pytest.approx(theirs.test_homogeneity().pvalue)


@pytest.mark.parametrize("seed", range(5))
def test_random_classes_against_statsmodels(seed):
    rng = np.random.default_rng(seed)
    u = rng.uniform(0.2, 1.5, 6)
    y = rng.normal(84, 1.0, 6) + rng.normal(0, u)
    theirs = combine_effects(y, u**2, method_re="pm", atol=1e-7)
    found = paule_mandel(y, u)
    settled = theirs.tau2 > 0  # theirs may come out below 0, where Paule and Mandel stop at 0
    assert found.between**2 == pytest.approx(theirs.tau2 if settled else 0, abs=1e-5)
    mean = theirs.mean_effect_re if settled else theirs.mean_effect_fe
    assert found.mean == pytest.approx(mean, abs=1e-6)
    assert agreement(y, u).q == pytest.approx(theirs.q)


def test_resistivity_of_silicon():
    """NIST StRD SiRstv, certified mean squares, F and residual standard deviation.

    By its formulas s_r 0.104076, s_L 0.019772, s_R 0.105938.
    """
    found = precision(strd("SiRstv"))
    assert found.repeatability == pytest.approx(1.04076068334656e-01, rel=1e-9)
    assert found.variance_ratio == pytest.approx(1.18046237440255, rel=1e-9)
    assert found.between == pytest.approx(np.sqrt((1.27865654e-02 - 1.0831828e-02) / 5), rel=1e-7)
    assert found.between == pytest.approx(0.019772, abs=1e-6)
    assert found.reproducibility == pytest.approx(0.105938, abs=1e-6)


def test_atomic_weight_of_silver():
    """NIST StRD AtmWtAg: F 15.9467335677930, residual s 1.51048314446410e-05.

    Nine figures of which seven are constant: some are lost on the way.
    """
    found = precision(strd("AtmWtAg"))
    assert found.repeatability == pytest.approx(1.51048314446410e-05, rel=1e-7)
    assert found.variance_ratio == pytest.approx(15.9467335677930, rel=1e-6)


def test_an_unbalanced_class_against_scipy():
    """scipy's one-way analysis of variance has the same F and the same chance."""
    groups = [[84.1, 84.9, 83.8], [85.2, 86.0], [83.0, 84.2, 84.4, 83.7], [86.1]]
    theirs, found = f_oneway(*groups), precision(groups)
    assert found.variance_ratio == pytest.approx(theirs.statistic)
    assert found.chance == pytest.approx(theirs.pvalue)


@pytest.mark.parametrize(
    ("count", "straggler", "outlier"),
    [(3, 1.155, 1.155), (4, 1.481, 1.496), (5, 1.715, 1.764), (6, 1.887, 1.973),
     (8, 2.126, 2.274), (10, 2.290, 2.482), (12, 2.412, 2.636), (14, 2.507, 2.755)],
)  # fmt: skip
def test_grubbs_table(count, straggler, outlier):
    """LibreTexts Chemistry, Analytic References, Appendix 7: Critical values for Grubbs' test."""
    assert grubbs_critical(count) == pytest.approx(straggler, abs=1.1e-3)
    assert grubbs_critical(count, 0.01) == pytest.approx(outlier, abs=1.1e-3)


def test_grubbs_of_twenty():
    """2.708, two-sided at 5 %, by Student's t (by recomputation)."""
    assert grubbs_critical(20) == pytest.approx(2.708, abs=1e-3)


def test_uranium_isotopes():
    """NIST/SEMATECH e-Handbook 1.3.5.17.1: 199.31 … 245.57; G 2.4687, critical 2.032 (from memory).

    The handbook's critical value is one-sided at 5 %, which is two-sided at 10 %.
    """
    found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    assert found.row == 7
    assert found.statistic == pytest.approx(2.4687, abs=5e-4)
    assert grubbs_critical(8, 0.10) == pytest.approx(2.032, abs=5e-4)
    assert found.stands_out


@pytest.mark.parametrize(
    ("groups", "repeats", "value"),
    [(2, 2, 0.998), (3, 3, 0.871), (5, 3, 0.684), (6, 4, 0.532), (8, 3, 0.516), (20, 5, 0.192)],
)
def test_cochran_table(groups, repeats, value):
    """National Measurement System, chemical and biological metrology: Cochran test, 95 %."""
    assert cochran_critical(groups, repeats) == pytest.approx(value, abs=1.1e-3)


@pytest.mark.parametrize(
    ("groups", "freedoms", "value"),
    [(3, 1, 0.9933), (5, 2, 0.7885), (6, 2, 0.7218), (10, 1, 0.7175), (20, 4, 0.2288)],
)
def test_cochran_table_of_outliers(groups, freedoms, value):
    """P. Heagerty, University of Washington, Biostatistics tables: Cochran's test, upper 0.01."""
    assert cochran_critical(groups, freedoms + 1, 0.01) == pytest.approx(value, abs=1.1e-4)
