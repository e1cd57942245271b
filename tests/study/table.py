"""The study in tables, Markdown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest

from tests.study.score import Score

Floats = NDArray[np.float64]

FACTORS: dict[str, tuple[str, Callable[[Score], float]]] = {
    "off square, °": (".0f", lambda s: abs(s.yaw_deg)),
    "down, °": (".0f", lambda s: s.pitch_deg),
    "rolled, °": (".1f", lambda s: abs(s.roll_deg)),
    "distance, m": (".2f", lambda s: s.distance_m),
    "angle, °": (".0f", lambda s: s.angle_deg),
    "tilt rate, °/s": (".1f", lambda s: s.rate_deg_s),
    "jerk": (".1f", lambda s: s.jerk),
    "focal length off, %": (".0f", lambda s: 100 * abs(s.focal_error)),
    "noise, px": (".2f", lambda s: s.noise_px),
    "noise alike": (".1f", lambda s: s.alike),
    "radius, mm": (".0f", lambda s: s.radius_mm),
}
"""Name, format and value of what may hurt."""

WAYS: dict[str, Callable[[Score], float]] = {
    "board edge in the picture, at first visible lean": lambda s: s.plain_error,
    "board edge in the picture, at the true brink": lambda s: s.edge_error,
    "line by the LSD detector, at the true brink": lambda s: s.line_error,
    "Brinkangle": lambda s: s.error,
    "Brinkangle, start tilt known": lambda s: s.other_error,
}

PARTS: dict[str, tuple[Callable[[Score], float], Callable[[Score], float]]] = {
    "start tilt": (lambda s: s.start_error, lambda s: s.start_u),
    "geometry: edges, camera, lens": (lambda s: s.geometry_error, lambda s: s.geometry_u),
    "fall: brink, tremor": (lambda s: s.fall_error, lambda s: s.fall_u),
    "geometry and fall": (lambda s: s.other_error, lambda s: np.hypot(s.geometry_u, s.fall_u)),
    "all": (lambda s: s.error, lambda s: np.hypot(s.start_u, np.hypot(s.geometry_u, s.fall_u))),
}


def report(scores: Sequence[Score]) -> str:
    """Everything there is to say, as Markdown."""
    read = [s for s in scores if s.was_read]
    parts = [outcomes(scores)]
    if read:
        parts += [ways(read), intervals(read), budget(read), factors(read)]
    if any(np.isfinite(s.known_start_bound) for s in read):
        ratio = efficiency(read)
        parts.append(f"Scatter in units of the Cramér–Rao bound, start tilt known: {ratio:.1f}")
    return "\n\n".join(parts)


def outcomes(scores: Sequence[Score]) -> str:
    """Which outcomes were taken for which."""
    seen = Counter((s.true_outcome, s.outcome) for s in scores)
    given = ["topples", "slides", "stays", "unreadable"]
    rows = [[true, *(str(seen[true, name]) for name in given)] for true in given[:3]]
    return markdown([f"{len(scores)} scenes: truly", *(f"read: {name}" for name in given)], rows)


def ways(read: Sequence[Score]) -> str:
    """Absolute errors of each way of reading, and the bound."""
    rows = []
    for name, value in WAYS.items():
        errors = np.abs([value(s) for s in read])
        errors = errors[np.isfinite(errors)]
        if len(errors):
            worst = f"{errors.max():.2f}"
            rows.append([name, str(len(errors)), *_two(errors), worst])
    for name, bounds in (
        ("Cramér–Rao bound, 0.67 σ and 1.96 σ", [s.bound for s in read]),
        ("Cramér–Rao bound, start tilt known", [s.known_start_bound for s in read]),
    ):
        known = np.array(bounds)[np.isfinite(bounds)]
        if len(known):
            middle = float(np.median(known))
            spans = (f"{0.674 * middle:.3f}", f"{1.96 * middle:.2f}", "")
            rows.append([name, str(len(known)), *spans])
    return markdown(["error of the angle, °", "scenes", "median", "95 % of them", "worst"], rows)


def coverage(held: int, count: int) -> tuple[float, float, float]:
    """Share of intervals that hold the truth and its 95 % interval (Clopper and Pearson,
    Biometrika 26 (1934) 404)."""
    ends = binomtest(held, count).proportion_ci(0.95, "exact")
    return held / count, float(ends.low), float(ends.high)


def intervals(read: Sequence[Score]) -> str:
    """Coverage and width of the 95 % intervals."""
    share, low, high = coverage(sum(s.held for s in read), len(read))
    widths = np.array([s.half_width for s in read])
    row = [
        f"{100 * share:.1f} % ({100 * low:.1f} to {100 * high:.1f})",
        f"{widths.mean():.3f}",
        f"{np.median(widths):.3f}",
        f"{widths.max():.2f}",
    ]
    return markdown(["95 % intervals hold", "mean half-width, °", "median", "widest"], [row])


def budget(read: Sequence[Score]) -> str:
    """Errors of each part in units of what was budgeted for it: 1 where it is honest."""
    rows = []
    for name, (error, u) in PARTS.items():
        errors, us = np.array([[error(s), u(s)] for s in read]).T
        known = np.isfinite(errors) & (us > 0)
        if not known.any():
            continue
        errors, us = errors[known], us[known]
        normal = errors / us
        rows.append(
            [
                name,
                f"{np.median(np.abs(errors)):.3f}",
                f"{np.sqrt(np.mean(errors**2)):.3f}",
                f"{np.median(us):.3f}",
                f"{np.median(np.abs(normal)) / 0.674:.2f}",
                f"{np.sqrt(np.mean(normal**2)):.2f}",
                f"{100 * np.mean(np.abs(normal) <= 1.96):.0f} %",
            ]
        )
    head = ["part of the error", "median, °", "rms, °", "budgeted u, °"]
    return markdown([*head, "error/u: median/0.67", "rms", "within 1.96 u"], rows)


def efficiency(read: Sequence[Score]) -> float:
    """Robust scatter of the error, the start known, in units of its Cramér–Rao bound."""
    ratio = np.array([s.other_error / s.known_start_bound for s in read])
    return float(np.median(np.abs(ratio[np.isfinite(ratio)])) / 0.674)


def factors(read: Sequence[Score]) -> str:
    """By each factor in thirds: what hurts."""
    rows = []
    for name, (form, value) in FACTORS.items():
        values = np.array([value(s) for s in read])
        for label, chosen in thirds(values, form):
            rows.append([f"{name}: {label}", *_row([read[k] for k in np.flatnonzero(chosen)])])
    head = ["factor", "scenes", "plain, median", "Brinkangle, median", "95 % of them"]
    return markdown([*head, "start known, median", "bound, 0.67 σ", "held", "half-width"], rows)


def thirds(values: Floats, form: str) -> list[tuple[str, NDArray[np.bool_]]]:
    """Labels and members of the lowest, middle and highest third; of each value, where
    there are but three."""
    few = np.unique(values)
    if len(few) <= 3:
        return [(f"{value:{form}}", values == value) for value in few]
    ends = np.quantile(values, [0, 1 / 3, 2 / 3, 1])
    third = np.clip(np.searchsorted(ends, values, side="right") - 1, 0, 2)
    return [(f"{ends[k]:{form}} to {ends[k + 1]:{form}}", third == k) for k in range(3)]


def _row(some: list[Score]) -> list[str]:
    plain, ours, other = (
        np.abs([value(s) for s in some])
        for value in (lambda s: s.plain_error, lambda s: s.error, lambda s: s.other_error)
    )
    bound = 0.674 * np.nanmedian([s.known_start_bound for s in some]) if _bounded(some) else np.nan
    return [
        str(len(some)),
        f"{np.median(plain):.2f}",
        *_two(ours),
        f"{np.median(other):.3f}",
        f"{bound:.3f}" if np.isfinite(bound) else "–",
        f"{100 * np.mean([s.held for s in some]):.0f} %",
        f"{np.mean([s.half_width for s in some]):.2f}",
    ]


def _bounded(some: list[Score]) -> bool:
    return bool(np.isfinite([s.known_start_bound for s in some]).any())


def _two(errors: Floats) -> tuple[str, str]:
    return f"{np.median(errors):.3f}", f"{np.quantile(errors, 0.95):.2f}"


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table, numbers to the right."""
    rule = ["---", *["---:"] * (len(head) - 1)]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in [head, rule, *rows])
