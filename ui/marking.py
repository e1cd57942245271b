"""Six marks on the first frame: the board's near edge and the body's two outlines."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Sequence
from math import hypot

import streamlit as st

from solver.errors import InputError
from ui.stills import Still
from ui.theme import AMBER, PAPER, TEAL
from vision.reading import Marks, Point

HANDLES = (
    "board, hinge end",
    "board, lifted end",
    "body left, base",
    "body left, top",
    "body right, base",
    "body right, top",
)
FIRST_GUESS = ((0.15, 0.75), (0.85, 0.75), (0.44, 0.72), (0.44, 0.35), (0.56, 0.72), (0.56, 0.35))
"""Shares of the picture's width and height."""
SHORTEST_SHARE = 0.03
"""Of the picture's longer side, that a marked line must span."""


def first_guess(still: Still) -> list[Point]:
    """Where the marks lie before anyone has moved them, pixels."""
    return [(round(x * still.width), round(y * still.height)) for x, y in FIRST_GUESS]


def marks_of(points: Sequence[Point], still: Still) -> Marks:
    """The marks, if they can be those of a board and a body; else `InputError`."""
    for name, (x, y) in zip(HANDLES, points, strict=True):
        if not (0 <= x < still.width and 0 <= y < still.height):
            raise InputError(f"The mark '{name}' lies outside the picture. Move it back in.")
    shortest = SHORTEST_SHARE * max(still.width, still.height)
    lines = [(points[0], points[1]), (points[2], points[3]), (points[4], points[5])]
    for name, (a, b) in zip(("board's edge", "left outline", "right outline"), lines, strict=True):
        if hypot(b[0] - a[0], b[1] - a[1]) < shortest:
            raise InputError(
                f"The two marks of the {name} lie too close together. Move them apart."
            )
    lefts, rights = points[2:4], points[4:6]
    if any(left[0] >= right[0] for left, right in zip(lefts, rights, strict=True)):
        raise InputError("The left outline must lie to the left of the right one. Swap the marks.")
    if any(base[1] <= top[1] for base, top in (lefts, rights)):
        raise InputError("Each outline's base must lie below its top. Swap the marks.")
    return Marks(*lines)


def marking_board(
    still: Still, points: Sequence[Point], key: str, take: Callable[[list[Point]], None]
) -> None:
    """The first frame with six handles to drag, or to move with the arrow keys.

    ``take`` is called with the new points, pixels of the upright clip.
    """

    def moved() -> None:
        take([(float(x), float(y)) for x, y in st.session_state[key]["points"]])

    _component(
        key=key,
        data={
            "picture": "data:image/jpeg;base64," + b64encode(still.jpeg).decode(),
            "width": still.width,
            "height": still.height,
            "points": [list(point) for point in points],
            "names": HANDLES,
        },
        default={"points": [list(point) for point in points]},
        on_points_change=moved,
    )


_HTML = """
<div class="board">
  <img alt="First frame of the clip">
  <svg preserveAspectRatio="none">
    <g class="under"><line/><line/><line/></g>
    <g class="over"><line/><line/><line/></g>
  </svg>
  <div class="loupe" hidden></div>
</div>
"""

_CSS = f"""
.board {{ position: relative; line-height: 0; touch-action: pan-y; }}
.board img {{ width: 100%; border-radius: 6px; }}
.board svg {{ position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; }}
line {{ vector-effect: non-scaling-stroke; }}
.under line {{ stroke: {PAPER}; stroke-width: 5; }}
.over line {{ stroke: {AMBER}; stroke-width: 3; stroke-dasharray: 9 5; }}
.over line:first-child {{ stroke: {TEAL}; stroke-dasharray: none; }}
.handle {{ position: absolute; width: 34px; height: 34px; margin: -17px 0 0 -17px; padding: 0;
  border: 3px solid {PAPER}; outline: 2px solid {AMBER}; border-radius: 50%;
  background: radial-gradient(circle, {PAPER} 0 2px, transparent 2.5px); cursor: grab;
  touch-action: none; }}
.handle::after {{ content: attr(data-number); position: absolute; left: 26px; top: -12px;
  min-width: 20px; border-radius: 10px; background: {AMBER}; color: #221400;
  font: 600 14px/20px sans-serif; text-align: center; }}
.handle.left::after {{ left: auto; right: 26px; }}
.handle.edge {{ outline-color: {TEAL}; }}
.handle.edge::after {{ background: {TEAL}; color: {PAPER}; }}
@media (max-width: 640px) {{
  .handle {{ width: 26px; height: 26px; margin: -13px 0 0 -13px; }}
  .handle::after {{ left: 18px; top: -14px; }}
  .handle.left::after {{ right: 18px; }}
}}
.handle:focus-visible {{ outline-width: 5px; }}
.loupe {{ position: absolute; width: 132px; height: 132px; margin: -66px 0 0 -66px;
  border: 3px solid {PAPER}; border-radius: 50%; box-shadow: 0 2px 10px rgba(0, 0, 0, 0.45);
  background-repeat: no-repeat; pointer-events: none; }}
.loupe[hidden] {{ display: none; }}
.loupe::before, .loupe::after {{ content: ""; position: absolute; background: {PAPER}; }}
.loupe::before {{ left: 50%; top: 20%; width: 1px; height: 60%; }}
.loupe::after {{ top: 50%; left: 20%; height: 1px; width: 60%; }}
"""

