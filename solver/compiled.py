"""Loops over samples, edges and frames, compiled to machine code.

A function is compiled when it is first called, some seconds at most, and kept beside its
module for later runs. What is kept is renewed when its own module changes and not when
another does, so compiled functions call none of other modules.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from numba import njit

T = TypeVar("T")


def compiled(function: Callable[..., T]) -> Callable[..., T]:
    """The function compiled; it runs while other threads do, and divides by zero as numpy does."""
    try:
        made: Callable[..., T] = njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # there is no folder to keep it in: then it is compiled in every run
        made = njit(nogil=True, error_model="numpy")(function)
    return made
