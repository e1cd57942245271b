"""The page as `brinkangle app` serves it, and a browser to see it with."""

from __future__ import annotations

import os
import random
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from playwright.sync_api import Browser, Page, Playwright, WebSocket, expect
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

ROOT = Path(__file__).parents[2]
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
PATIENCE_S = 60
TWO_FRAMES = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
FIRST_PORT, PORTS = 20_000, 1_000
"""Below those that a system hands out by itself; so many for each of pytest's processes."""


def launch(playwright: Playwright) -> Browser:
    """The system's Chromium, else Playwright's own; raises Playwright's Error if neither."""
    path = next(filter(None, map(shutil.which, CHROMIUM)), None)
    return playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])


def free_port(address: str = "127.0.0.1") -> int:
    """A port that no one has, nor will have before a server that is told of it is up."""
    process = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    first = FIRST_PORT + process * PORTS
    for port in random.Random().sample(range(first, first + PORTS), PORTS):
        with socket.socket() as wanted, suppress(OSError):
            wanted.bind((address, port))
            return port
    raise OSError(f"None of {PORTS} ports from {first} is free.")


@contextmanager
def served() -> Iterator[str]:
    """The page's address, while it is served."""
    port = free_port()
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
    """Until the page is drawn, and what stood there before is gone.

    What the script said last is laid out a frame after it ended; what is typed before that
    may be lost.
    """
    state = page.get_by_test_id("stApp")
    expect(state).to_have_attribute("data-test-script-state", "notRunning")
    page.evaluate(TWO_FRAMES)


class Runs:
    """The runs of a page's script, as the browser asks for them and hears that they end.

    What a click has asked for may not have begun when the click is over: until then the page
    looks like one that is drawn.
    """

    def __init__(self, page: Page) -> None:
        """Before the page is gone to."""
        self._page, self._asked, self._running = page, True, False
        page.on("websocket", self._hear)

    def over(self) -> None:
        """Until whatever was asked for has been run, and the page is drawn."""
        self._page.evaluate(TWO_FRAMES)  # in which a click becomes a wish for a run
        deadline = time.monotonic() + PATIENCE_S
        while self._asked or self._running:
            assert time.monotonic() < deadline, "The page's script did not come to its end."
            self._page.wait_for_timeout(20)
        drawn(self._page)
        expect(self._page.get_by_test_id("stSkeleton")).to_have_count(0)

    def _hear(self, line: WebSocket) -> None:
        line.on("framesent", self._sent)
        line.on("framereceived", self._received)

    def _sent(self, content: bytes | str) -> None:
        if isinstance(content, bytes):
            self._asked |= BackMsg.FromString(content).WhichOneof("type") == "rerun_script"

    def _received(self, content: bytes | str) -> None:
        if not isinstance(content, bytes):
            return
        message = ForwardMsg.FromString(content)
        kind = message.WhichOneof("type")
        if kind == "new_session":
            self._asked, self._running = False, True
        elif kind == "script_finished":
            self._running = False
            self._asked |= message.script_finished == ForwardMsg.FINISHED_EARLY_FOR_RERUN


def _wait_for(address: str, server: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urlopen(f"{address}/_stcore/health", timeout=5):
                return
        except URLError:
            time.sleep(0.2)
    raise TimeoutError(f"The page did not answer; its server's exit status is {server.poll()}.")
