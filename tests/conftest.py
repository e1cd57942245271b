"""Hypothesis without a clock, and the suite on two processes.

A shared or busy machine must not fail a property.
"""

from typing import Any

import pytest
from hypothesis import settings
from xdist.scheduler import LoadScopeScheduling

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")

WORKERS = 2
"""Of which each may have a browser, a server and its processes beside it."""
VISION = "tests/vision/"
"""Its modules share clips that take long to draw and to measure."""
FIRST = (VISION, "tests/ui/test_lesson_browser.py", "tests/ui/test_browser.py")
"""Begun before all others, so that no process is left alone with one of them at the end."""


class Dealing(LoadScopeScheduling):
    """Deals out modules as wholes, and those of `VISION` to one process."""

    def _split_scope(self, nodeid: str) -> str:
        module = nodeid.partition("::")[0]
        return VISION if module.startswith(VISION) else module


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """None beside pytest's own for tests that are named: they are begun sooner."""
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    return WORKERS if whole else 0


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Dealing:
    return Dealing(config, log)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """In the order in which they are dealt out."""
    if hasattr(config, "workerinput"):
        items.sort(key=_turn)


def _turn(item: pytest.Item) -> int:
    return next((i for i, name in enumerate(FIRST) if item.nodeid.startswith(name)), len(FIRST))
