"""What the tests of the pages and commands share."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser, Error, expect, sync_playwright

from tests.ui.served import PATIENCE_S, launch, served
from ui.jobs import Bench

NO_BROWSER = "No Chromium: apt install chromium, or playwright install --with-deps chromium"


@pytest.fixture(scope="session", autouse=True)
def record_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test opens the class record of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BRINKANGLE_DATA", str(tmp_path_factory.mktemp("record")))
        patch.delenv("BRINKANGLE_RECORD", raising=False)
        yield


@pytest.fixture(autouse=True)
def main_module_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that was run stands as the main module, which each new worker would run again."""
    monkeypatch.setitem(sys.modules, "__main__", sys.modules["__main__"])


@pytest.fixture(scope="module")
def bench() -> Iterator[Bench]:
    """A bench with one worker, which is replaced where a test has ended it."""
    bench = Bench(1)
    yield bench
    bench.close()


@pytest.fixture(scope="session")
def still_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound clip in which nothing moves: no board is raised."""
    path = tmp_path_factory.mktemp("clips") / "still.avi"
    film = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 30, (320, 240))
    blocks = np.random.default_rng(7).integers(60, 200, (12, 16, 3), np.uint8)
    wall = cv2.resize(blocks, (320, 240), interpolation=cv2.INTER_NEAREST)
    for _ in range(60):
        film.write(wall)
    film.release()
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium; without one these tests are skipped, but never in CI.

    What is expected of a page has a minute: a machine may be busy with other tests.
    """
    expect.set_options(timeout=1000 * PATIENCE_S)
    with sync_playwright() as playwright:
        try:
            chromium = launch(playwright)
        except Error:
            give_up = pytest.fail if os.environ.get("CI") else pytest.skip
            give_up(NO_BROWSER)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def page_address() -> Iterator[str]:
    """The page, served as `brinkangle app` serves it."""
    with served() as address:
        yield address
