"""A lesson's answers as JSON."""

from __future__ import annotations

import json

import pytest

from tests.ui.classroom.views import FELT, TIN, Shot, slides, topples, view_of
from ui.classroom.class_file import all_read, lesson_as_json
from ui.record.rows import BalanceReading, Prediction
from vision.reading import Outcome


def test_clips_bodies_and_friction_are_written_in_the_units_of_their_names() -> None:
    view = view_of(
        [topples(1, 84), topples(2, 84), slides(1, 0.36, FELT)],
        balance=[BalanceReading(1, 1, 1, TIN.id, 0.082, "base", 0.002, 0.0)],
        predictions=[Prediction(1, TIN.id, 0.0862, 0.0006, "its parts")],
    )
    found = json.loads(json.dumps(lesson_as_json(view), allow_nan=False))
    assert (found["lesson"], found["day"]) == ("Tea tins, 10b", "2026-11-25")
    first, _, slid = found["clips"]
    assert (first["clip"], first["group"], first["body"]) == (
        "clip_1.mp4", "Table 1", "Leaf tea tin",
    )  # fmt: skip
    assert first["centre_height_mm"] == pytest.approx(84)
    assert (slid["surface"], slid["friction_coefficient"]) == ("Felt", pytest.approx(0.36))
    tin, _ = found["bodies"]
    assert tin["radius_mm"] == pytest.approx(34)
    assert tin["toppling"]["mean_mm"] == pytest.approx(84)
    assert tin["balance"]["mean_mm"] == pytest.approx(84)
    assert tin["predictions"] == [
        {"source": "its parts", "height_mm": pytest.approx(86.2), "height_u_mm": pytest.approx(0.6)}
    ]
    assert [pair["agrees"] for pair in tin["side_by_side"]] == [True, True, False]
    assert found["friction"][0]["coefficient"]["mean"] == pytest.approx(0.36)


def test_a_clip_that_was_refused_is_unreadable_with_its_reason() -> None:
    found = lesson_as_json(view_of([]), [("bad.mp4", "bad.mp4 holds no picture.")])
    (clip,) = found["clips"]
    assert (clip["clip"], clip["outcome"]) == ("bad.mp4", "unreadable")
    assert clip["reasons"] == ["bad.mp4 holds no picture."]


def test_all_are_read_when_none_is_wanting() -> None:
    read, unread = topples(1, 84), Shot(1, Outcome.UNREADABLE)
    assert all_read(view_of([read]), [])
    assert not all_read(view_of([read]), [("bad.mp4", "damaged")])
    assert not all_read(view_of([read, unread]), [])
