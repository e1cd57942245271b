"""What a PDF says and draws, read back."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

from pypdf import PdfReader
from pypdf.generic import ContentStream

POINTS_PER_MM = 72 / 25.4
BREAK = "\u200b"
SIZES_MM = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
Spot = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]


def pages(pdf: bytes) -> list[str]:
    """The words of each page; lines and runs of blanks are one blank."""
    texts = (page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return [re.sub(r"\s+", " ", text.replace(BREAK, "")) for text in texts]


def words(pdf: bytes) -> str:
    return " ".join(pages(pdf))


def sizes_mm(pdf: bytes) -> list[Spot]:
    boxes = (page.mediabox for page in PdfReader(io.BytesIO(pdf)).pages)
    return [(float(b.width) / POINTS_PER_MM, float(b.height) / POINTS_PER_MM) for b in boxes]


def title(pdf: bytes) -> str:
    return PdfReader(io.BytesIO(pdf)).metadata.title


def straight_lines_mm(pdf: bytes, page: int) -> list[tuple[Spot, Spot]]:
    """Both ends of each straight stroke on a page, millimetres from its lower left corner."""
    reader = PdfReader(io.BytesIO(pdf))
    content = ContentStream(reader.pages[page].get_contents(), reader)
    return list(_strokes(content))


def _strokes(content: ContentStream) -> Iterator[tuple[Spot, Spot]]:
    now: Matrix = (1, 0, 0, 1, 0, 0)
    kept: list[Matrix] = []
    path: list[tuple[bytes, Spot]] = []
    for operands, operator in content.operations:
        if operator == b"q":
            kept.append(now)
        elif operator == b"Q":
            now = kept.pop()
        elif operator == b"cm":
            now = _times(tuple(map(float, operands)), now)
        elif operator in (b"m", b"l", b"c", b"h", b"re"):
            spot = _placed(*map(float, operands[-2:]), now) if operands else (0.0, 0.0)
            path.append((operator, spot))
        elif operator in (b"S", b"f", b"B", b"n", b"f*", b"W"):
            if operator == b"S" and [kind for kind, _ in path] == [b"m", b"l"]:
                yield path[0][1], path[1][1]
            path = []


def _times(inner: Matrix, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (
        a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s,
        e * p + f * r + t, e * q + f * s + u,
    )  # fmt: skip


def _placed(x: float, y: float, matrix: Matrix) -> Spot:
    a, b, c, d, e, f = matrix
    return (x * a + y * c + e) / POINTS_PER_MM, (x * b + y * d + f) / POINTS_PER_MM