_JS = """
const ZOOM = 4;

export default function ({ data, parentElement, setStateValue }) {
  const board = parentElement.querySelector(".board");
  const image = board.querySelector("img");
  const loupe = board.querySelector(".loupe");
  const points = data.points.map((point) => [...point]);
  if (image.src !== data.picture) image.src = data.picture;
  board.querySelector("svg").setAttribute("viewBox", `0 0 ${data.width} ${data.height}`);

  const handles = points.map((_, i) => {
    const name = data.names[i];
    let handle = board.querySelector(`[data-mark="${i}"]`);
    if (!handle) {
      handle = document.createElement("button");
      handle.type = "button";
      handle.dataset.mark = i;
      handle.className = `handle ${i < 2 ? "edge" : ""} ${[0, 2, 3].includes(i) ? "left" : ""}`;
      handle.dataset.number = i + 1;
      board.append(handle);
    }
    handle.setAttribute("aria-label", `${i + 1}: ${name}`);
    handle.title = name;
    return handle;
  });

  function draw() {
    points.forEach(([x, y], i) => {
      handles[i].style.left = `${(100 * x) / data.width}%`;
      handles[i].style.top = `${(100 * y) / data.height}%`;
    });
    for (const group of board.querySelectorAll("g"))
      [...group.children].forEach((line, k) => {
        const [a, b] = [points[2 * k], points[2 * k + 1]];
        Object.entries({ x1: a[0], y1: a[1], x2: b[0], y2: b[1] }).forEach(([name, value]) =>
          line.setAttribute(name, value));
      });
  }

  function place(i, x, y) {
    points[i] = [
      Math.round(Math.min(Math.max(x, 0), data.width - 1)),
      Math.round(Math.min(Math.max(y, 0), data.height - 1)),
    ];
    draw();
  }

  function magnify([x, y]) {
    const scale = (ZOOM * board.clientWidth) / data.width;
    loupe.hidden = false;
    loupe.style.left = `${(100 * x) / data.width}%`;
    const above = (y * board.clientWidth) / data.width > 130;
    loupe.style.top = `calc(${(100 * y) / data.height}% ${above ? "-" : "+"} 100px)`;
    loupe.style.backgroundImage = `url(${data.picture})`;
    loupe.style.backgroundSize = `${data.width * scale}px ${data.height * scale}px`;
    loupe.style.backgroundPosition = `${66 - x * scale}px ${66 - y * scale}px`;
  }

  handles.forEach((handle, i) => {
    let grip = null;
    const pixel = (event) => {
      const box = image.getBoundingClientRect();
      return [
        ((event.clientX - box.left) * data.width) / box.width,
        ((event.clientY - box.top) * data.height) / box.height,
      ];
    };
    handle.onpointerdown = (event) => {
      handle.setPointerCapture(event.pointerId);
      const [x, y] = pixel(event);
      grip = [points[i][0] - x, points[i][1] - y];
      magnify(points[i]);
    };
    handle.onpointermove = (event) => {
      if (!grip) return;
      const [x, y] = pixel(event);
      place(i, x + grip[0], y + grip[1]);
      magnify(points[i]);
    };
    handle.onpointerup = handle.onpointercancel = () => {
      if (!grip) return;
      grip = null;
      loupe.hidden = true;
      setStateValue("points", points);
    };
    handle.onkeydown = (event) => {
      const step = event.shiftKey ? 10 : 1;
      const move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0],
                     ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
      if (!move) return;
      event.preventDefault();
      place(i, points[i][0] + move[0], points[i][1] + move[1]);
    };
    handle.onkeyup = (event) => {
      if (event.key.startsWith("Arrow")) setStateValue("points", points);
    };
  });
  draw();
}
"""

_component = st.components.v2.component("brinkangle_marks", html=_HTML, css=_CSS, js=_JS)
