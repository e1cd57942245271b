"""What is to be stopped when the page's server ends: a worker must not keep it waiting."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from weakref import WeakMethod

_ENDINGS = ExitStack()


def at_the_end(stop: Callable[[], None]) -> None:
    """Have a bound method called when the server ends, if its object is still in use.

    What was made last is stopped first, and one that fails keeps none from being stopped.
    """
    _ENDINGS.callback(_call, WeakMethod(stop))


def end() -> None:
    """Stop all of it now."""
    _ENDINGS.close()


def _call(method: WeakMethod[Callable[[], None]]) -> None:
    stop = method()
    if stop is not None:
        stop()
