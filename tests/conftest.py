"""Hypothesis without a clock, and the suite on two processes.

A shared or busy machine must not fail a property.
"""

from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")

WORKERS = 2
"""Of which each may have a browser, a server and its processes beside it."""
CLIPS, PAGE = "drawn clips", "one page"
DEAR = {"topples": CLIPS, "slides": CLIPS, "stays": CLIPS, "page_address": PAGE}
"""Fixtures of the whole session that take long to make; the modules that use one go together."""
FIRST = (CLIPS, PAGE, "ui/test_lesson_browser.py")
"""Begun before all others, so that no process is left alone with one of them at the end."""


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """None beside pytest's own for tests that are named: they are begun sooner."""
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    return WORKERS if whole else 0


@pytest.hookimpl(tryfirst=True)  # before pytest-xdist reads the marks
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Keep a module's tests in one process, with those of modules that share what is dear."""
    if not hasattr(config, "workerinput"):
        return
    dear = {
        item.path: DEAR[name]
        for item in items
        for name in getattr(item, "fixturenames", ())
        if name in DEAR
    }
    groups = {
        item: dear.get(item.path, item.path.relative_to(Path(__file__).parent).as_posix())
        for item in items
    }
    for item, group in groups.items():
        item.add_marker(pytest.mark.xdist_group(group))
    items.sort(key=lambda item: (*FIRST, groups[item]).index(groups[item]))
