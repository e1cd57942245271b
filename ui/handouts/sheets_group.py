"""A page for each group: its frames, its angles, its x with the working, and how it compares."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from solver.pooling import Beside, GroupMean, Way, side_by_side
from solver.quantities import MILLIMETRE, RATIO, Quantity
from ui.classroom.results import BY_TOPPLING, BodyResult, FrictionResult, Measured
from ui.handouts.clip_rows import rows_of
from ui.handouts.content import Lesson, beside_others, mean_of
from ui.handouts.group_working import friction_working, height_working
from ui.handouts.pictures import as_jpeg
from ui.handouts.plots import of_groups
from ui.handouts.said import clip_row, head, in_words, result
from ui.handouts.text import line, tag
from ui.handouts.typesetting import Sheet
from vision.reading import EvidencePicture

MOST_PICTURES, MOST_BODIES = 3, 4


def group_report(lesson: Lesson, groups: Sequence[str]) -> Sheet:
    """A page each for some groups of a lesson."""
    pictures: dict[str, bytes] = {}
    pages = [_page(lesson, group, pictures) for group in groups]
    return Sheet("group_report", {**head(lesson), "groups": pages}, pictures)


def _page(lesson: Lesson, group: str, pictures: dict[str, bytes]) -> dict[str, Any]:
    clips = [each for each in lesson.clips if each.group == group]
    bodies = [each for each in lesson.bodies if mean_of(each.toppling, group)]
    slides = [each for each in lesson.frictions if mean_of(each.friction, group)]
    return {
        "group": line(group),
        "pictures": [_kept(lesson, *shown, pictures) for shown in _shown(lesson, clips)],
        "clips": rows_of(lesson, clips),
        "bodies": [_body(each, group) for each in bodies[:MOST_BODIES]],
        "slides": [_slid(each, group) for each in slides[:MOST_BODIES]],
        "working": _working(lesson, group, bodies, slides),
    }


def _shown(lesson: Lesson, clips: Sequence[Measured]) -> list[tuple[Measured, EvidencePicture]]:
    """All moments of a clip of one body, or a moment each of several; the first is large."""
    seen: dict[int | None, tuple[Measured, list[EvidencePicture]]] = {}
    for clip in clips:
        if clip.clip.body_id not in seen and (found := lesson.pictures_of(clip.clip.id)):
            seen[clip.clip.body_id] = clip, _telling_first(found)
    if len(seen) == 1:
        ((clip, moments),) = seen.values()
        return [(clip, each) for each in moments[:MOST_PICTURES]]
    return [(clip, moments[0]) for clip, moments in seen.values()][:MOST_PICTURES]


def _telling_first(pictures: Sequence[EvidencePicture]) -> list[EvidencePicture]:
    """The moment a clip turns on, then the others."""
    return sorted(pictures, key=lambda each: each.moment in ("start", "after", "end"))


def _kept(
    lesson: Lesson, clip: Measured, picture: EvidencePicture, pictures: dict[str, bytes]
) -> dict[str, str]:
    name = f"picture_{len(pictures)}.jpg"
    pictures[name] = as_jpeg(picture.png)
    row = clip_row(clip, lesson)
    caption = f"{row['body']}, {picture.moment}: {picture.time_s:.2f} s"
    alt = f"The {row['body']} on the board, {picture.moment}"
    return {"file": name, "caption": line(caption), "alt": line(alt)}


def _body(found: BodyResult, group: str) -> dict[str, Any]:
    """A body's comparison: this group, the class, the other ways."""
    own, toppling = mean_of(found.toppling, group), found.toppling
    assert own is not None and toppling is not None  # only such bodies are asked for
    beside = beside_others(toppling, group)
    sentences = [in_words(beside)] if beside else []
    sentences += [in_words(each) for each in _beside_ways(found, own)]
    title = f"height of the centre of the {tag(found.body.name, 30)}, x / mm"
    return {
        "name": line(found.body.name, 40),
        "own": result(own.result),
        "count": own.count,
        "class": result(toppling.pooled.result) if len(toppling.pooled.groups) > 1 else None,
        "plot": of_groups(toppling, MILLIMETRE, title, group),
        "sentences": sentences,
    }


def _beside_ways(found: BodyResult, own: GroupMean) -> list[Beside]:
    """This group's mean beside the class's other ways."""
    mine = Way("by your clips", own.mean, own.result.coverage_factor)
    return [side_by_side((mine, way))[0] for way in found.ways if way.name != BY_TOPPLING]


def _slid(found: FrictionResult, group: str) -> dict[str, Any]:
    """Friction as this group found it, and the class."""
    own, pooled = mean_of(found.friction, group), found.friction.pooled
    assert own is not None  # only such pairs are asked for
    return {
        "name": line(f"{found.body} on {found.surface}", 80),
        "own": result(own.result, RATIO),
        "count": own.count,
        "class": result(pooled.result, RATIO) if len(pooled.groups) > 1 else None,
    }


def _working(
    lesson: Lesson, group: str, bodies: Sequence[BodyResult], slides: Sequence[FrictionResult]
) -> dict[str, Any] | None:
    """Of the first body that toppled, else of the first that slid."""
    for found in bodies:
        clips = [each for each in lesson.of_body(found) if each.group == group]
        if own := mean_of(found.toppling, group):
            work = height_working(found.body.radius, _angles(clips), own)
            return work.told(found.body.name)
    for slide in slides:
        clips = [each for each in lesson.of_slide(slide) if each.group == group]
        if own := mean_of(slide.friction, group):
            return friction_working(_angles(clips), own).told(f"{slide.body} on {slide.surface}")
    return None


def _angles(clips: Sequence[Measured]) -> list[Quantity]:
    return [each.reading.angle for each in clips if each.reading.angle is not None]
