"""Pictures to wrap on solids and lay on planes: reflectances, linear BGR."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.scenes.scene import Body, Colour, Look, Pattern

Texture = NDArray[Any]
"""Of float32; OpenCV's own annotations are wider."""
BODY_TEXEL_M = 0.0005
PLANE_TEXEL_M = 0.001


def body_texture(body: Body, rng: np.random.Generator) -> Texture:
    """The printed side, unrolled: rows from the base up, columns round the body."""
    rows = max(8, round(body.height_m / BODY_TEXEL_M))
    columns = round(2 * np.pi * body.radius_m / BODY_TEXEL_M)
    picture = np.full((rows, columns, 3), body.colour, np.float32)
    draw = {
        Pattern.PLAIN: lambda *_: None,
        Pattern.BANDS: _bands,
        Pattern.STRIPES: _stripes,
        Pattern.BLOBS: _blobs,
        Pattern.LABEL: _label,
    }[body.pattern]
    draw(picture, body.second_colour, rng)
    paper = cv2.GaussianBlur(rng.standard_normal((rows, columns)).astype(np.float32), (0, 0), 3)
    picture *= 1 + 0.15 * paper[..., None]
    return cv2.GaussianBlur(np.clip(picture, 0, 1), (0, 0), 0.8)


def _bands(picture: Texture, colour: Colour, _rng: np.random.Generator) -> None:
    rows = len(picture)
    for low, high in ((0.06, 0.14), (0.80, 0.88)):
        picture[int(low * rows) : int(high * rows)] = colour


def _stripes(picture: Texture, colour: Colour, rng: np.random.Generator) -> None:
    columns = picture.shape[1]
    count = int(rng.integers(6, 12))
    for k in range(count):
        left = int(k / count * columns)
        picture[:, left : left + columns // (2 * count)] = colour


def _blobs(picture: Texture, colour: Colour, rng: np.random.Generator) -> None:
    rows, columns = picture.shape[:2]
    for _ in range(rows * columns // 2500):
        centre = (int(rng.integers(columns)), int(rng.integers(rows)))
        cv2.circle(picture, centre, int(rng.integers(5, 18)), colour, -1, cv2.LINE_AA)


def _label(picture: Texture, colour: Colour, rng: np.random.Generator) -> None:
    _bands(picture, colour, rng)
    rows, columns = picture.shape[:2]
    middle, wide = columns // 2, columns // 5
    low, high = int(0.25 * rows), int(0.72 * rows)
    paper = np.ascontiguousarray(np.full((high - low, 2 * wide, 3), 0.62, np.float32))
    blue, green, red = (0.4 * c for c in colour)
    ink = blue, green, red
    scale = wide / 75
    _write(paper, "SEED TUB", (wide // 6, wide // 2), scale, ink)
    for line in range(wide // 2 + 14, high - low - 8, 9):
        end = int(rng.uniform(1.0, 1.8) * wide)
        cv2.line(paper, (wide // 6, line), (end, line), ink, 2, cv2.LINE_AA)
    picture[low:high, middle - wide : middle + wide] = paper[::-1]


def grain_texture(look: Look, rng: np.random.Generator) -> Texture:
    """Wood grain along ``x``, about unity, shape ``(2048, 2048)``; tiles."""
    mixed = _streaks(60, 0.8, rng) + _streaks(250, 12, rng)
    return np.clip(1 + look.grain * mixed / 2, 0.2, 2.0)


def softened(grain: Texture) -> list[Texture]:
    """The grain as seen from farther and farther: the k-th blurred by 2**k texels."""
    blurred = [cv2.GaussianBlur(grain, (0, 0), sigmaX=1, sigmaY=2.0**k) for k in range(1, 6)]
    return [grain, *blurred]


def _streaks(long: float, across: float, rng: np.random.Generator) -> Texture:
    """Smooth noise of unit variance, drawn coarse along ``x`` to be quick; in texels."""
    size, coarse = 2048, 32
    noise: Texture = rng.standard_normal((size, size // coarse)).astype(np.float32)
    noise = cv2.GaussianBlur(noise, (0, 0), sigmaX=long / coarse, sigmaY=across)
    noise = cv2.resize(noise, (size, size), interpolation=cv2.INTER_CUBIC)
    return noise / noise.std()


def wall_texture(look: Look, rng: np.random.Generator) -> Texture:
    """A mottled wall, 4 m wide and 2 m high at 2 mm a texel, perhaps with posters."""
    rows, columns = 1000, 2000
    mottle = np.zeros((rows, columns), np.float32)
    for sigma in (1, 4, 12, 40):
        layer = cv2.GaussianBlur(
            rng.standard_normal((rows, columns)).astype(np.float32), (0, 0), sigma
        )
        mottle += layer / layer.std()
    picture = np.array(look.wall_colour, np.float32) * (1 + look.mottle / 2 * mottle[..., None])
    if look.posters:
        for k in range(9):
            _poster(
                picture,
                60 + k * 215 + int(rng.integers(60)),
                int(rng.integers(60, 260)),
                rng,
            )
    return cv2.GaussianBlur(np.clip(picture, 0, 1).astype(np.float32), (0, 0), 0.8)


def _poster(wall: Texture, left: int, bottom: int, rng: np.random.Generator) -> None:
    wide, tall = int(rng.integers(90, 130)), int(rng.integers(120, 170))
    paper = np.empty((tall, wide, 3), np.float32)
    paper[:] = rng.uniform(0.4, 0.8, 3)
    for _ in range(9):
        colour = tuple(float(c) for c in rng.uniform(0.02, 0.7, 3))
        at = (int(rng.integers(wide)), int(rng.integers(tall // 4, tall)))
        if rng.random() < 0.5:
            axes = (int(rng.integers(5, 16)), int(rng.integers(4, 12)))
            cv2.ellipse(paper, at, axes, 0, 0, 360, colour, -1, cv2.LINE_AA)
        else:
            cv2.rectangle(paper, at, (at[0] + 18, at[1] + 12), colour, -1)
    _write(paper, "MOMENTS", (8, 20), 0.5, (0.02, 0.02, 0.02))
    wall[bottom : bottom + tall, left : left + wide] = paper[::-1]


def _write(picture: Texture, text: str, at: tuple[int, int], scale: float, ink: Colour) -> None:
    """Letters on a picture; OpenCV writes on bytes alone."""
    mask = np.zeros(picture.shape[:2], np.uint8)
    cv2.putText(mask, text, at, cv2.FONT_HERSHEY_SIMPLEX, scale, 255, 2, cv2.LINE_AA)
    part = mask[..., None] / np.float32(255)
    picture[:] = (1 - part) * picture + part * np.array(ink, np.float32)


def look_up(texture: Texture, row: NDArray, column: NDArray) -> NDArray:
    """Bilinear, tiling; ``row`` and ``column`` of any equal shape."""
    shape = row.shape
    wide = 4096
    count = row.size
    lines = -(-count // wide)
    maps: Texture = np.zeros((2, lines * wide), np.float32)
    maps[0, :count], maps[1, :count] = column.ravel(), row.ravel()
    maps = maps.reshape(2, lines, wide)
    found: NDArray[Any] = cv2.remap(
        texture, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP
    )
    return found.reshape(lines * wide, -1)[:count].reshape(*shape, -1)
