"""The page as `brinkangle app` serves it, and a browser to see it with."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Browser, Page, Playwright, expect

ROOT = Path(__file__).parents[2]
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
PATIENCE_S = 60


def launch(playwright: Playwright) -> Browser:
    """The system's Chromium, else Playwright's own; raises Playwright's Error if neither."""
    path = next(filter(None, map(shutil.which, CHROMIUM)), None)
    return playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])


@contextmanager
def served() -> Iterator[str]:
    """The page's address, while it is served."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "ui.cli", "app", "--port", str(port)]
    headless = {**os.environ, "STREAMLIT_SERVER_HEADLESS": "true"}
    with subprocess.Popen(command, cwd=ROOT, env=headless, stdout=subprocess.DEVNULL) as server:
        address = f"http://127.0.0.1:{port}"
        try:
            _wait_for(address, server)
            yield address
        finally:
            server.terminate()


def drawn(page: Page) -> None:
    """Until the page is drawn, and what stood there before is gone."""
    state = page.get_by_test_id("stApp")
    expect(state).to_have_attribute("data-test-script-state", "notRunning")


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urlopen(f"{address}/_stcore/health", timeout=5):
                return
        except URLError:
            time.sleep(0.2)
    raise TimeoutError(f"The page did not answer; its server's exit status is {server.poll()}.")
