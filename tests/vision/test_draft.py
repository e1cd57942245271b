"""Drafts of a scene whose truth is known, from geometry alone."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from tests.vision.drafted import NOISE_PX, SEEN, draft_of, noisy_points
from tests.vision.geometry import KINDS, drawn_scene, scene_of
from vision.draft import FARTHEST, HELD_TIMES, WORST_PX, fit_draft, likely
from vision.fit import Freedom


def test_errors_are_in_pixels_and_infinite_where_an_edge_was_mostly_lost():
    points = noisy_points()
    points[:7, 2], points[:5, 3] = np.nan, np.nan
    points[:, 1, :, 1] += 2.0
    errors = draft_of(points).errors_px()
    assert errors[[0, 4, 5]] == pytest.approx(NOISE_PX, rel=0.5)
    assert errors[1] == pytest.approx(1.4826 * 2.0, rel=0.1)  # as if it were a spread
    assert np.isinf(errors[2]) and np.isfinite(errors[3])


def test_the_misfit_is_that_of_the_worse_outline():
    points = noisy_points()
    points[:, 1] += 9.0  # of the board
    points[:, 5, :, 0] += 1.0
    draft = draft_of(points)
    assert draft.misfit_px() == draft.errors_px()[5] > 1


def test_fewer_lines_keep_what_was_measured_of_them():
    draft = draft_of(noisy_points())
    kept = draft.only([0, 4, 5])
    assert [line.kind for line in kept.fit.scene.lines] == [KINDS[k] for k in (0, 4, 5)]
    assert np.array_equal(kept.points, draft.points[:, [0, 4, 5]])
    assert np.array_equal(kept.errors_px(), draft.errors_px()[[0, 4, 5]])


def test_a_fit_finds_the_scene_again():
    draft, points = draft_of(noisy_points()), noisy_points()
    away = draft.fit.scene.shared + 0.02 * np.sin(np.arange(len(draft.fit.scene.shared)))
    off = replace(draft, fit=replace(draft.fit, scene=replace(draft.fit.scene, shared=away)))
    found = fit_draft(SEEN, off, 1.0, 0.3)
    assert found.u_px == 0.3 and np.array_equal(found.points, points)
    assert np.max(found.errors_px()) < 2 * NOISE_PX
    assert found.fit.scene.shared[:3] == pytest.approx(draft.fit.scene.shared[:3], abs=radians(1))


def test_chi_squared_grows_with_what_is_astray_and_with_trust():
    clean, astray = noisy_points(), noisy_points()
    astray[3, 4] += 5.0
    assert draft_of(astray).cost(0.3) > draft_of(clean).cost(0.3) > draft_of(clean).cost(1.0)


@pytest.mark.parametrize(("unknown", "u"), [(0, radians(6)), (1, radians(8)), (3, 0.1)])
def test_a_camera_far_from_where_phones_are_held_is_not_likely(unknown, u):
    scene = scene_of(drawn_scene(pitch_deg=6, focal_px=960))
    assert likely(scene)
    for times, so in ((0.9, True), (1.1, False)):
        shared = scene.shared.copy()
        shared[unknown] += times * FARTHEST * u
        assert likely(replace(scene, shared=shared)) is so


def test_in_a_hand_more_is_forgiven():
    held = replace(SEEN, freedom=Freedom(shift=0.01))
    assert (SEEN.worst_px, held.worst_px) == (WORST_PX, HELD_TIMES * WORST_PX)
    assert held.worst_outline_px == HELD_TIMES * SEEN.worst_outline_px
