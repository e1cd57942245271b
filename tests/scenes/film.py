"""From a scene to a clip file with its truth beside it."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from fractions import Fraction
from math import degrees, radians
from pathlib import Path
from typing import cast

import av
import cv2
import numpy as np
from av.video.stream import VideoStream
from numpy.typing import NDArray

from tests.scenes.camera import Camera, camera_of
from tests.scenes.engine import by_engine
from tests.scenes.lift import tilt_program
from tests.scenes.motion import Motion, Truth, first_tilt_deg, truth_of
from tests.scenes.render import Painter, develop
from tests.scenes.scene import Scene, View
from tests.scenes.stage import Stage

_TICKS = 90_000
_AFTER_S = 1.2
_SUBFRAMES = 3


@dataclass(frozen=True)
class Encoding:
    """How the clip is written."""

    codec: str = "libx264"
    crf: int = 20
    rotated: bool = False
    """Stored on its side with a flag that tells the player to turn it upright."""


def render_clip(scene: Scene, path: Path, encoding: Encoding = Encoding()) -> Truth:
    """Write the clip, ``NAME.truth.json`` and ``NAME.trace.csv``; return the truth."""
    path.parent.mkdir(parents=True, exist_ok=True)
    whole = by_engine(scene, tilt_program(scene.lift, scene.seed))
    truth = truth_of(scene, whole)
    times = _frame_times(scene, _last_moment(whole))
    _encode(path, frames(scene, whole, times), times, scene.view, encoding)
    if encoding.rotated:
        _flag_rotation(path)
    _write_trace(path.with_suffix(".trace.csv"), whole.at(times))
    _write_truth(path, scene, whole, truth)
    return truth


def frames(scene: Scene, motion: Motion, times: NDArray) -> Iterator[NDArray[np.uint8]]:
    """The clip's pictures, BGR, shape ``(H, W, 3)``."""
    rng = np.random.default_rng(scene.seed + 2)
    noise = _Noise(scene, rng)
    camera, stage = camera_of(scene), Stage(scene)
    sweep = _shake(scene.view, times, rng)
    if sweep is None:
        pictures = _still(scene, Painter(stage, camera), motion, times)
    else:
        pictures = _hand_held(scene, stage, camera, motion, times, sweep)
    for picture in pictures:
        yield noise.add(picture)


def _moments(scene: Scene, motion: Motion, time_s: float) -> NDArray:
    """Rows ``(tilt, lean, slip, gap)`` within the exposure about a time."""
    half, count = scene.look.exposure_s / 2, _SUBFRAMES if scene.look.exposure_s else 1
    now = motion.at(np.linspace(time_s - half, time_s + half, count + 2)[1:-1])
    return np.column_stack([now.tilt_rad, now.lean_rad, now.slip_m, now.gap_m])


def _still(scene: Scene, painter: Painter, motion: Motion, times: NDArray) -> Iterator[NDArray]:
    look = scene.look
    room = develop(painter.background, look.light, look.blur_px)
    for time_s in times:
        moments = _moments(scene, motion, time_s)
        rows, columns = painter.window(moments)
        wide = _grown(rows, 6, room.shape[0]), _grown(columns, 6, room.shape[1])
        linear = np.mean([painter.draw(m, wide) for m in moments], axis=0)
        picture = room.copy()
        picture[rows, columns] = develop(linear, look.light, look.blur_px)[
            rows.start - wide[0].start : rows.stop - wide[0].start,
            columns.start - wide[1].start : columns.stop - wide[1].start,
        ]
        yield picture


def _hand_held(scene, stage, camera: Camera, motion, times, sweep) -> Iterator[NDArray]:
    everything = slice(0, camera.height), slice(0, camera.width)
    for time_s, (turn, shift) in zip(times, sweep, strict=True):
        painter = Painter(stage, camera.shaken(turn, shift))
        moments = _moments(scene, motion, time_s)
        linear = np.mean([painter.draw(m, everything) for m in moments], axis=0)
        yield develop(linear, scene.look.light, scene.look.blur_px)


def _grown(part: slice, by: int, limit: int) -> slice:
    return slice(max(part.start - by, 0), min(part.stop + by, limit))


class _Noise:
    """Grain of the sensor, a little smoothed as phones do, a new one each frame."""

    def __init__(self, scene: Scene, rng: np.random.Generator) -> None:
        self._rng = rng
        shape = (scene.view.height + 64, scene.view.width + 64)
        plates = []
        for _ in range(4):
            plate = rng.standard_normal((*shape, 3)).astype(np.float32)
            plate = 0.5 * plate + plate.mean(axis=2, keepdims=True)
            plate = cv2.GaussianBlur(plate, (0, 0), 0.6)
            plates.append(plate * (scene.look.noise / plate.std()))
        self._plates = plates

    def add(self, picture: NDArray) -> NDArray[np.uint8]:
        """The picture in bytes, with noise."""
        down, right = self._rng.integers(0, 64, 2)
        plate = self._plates[self._rng.integers(len(self._plates))]
        height, width = picture.shape[:2]
        noisy = picture + plate[down : down + height, right : right + width]
        return np.clip(np.rint(noisy), 0, 255).astype(np.uint8)


