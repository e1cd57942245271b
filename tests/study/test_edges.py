from dataclasses import replace

import numpy as np
import pytest

from tests.study.edges import SeenEdges, lens_shift, seen
from tests.study.trial import Course, Trial, course_of, random_trial, spotless
from tests.vision.geometry import own_of
from vision.fit import Edges, edge_residuals


@pytest.fixture(scope="module")
def trial() -> Trial:
    return spotless(random_trial(1, 9))


@pytest.fixture(scope="module")
def course(trial: Trial) -> Course:
    return course_of(trial)


def off_px(trial: Trial, course: Course, edges: SeenEdges) -> np.ndarray:
    """Distances in pixels from where the true scene has its edges, shape ``(N, L, 2)``."""
    unit = Edges(edges.points, np.ones(edges.points.shape[:2]))
    return edge_residuals(edges.scene, own_of(trial.drawn, course.motion), unit)


def test_without_noise_the_edges_lie_on_the_reader_s_own_lines(
    trial: Trial, course: Course
) -> None:
    clean = seen(replace(trial, noise_px=1e-9), course)
    assert np.abs(off_px(trial, course, clean)).max() < 1e-6


def test_noise_has_the_size_and_the_likeness_it_is_said_to_have(
    trial: Trial, course: Course
) -> None:
    noisy = seen(replace(trial, noise_px=0.4, alike=0.5), course)
    noise = off_px(trial, course, noisy) / noisy.put_in_u_px[..., None]
    assert np.std(noise) == pytest.approx(1, abs=0.05)
    assert np.mean(noise[1:] * noise[:-1]) == pytest.approx(0.5, abs=0.05)
    assert np.abs(np.mean(noise[..., 0] * noise[..., 1])) < 0.08
    # The reader's floor of 0.03 px is in what it is told, not in what was put in.
    assert np.all(noisy.stated_u_px >= noisy.put_in_u_px)


def test_lost_and_false_edges_are_as_many_as_asked(trial: Trial, course: Course) -> None:
    edges = len(trial.kept)
    poor = replace(trial, lost_shares=(0.1,) * edges, false_shares=(0.2,) * edges, noise_px=0.01)
    found = seen(poor, course)
    lost = np.isnan(found.points[..., 0, 0])
    far = np.abs(off_px(trial, course, found)).max(axis=2) > 0.1
    assert lost.mean() == pytest.approx(0.1, abs=0.02)
    assert far[~lost].mean() == pytest.approx(0.2, abs=0.03)
    assert np.all(np.isnan(found.put_in_u_px[lost | far]))


def test_a_lens_moves_the_corner_by_its_distortion_and_the_middle_not_at_all(
    trial: Trial,
) -> None:
    view = trial.drawn.view
    middle = np.array([(view.width - 1) / 2, (view.height - 1) / 2])
    assert np.allclose(lens_shift(np.array([middle, [0.0, 0.0]]), view), [[0, 0], -middle])


def test_a_lens_moves_edges_less_than_its_corner(trial: Trial, course: Course) -> None:
    bent = seen(replace(trial, lens=0.01, noise_px=1e-9), course)
    off = np.abs(off_px(trial, course, bent)).max()
    assert 0.1 < off < 0.01 * np.hypot(trial.drawn.view.width, trial.drawn.view.height) / 2
