"""What the tests of the pages and commands share."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser, Error, sync_playwright

from ui.jobs import Bench

ROOT = Path(__file__).parents[2]
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
NO_BROWSER = "No Chromium: apt install chromium, or playwright install --with-deps chromium"


@pytest.fixture
def bench() -> Iterator[Bench]:
    """A bench with one worker."""
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
    """A headless Chromium; without one these tests are skipped, but never in CI."""
    path = next(filter(None, map(shutil.which, CHROMIUM)), None)
    with sync_playwright() as playwright:
        try:
            chromium = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        except Error:
            give_up = pytest.fail if os.environ.get("CI") else pytest.skip
            give_up(NO_BROWSER)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def page_address() -> Iterator[str]:
    """The page, served as `brinkangle app` serves it."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "ui.cli", "app", "--port", str(port)]
    headless = {**os.environ, "STREAMLIT_SERVER_HEADLESS": "true"}
    with subprocess.Popen(command, cwd=ROOT, env=headless, stdout=subprocess.DEVNULL) as server:
        address = f"http://127.0.0.1:{port}"
        _wait_for(address, server)
        yield address
        server.terminate()


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urlopen(f"{address}/_stcore/health", timeout=5):
                return
        except URLError:
            time.sleep(0.2)
    server.kill()
    raise TimeoutError(f"The page did not answer; its server's exit status is {server.poll()}.")
