"""Search the turning scene for lines of the body and of the board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.candidates import SHORTEST
from vision.edges import Frames, Kind
from vision.first_look import KeptFrame
from vision.fit import SceneFit
from vision.lines import FAINTEST, measure_edges
from vision.scene import SceneLine
from vision.sweep import (
    PARTS,
    Family,
    FoundLine,
    Grid,
    best_runs,
    found_lines,
    lasting_steps,
    smoothed,
)
from vision.viewed import measure_viewed

Floats = NDArray[np.float64]

REACH_PX = 4
SEEN_SHARE = 0.5
LASTING_SHARE = 0.7
MISSING = -2.0
"""A part of an edge that was not found weighs this against one that was."""
CLEAREST = 4
"""By so many of its lines a body is judged to stand out."""
WEAKEST = 0.08
"""Board edges weaker than this share of the strongest are left."""


class Search:
    """The frames searched, read once."""

    def __init__(self, frames: list[KeptFrame]) -> None:
        self.frames = frames
        self.greys = [kept.frame.grey for kept in frames]
        self._smooth = [smoothed(kept.frame.grey) for kept in frames]

    def steadied(self, points: Floats) -> Floats:
        """Points of each frame, ``(N, ..., 2)``, where the first frame's view would have them."""
        pairs = zip(self.frames, points, strict=True)
        return np.stack([kept.view.steadied(each) for kept, each in pairs])

    def upright_lines(
        self, fit: SceneFit, thickness: float, depth: float, swing: float
    ) -> list[SweptLine]:
        """Lines along the body's axis, strongest first; kind AXIAL."""
        family, grid = _upright(thickness, depth), _upright_grid(fit, swing)
        swept = self._swept(fit, Kind.AXIAL, family, grid, 30)
        # Heights are counted from the hinge's plane, on which the scene's body stands.
        return [line.raised(thickness) for line in swept]

    def clearness(self, fit: SceneFit, thickness: float, depth: float, swing: float) -> float:
        """How clearly lines along the body's axis stand out, by a coarse sweep."""
        family, grid = _upright(thickness, depth), _upright_grid(fit, swing, coarse=2)
        return sum(line.strength for line in self._found(fit, family, grid, CLEAREST))

    def marked_line(self, fit: SceneFit, thickness: float, depth: float, ends: Floats) -> SweptLine:
        """A line on the body that a person drew on the first frame; kind AXIAL.

        ``ends``, of shape ``(2, 2)``, are its pixels, base first.
        """
        family = _upright(thickness, depth)
        at = fit.scene.frames(fit.own[:1])
        origin = family.start(at)[0]
        rays = fit.scene.rays(ends - fit.scene.sway_px(fit.own[:1]))
        on_plane = rays * (origin @ at.e3 / (rays @ at.e3))[:, None] - origin
        low, high = ((float(x @ at.u[0]), float(x @ at.n[0])) for x in on_plane)
        line = FoundLine(low, high, self._contrast_of(ends.reshape(1, 4)), 0.0)
        points, contrast = self.measured(
            _segments(fit, family, line)[:, None], in_equal_parts([line.contrast])
        )
        return SweptLine(Kind.AXIAL, line, points[:, 0], tuple(contrast[0]), thickness)

    def _contrast_of(self, segment: Floats) -> tuple[float, ...]:
        """Grey step in parts along a segment of the first frame: of both ways the stronger."""
        ways = [
            np.nan_to_num(
                measure_edges(
                    self.greys[0], segment, np.full((1, PARTS), sign * FAINTEST), REACH_PX
                ).contrast[0]
            )
            for sign in (1, -1)
        ]
        return tuple(np.where(np.abs(ways[0]) >= np.abs(ways[1]), *ways).tolist())

    def board_lines(self, fit: SceneFit, thickness: float, swing: float) -> list[SweptLine]:
        """Edges along and across the board, of each kind the strongest first."""
        pixel = _pixel(fit)
        pitch = max(abs(np.arcsin(fit.scene.rotation[2, 1])), np.radians(4))
        away = np.sign(fit.scene.rotation[2, 2])
        depths = np.sort(np.arange(-0.1, 0.8, pixel / np.sin(pitch)) * away)
        slopes = np.arange(-0.08, 0.9, pixel)
        slants = np.linspace(-swing, swing, 17)

        def start(at: Frames) -> Floats:
            return at.hinge + thickness * at.n

        along = Family(start, lambda at: at.e3, lambda at: at.u)
        across = Family(start, lambda at: at.u, lambda at: at.e3)
        found = self._swept(fit, Kind.ALONG, along, Grid(depths, slopes[::3], slants), 7)
        found += self._swept(fit, Kind.ACROSS, across, Grid(slopes, depths, slants), 5)
        strongest = max((line.strength for line in found), default=0.0)
        return [line for line in found if line.strength > WEAKEST * strongest]

    def _trimmed(self, fit: SceneFit, family: Family, lines: list[FoundLine]) -> list[FoundLine]:
        """The lines without what is no edge beyond their ends: a sleeve or a grain that happens
        to carry them on. What a body hides of an edge does not end it, but little is left of
        what is no edge at all."""
        _, contrast = self._measured_lines(fit, family, lines)
        parts = contrast.shape[1]
        level = np.zeros((1, parts), dtype=np.int64)
        _, first, last = best_runs(np.where(contrast != 0, 1.0, MISSING).astype(np.float32), level)
        runs = zip(lines, first[0] / parts, (last[0] + 1) / parts, strict=True)
        trimmed = [line.between(begins, ends) for line, begins, ends in runs]
        shortest_px = SHORTEST * max(fit.scene.width, fit.scene.height)
        return [line for line in trimmed if self._length_px(fit, family, line) > shortest_px]

    def _length_px(self, fit: SceneFit, family: Family, line: FoundLine) -> float:
        """Its length in the first frame."""
        low, high = _segments(fit, family, line)[0].reshape(2, 2)
        return float(np.hypot(*(high - low)))

    def _swept(
        self, fit: SceneFit, kind: Kind, family: Family, grid: Grid, most: int
    ) -> list[SweptLine]:
        lines = self._found(fit, family, grid, most)
        if not lines:
            return []
        if kind is not Kind.AXIAL:
            lines = self._trimmed(fit, family, lines)
            if not lines:
                return []
        points, contrast = self._measured_lines(fit, family, lines)
        swept = [
            SweptLine(kind, line, points[:, k], tuple(contrast[k])) for k, line in enumerate(lines)
        ]
        return [line for line in swept if line.lasts]

    def _measured_lines(
        self, fit: SceneFit, family: Family, lines: list[FoundLine]
    ) -> tuple[Floats, Floats]:
        segments = np.stack([_segments(fit, family, line) for line in lines], axis=1)
        return self.measured(segments, in_equal_parts([line.contrast for line in lines]))

    def _found(self, fit: SceneFit, family: Family, grid: Grid, most: int) -> list[FoundLine]:
        lasting = lasting_steps(fit.scene, fit.own, self.frames, self._smooth, family, grid)
        return found_lines(lasting, grid, most)

    def measured(self, segments: Floats, expected: Floats) -> tuple[Floats, Floats]:
        """Measure lines, given in the first frame's view, in each frame.

        Parameters
        ----------
        segments : shape ``(N, L, 4)``
        expected : shape ``(L, B)``, the grey step in B parts of each, of which the
            sign and the faintness are used

        Returns
        -------
        points : shape ``(N, L, 2, 2)``, in the first frame's view; NaN where not found
        contrast : shape ``(L, B)``
        """
        asked = np.where(np.abs(expected) >= FAINTEST, np.sign(expected) * FAINTEST, 0.0)
        views = [kept.view for kept in self.frames]
        points, _, contrast = measure_viewed(
            self.greys, views, segments, asked, REACH_PX, SEEN_SHARE
        )
        known = np.where(np.isfinite(contrast), contrast, 0.0)
        return points, np.median(known, axis=0)