def _shake(view: View, times: NDArray, rng: np.random.Generator):
    """Pairs of a turn and a shift a frame, or nothing for a phone that stands."""
    if view.shake_deg == 0 and view.shake_m == 0:
        return None
    waves = _waves(times, 6, rng)
    turns, shifts = radians(view.shake_deg) * waves[:, :3], view.shake_m * waves[:, 3:]
    return list(zip(turns, shifts, strict=True))


def _waves(times: NDArray, count: int, rng: np.random.Generator) -> NDArray:
    """Unit-variance tremor and drift, shape ``(N, count)``: sines of 0.2 to 6 Hz."""
    rates = np.exp(rng.uniform(np.log(0.2), np.log(6), (8, 1, count)))
    sizes = rates**-0.8
    phases = rng.uniform(0, 2 * np.pi, rates.shape)
    sines = np.sin(2 * np.pi * rates * times[None, :, None] + phases)
    return (sizes * sines).sum(axis=0) / np.sqrt((sizes**2).sum(axis=0) / 2)


def _last_moment(motion: Motion) -> float:
    """A little after the body has gone, or the end."""
    gone = np.flatnonzero((motion.lean_rad > radians(45)) | (motion.slip_m > 0.08))
    end = motion.time_s[-1]
    return float(min(end, motion.time_s[gone[0]] + _AFTER_S)) if gone.size else float(end)


def _frame_times(scene: Scene, end_s: float) -> NDArray:
    rate = scene.view.frames_per_second
    even = np.arange(int(end_s * rate) + 1) / rate
    rng = np.random.default_rng(scene.seed + 3)
    wander = np.clip(rng.normal(0, scene.view.uneven_s, even.size), -0.4 / rate, 0.4 / rate)
    wander[0] = 0
    return np.rint((even + wander) * _TICKS) / _TICKS


def _encode(path: Path, pictures, times: NDArray, view: View, encoding: Encoding) -> None:
    with av.open(str(path), "w") as container:
        rate = Fraction(view.frames_per_second).limit_denominator(1001)
        stream = cast(VideoStream, container.add_stream(encoding.codec, rate=rate))
        turned = encoding.rotated
        stream.width, stream.height = (
            (view.height, view.width) if turned else (view.width, view.height)
        )
        stream.pix_fmt = "yuv420p"
        stream.time_base = stream.codec_context.time_base = Fraction(1, _TICKS)
        stream.options = {
            "crf": str(encoding.crf),
            "preset": "veryfast",
            "threads": "1",
        }
        for picture, time_s in zip(pictures, times, strict=True):
            if turned:
                picture = cv2.rotate(picture, cv2.ROTATE_90_COUNTERCLOCKWISE)
            frame = av.VideoFrame.from_ndarray(picture, format="bgr24")
            frame.pts, frame.time_base = round(time_s * _TICKS), Fraction(1, _TICKS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def _flag_rotation(path: Path) -> None:
    """Set the track header's matrix to a quarter turn clockwise (ISO/IEC 14496-12)."""
    content = bytearray(path.read_bytes())
    header = content.index(b"tkhd") + 4
    version = content[header]
    matrix = header + (52 if version == 1 else 40)
    one = 1 << 16
    values = (0, one, 0, -one, 0, 0, 0, 0, 1 << 30)
    for k, value in enumerate(values):
        content[matrix + 4 * k : matrix + 4 * k + 4] = value.to_bytes(4, "big", signed=True)
    path.write_bytes(content)


def _write_trace(path: Path, motion: Motion) -> None:
    with path.open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(
            [
                "frame",
                "time_s",
                "board_tilt_deg",
                "body_lean_from_board_normal_deg",
                "slip_along_board_mm",
            ]
        )
        columns = (motion.time_s, motion.tilt_rad, motion.lean_rad, motion.slip_m)
        for k, (time_s, tilt, lean, slip) in enumerate(zip(*columns, strict=True)):
            rows.writerow(
                [
                    k,
                    round(time_s, 5),
                    round(degrees(tilt), 4),
                    round(degrees(lean), 4),
                    round(slip * 1000, 3),
                ]
            )


def _write_truth(path: Path, scene: Scene, motion: Motion, truth: Truth) -> None:
    body = scene.body
    fields: dict[str, object] = {
        "clip": path.name,
        "radius_mm": body.radius_m * 1000,
        "start_tilt_deg": scene.lift.start_deg,
        "outcome": truth.outcome,
        "body_height_mm": body.height_m * 1000,
    }
    if truth.angle_rad is not None:
        fields["angle_deg"] = degrees(truth.angle_rad)
    if truth.outcome == "topples":
        fields["centre_height_mm"] = body.centre_height_m * 1000
        leans = first_tilt_deg(motion, motion.lean_rad, radians(0.3))
        fields["board_deg_when_body_leans_0_3_deg"] = leans
        fields["seconds_when_board_passes_angle"] = truth.passes_s
    elif truth.outcome == "slides":
        fields["friction_coefficient"] = scene.board.friction
        slips = first_tilt_deg(motion, motion.slip_m, 0.002)
        fields["board_deg_when_slipped_2_mm"] = slips
    else:
        fields["largest_tilt_deg"] = degrees(motion.tilt_rad.max())
    fields |= {"shows": scene.shows, "scene": asdict(scene)}
    path.with_suffix(".truth.json").write_text(json.dumps(fields, indent=1) + "\n")
