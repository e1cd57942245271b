"""What edges along the body tell of the camera, from geometry alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import radians

import numpy as np
import pytest

from tests.scenes.camera import camera_of
from tests.scenes.scene import Scene as Drawn
from tests.scenes.scene import Side
from tests.scenes.stage import body_pose
from tests.vision.drafted import clean_points, draft_of
from tests.vision.followed import kept_frames
from tests.vision.geometry import Floats, drawn_scene, own_of, raised, scene_of, seen_edges
from vision.bodies import FEWEST_UPRIGHT, WIDEST, by_upright, outermost_first, pairs_of
from vision.candidates import Candidate
from vision.draft import COARSE_U_PX, Draft, Seen
from vision.edges import Kind
from vision.fit import Edges, Freedom, fit_scene, start_camera
from vision.scene import BODY, CAMERA, Scene
from vision.search import Search, SweptLine
from vision.sweep import FoundLine

MOTION = raised(radians(7.0), 12)
NOISE_PX = 0.05
PRINT_DEG = (-130.0, -90.0, -60.0)
"""Where around the body, from up the slope, three printed edges are that the camera sees."""


def _printed(drawn: Drawn) -> Floats:
    """Ends of edges printed along the body in every frame, ``(N, 3, 2, 2)``, by the
    simulator's camera."""
    camera, body = camera_of(drawn), drawn.body
    angles = np.radians(PRINT_DEG)
    rim = body.radius_m * np.column_stack([np.cos(angles), np.sin(angles), np.zeros(3)])
    ends = np.stack([rim, rim + [0, 0, 0.8 * body.height_m]], axis=1)
    poses = [body_pose(drawn, *row, 0.0) for row in MOTION]
    return np.stack([camera.project(pose.world(ends.reshape(-1, 3))) for pose in poses]).reshape(
        len(MOTION), 3, 2, 2
    )


def _seen(drawn: Drawn, upright: Floats, in_hand: bool = False) -> Seen:
    kept = kept_frames(MOTION[:, 0] * drawn.mirror)
    noise = np.random.default_rng(2).normal(0, NOISE_PX, upright.shape)
    candidates = np.moveaxis((upright + noise).reshape(len(MOTION), -1, 4), 1, 0)
    freedom = Freedom(shift=0.006 if in_hand else 0.0)
    uprights = tuple(Candidate(ends, 5.0) for ends in candidates)
    return Seen(Search(kept), drawn.mirror, 0.0, freedom, None, uprights)


def _draft(drawn: Drawn, seen: Seen) -> Draft:
    """The scene as the board's near edge alone tells it, the hinge where it truly is."""
    own, points = own_of(drawn, MOTION), seen_edges(drawn, MOTION)[:, :1]
    view, truth = drawn.view, scene_of(drawn)
    camera = start_camera(view.width, view.height)
    camera[4:6] = truth.shared[4:6] * truth.focal_px / np.exp(camera[3])
    shared = np.concatenate([camera, [0.2, 0.0, 0.04]])
    scene = Scene(view.width, view.height, drawn.mirror, (), shared)
    scene = scene.with_lines([Kind.ALONG], own, points)
    edges = Edges(points, np.full(points.shape[:2], COARSE_U_PX[0]))
    fit = fit_scene(scene, own, edges, seen.freedom, 0, 0.0, settled=1e-4)
    return Draft(fit, points, COARSE_U_PX[0])


def _off_deg(drawn: Drawn, draft: Draft) -> Floats:
    """Error of pitch, yaw and roll."""
    return np.degrees(draft.fit.scene.shared[:3] - scene_of(drawn).shared[:3])


POSES = [{"yaw_deg": 12, "pitch_deg": 10}, {"yaw_deg": -10, "pitch_deg": 4, "roll_deg": 2}]


def _upright(drawn: Drawn) -> Floats:
    """Both outlines and the print, ``(N, 5, 2, 2)``."""
    return np.concatenate([seen_edges(drawn, MOTION)[:, 4:], _printed(drawn)], axis=1)