@dataclass(frozen=True)
class SweptLine:
    """A line found in a sweep and measured in each frame."""

    kind: Kind
    line: FoundLine
    points: Floats
    """Shape ``(N, 2, 2)``, in the first frame's view; NaN where it was not found."""
    contrast: tuple[float, ...]
    above: float = 0.0

    @property
    def strength(self) -> float:
        """As in FoundLine."""
        return self.line.strength

    @property
    def lasts(self) -> bool:
        """Whether it was found in most frames."""
        found = np.all(np.isfinite(self.points), axis=(1, 2)).reshape(-1)
        return bool(found[0] and found.mean() >= LASTING_SHARE)

    def raised(self, above: float) -> SweptLine:
        """The same with its extent counted from further down."""
        return SweptLine(self.kind, self.line, self.points, self.contrast, above)

    def scene_line(self, kind: Kind) -> SceneLine:
        """As an edge of the scene, its ends trimmed a little clear of corners."""
        low, high = self.line.low[1], self.line.high[1]
        trim = 0.02 * (high - low)
        return SceneLine(kind, self.contrast, low + trim + self.above, high - trim + self.above)


def _pixel(fit: SceneFit) -> float:
    """A pixel at the hinge, in hinge depths; no finer than 1280 across a picture."""
    return max(1.0, max(fit.scene.width, fit.scene.height) / 1280) / fit.scene.focal_px


def _upright_grid(fit: SceneFit, swing: float, coarse: int = 1) -> Grid:
    """``coarse`` looks at every so many pixels alone."""
    pixel = coarse * _pixel(fit)
    places, lengths = np.arange(-0.05, 0.8, pixel), np.arange(0.0, 0.8, 3 * pixel)
    return Grid(places, lengths, np.linspace(-swing, swing, 13))


def _upright(thickness: float, depth: float) -> Family:
    """Lines along a standing body's axis, in the plane across its middle."""
    return Family(
        lambda at: at.hinge + thickness * at.n + depth * at.e3, lambda at: at.u, lambda at: at.n
    )


def _segments(fit: SceneFit, family: Family, line: FoundLine) -> Floats:
    """Ends of a swept line in pixels of the first frame's view, low first, ``(N, 4)``."""
    at = fit.scene.frames(fit.own)
    ends = (family.points(at, *end) for end in (line.low, line.high))
    return np.hstack([fit.scene.project(end) + fit.scene.sway_px(fit.own) for end in ends])


def in_equal_parts(contrasts: Sequence[tuple[float, ...]]) -> Floats:
    """Contrasts of lines in as many parts each, shape ``(L, B)``."""
    parts = max(len(contrast) for contrast in contrasts)
    at = (np.arange(parts) + 0.5) / parts
    return np.array([[c[int(x * len(c))] for x in at] for c in contrasts])
