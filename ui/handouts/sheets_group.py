"""A page for each group: its frames, its angles, its x with the working, and how it compares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from solver.pooling import Beside, GroupMean, Way, side_by_side
from solver.quantities import MILLIMETRE, Quantity
from solver.repeats import Repeats
from solver.worked_bodies import BRINK, HEIGHT, RADIUS, TILT
from solver.working import Working, mean_step, measured_as, solve
from ui.classroom.results import BY_TOPPLING, BodyResult, Measured
from ui.handouts.clip_rows import rows_of
from ui.handouts.content import Lesson, beside_others, mean_of
from ui.handouts.mathematics import worked
from ui.handouts.pictures import as_jpeg
from ui.handouts.plots import of_groups
from ui.handouts.said import clip_row, head, in_words, result
from ui.handouts.text import line, tag
from ui.handouts.typesetting import Sheet
from vision.reading import EvidencePicture

TITLE = "From the angles to the height of the centre"
MOST_PICTURES, MOST_BODIES = 3, 4
MOST_WORKED, MOST_ADDED = 3, 6
"""Clips whose working is written out, and whose heights are added up in one line."""


def group_report(lesson: Lesson, groups: Sequence[str]) -> Sheet:
    """A page each for some groups of a lesson."""
    pictures: dict[str, bytes] = {}
    pages = [_page(lesson, group, pictures) for group in groups]
    return Sheet("group_report", {**head(lesson), "groups": pages}, pictures)


def _page(lesson: Lesson, group: str, pictures: dict[str, bytes]) -> dict[str, Any]:
    clips = [each for each in lesson.clips if each.group == group]
    bodies = [each for each in lesson.bodies if mean_of(each.toppling, group)]
    return {
        "group": line(group),
        "pictures": [_kept(lesson, *shown, pictures) for shown in _shown(lesson, clips)],
        "clips": rows_of(lesson, clips),
        "bodies": [_body(each, group) for each in bodies[:MOST_BODIES]],
        "working": _working(lesson, bodies[0], group, clips) if bodies else None,
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


def _working(
    lesson: Lesson, found: BodyResult, group: str, clips: Sequence[Measured]
) -> dict[str, Any]:
    own = mean_of(found.toppling, group)
    assert own is not None
    toppled = [
        each for each in clips
        if each.clip.body_id == found.body.id and each.answer and each.answer.height
    ]  # fmt: skip
    angles = [each.reading.angle for each in toppled if each.reading.angle is not None]
    return {
        "body": line(found.body.name, 40),
        "clips": len(angles),
        **worked(height_working(found.body.radius, angles, own)),
    }


def height_working(radius_m: Quantity, angles_rad: Sequence[Quantity], own: GroupMean) -> Working:
    """From each angle to its x, and to their mean with the group's own interval."""
    single = len(angles_rad) == 1
    steps = []
    for number, angle in enumerate(angles_rad, start=1):
        index = "" if single else str(number)
        tilt, height = replace(TILT, index=index), replace(HEIGHT, index=index)
        equation = f"{height.name} = r / tan({tilt.name})"
        steps.append(solve(BRINK, equation, [RADIUS.at(radius_m), tilt.at(angle)], height))
    # What scatters is seen in the repeats of all groups together, in no one equation.
    known = Repeats(own.mean, own.count, None, own.result.coverage_factor)
    if single:
        return Working(TITLE, (measured_as(steps[0], known),))
    mean = measured_as(mean_step(HEIGHT, [step.result.value for step in steps]), known)
    shown = steps if len(steps) <= MOST_WORKED else steps[:1]
    return Working(TITLE, (*shown, mean) if len(steps) <= MOST_ADDED else tuple(shown))