@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize("side", list(Side))
def test_upright_edges_tell_how_the_camera_is_turned(side, pose):
    """The board's edge alone leaves it where cameras usually are, nearly ten degrees off."""
    drawn = drawn_scene(side, **pose)
    seen = _seen(drawn, _upright(drawn))
    draft = _draft(drawn, seen)
    after, posed = by_upright(seen, draft)
    assert np.abs(_off_deg(drawn, draft)).max() > 8
    assert np.abs(_off_deg(drawn, posed)).max() < 1
    assert after.upright == seen.upright
    assert [line.kind for line in posed.fit.scene.lines] == [Kind.ALONG]


def test_an_upright_edge_that_turns_otherwise_is_left_out():
    """An arm's edge lags behind the board by a third."""
    drawn = drawn_scene(**POSES[0])
    lagging = np.column_stack([MOTION[:, 0] * 2 / 3, MOTION[:, 1:]])
    arm = seen_edges(drawn, lagging)[:, 5:] + [60.0, -20.0]
    seen = _seen(drawn, np.concatenate([_upright(drawn), arm], axis=1))
    after, posed = by_upright(seen, _draft(drawn, seen))
    left = [id(edge) for edge in after.upright]
    assert id(seen.upright[-1]) not in left and len(left) >= FEWEST_UPRIGHT
    assert np.abs(_off_deg(drawn, posed)).max() < 1


def test_in_a_hand_they_tell_it_but_hold_nothing_later():
    """They sway."""
    drawn = drawn_scene(**POSES[0])
    seen = _seen(drawn, _upright(drawn), in_hand=True)
    after, posed = by_upright(seen, _draft(drawn, seen))
    assert after.upright == ()
    assert np.abs(_off_deg(drawn, posed)).max() < 2


def _line(place: float, low: float, high: float, strength: float) -> SweptLine:
    found = FoundLine((place, low), (place, high), (1.0,), strength)
    return SweptLine(Kind.AXIAL, found, np.zeros((1, 2, 2)), (1.0,))


def _places(pairs: list[tuple[SweptLine, SweptLine]]) -> list[tuple[float, float]]:
    return [(first.line.middle, last.line.middle) for first, last in pairs]


def test_pairs_rise_from_the_board_to_a_like_height():
    left, right = _line(0.20, 0.01, 0.25, 80.0), _line(0.28, 0.0, 0.24, 90.0)
    ring = _line(0.24, 0.15, 0.25, 95.0)  # begins high up
    low = _line(0.40, 0.0, 0.12, 60.0)
    assert _places(pairs_of([right, left])) == [(0.20, 0.28)]
    assert _places(pairs_of([ring, right, left, low])) == [(0.20, 0.28)]


def test_the_strongest_pair_is_first_and_none_is_wider_than_bodies_are():
    places = [0.1 + 0.6 * WIDEST * k for k in range(4)]
    lines = [_line(place, 0.0, 0.25, 90.0 - 10 * k) for k, place in enumerate(places)]
    assert _places(pairs_of(lines)) == list(pairwise(places))


def test_a_faint_line_makes_no_pair():
    assert pairs_of([_line(0.2, 0.0, 0.25, 90.0), _line(0.3, 0.0, 0.25, 9.0)]) == []


def _sized(radius: float, height: float) -> Draft:
    """A draft whose body is so many times as wide and as high as it truly is."""
    draft = draft_of(clean_points())
    scene, shared = draft.fit.scene, draft.fit.scene.shared.copy()
    shared[CAMERA + BODY - 1] *= radius
    lines = tuple(
        replace(line, high=line.high * height) if line.is_outline else line for line in scene.lines
    )
    return replace(draft, fit=replace(draft.fit, scene=replace(scene, shared=shared, lines=lines)))


def test_outlines_come_before_print_between_them_and_a_low_thing_beside_it_last():
    outlines, printed, low = _sized(1.0, 1.0), _sized(0.7, 0.95), _sized(1.8, 0.3)
    ordered = outermost_first([low, printed, outlines])
    assert [id(each) for each in ordered] == [id(outlines), id(printed), id(low)]
    assert outermost_first([]) == []
