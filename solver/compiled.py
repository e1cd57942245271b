"""Loops over samples, edges and frames, compiled to machine code.

A function is compiled when it is first called, some seconds at most, and kept beside its
module for later runs. What is kept is renewed when its own module changes and not when
another does, so compiled functions call none of other modules.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from numba import njit

T = TypeVar("T")


def compiled(function: Callable[..., T]) -> Callable[..., T]:
    """The function compiled; it runs while other threads do, and divides by zero as numpy does."""
    made: Callable[..., T] = njit(nogil=True, error_model="numpy")(function)
    with suppress(RuntimeError):  # there is no folder to keep it in: it is compiled in every run
        made.enable_caching()  # type: ignore[attr-defined]
    return made
