"""Serve the page: to this machine alone, or through a door to the school's network."""

from __future__ import annotations

import json
import os
import socket
import threading
import webbrowser
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import streamlit as st
from starlette.middleware import Middleware

from solver.errors import InputError
from ui.ending import end
from ui.sharing.addresses import EVERYWHERE, LOOPBACK, names_of
from ui.sharing.door import Door
from ui.sharing.gate import VISITOR_HEADER, Gate
from ui.sharing.visitors import VISITOR_KEY, serve_through
from ui.theme import OPTIONS
from ui.uploads import LARGEST_UPLOAD_MB

PAGE = Path(__file__).with_name("app.py")


def settings(port: int, address: str = LOOPBACK, shared: bool = False) -> dict[str, Any]:
    """How the page is served, in Streamlit's words: nothing is sent anywhere, no file but the
    page's own is handed out, and no other site's page may use it.
    """
    return {
        "server.address": address,
        "server.port": port,
        "server.allowedHosts": sorted(names_of(address)),
        "server.enableCORS": True,
        "server.enableXsrfProtection": True,
        "server.enableStaticServing": False,
        "server.trustedUserHeaders": json.dumps({VISITOR_HEADER: VISITOR_KEY}),
        "server.maxUploadSize": LARGEST_UPLOAD_MB,
        "server.fileWatcherType": "none",
        "server.showEmailPrompt": False,
        "browser.serverAddress": LOOPBACK if address == EVERYWHERE else address,
        "browser.gatherUsageStats": False,
        "client.toolbarMode": "minimal",
        # What went wrong inside is for the terminal, not for a pupil's phone.
        "client.showErrorDetails": "none" if shared else "full",
        "logger.hideWelcomeMessage": True,
        "runner.magicEnabled": False,
        **OPTIONS,
    }


def serve(
    port: int,
    address: str = LOOPBACK,
    door: Door | None = None,
    welcome: Callable[[], None] | None = None,
) -> None:
    """Serve until interrupted, in this process, so that ending it ends the page.

    ``welcome`` is called once the port is ours; the door is closed to students at the end.
    Raises `InputError` for an address or a port that cannot be listened on.
    """
    _see_that_it_is_free(address, port)
    # Whom a client says it speaks for is not to be trusted when its guesses are counted.
    os.environ["FORWARDED_ALLOW_IPS"] = ""
    serve_through(door)
    gate = Middleware(Gate, hosts=names_of(address), door=door)
    at_home = f"http://{LOOPBACK if address == EVERYWHERE else address}:{port}"
    say = welcome or (lambda: print(f"Brinkangle is at {at_home} (Ctrl+C ends it)", flush=True))
    lifespan = _while_served(at_home, say, door)
    page = st.App(PAGE, middleware=[gate], lifespan=lifespan)
    page.run(config=settings(port, address, shared=door is not None))


def _see_that_it_is_free(address: str, port: int) -> None:
    with socket.socket() as trial:
        if os.name != "nt":  # where it would take a port that another listens on
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((address, port))
        except OSError as error:
            raise InputError(
                f"The page cannot be served at {address}, port {port}: {error.strerror}. "
                "Another Brinkangle may be open: end it, or choose another port, such as "
                f"--port {port % 65535 + 1}. An address has to be one of this machine's."
            ) from error


def _while_served(
    address: str, welcome: Callable[[], None], door: Door | None
) -> Callable[[st.App], AbstractAsyncContextManager[None]]:
    @asynccontextmanager
    async def lifespan(_: st.App) -> AsyncIterator[None]:
        welcome()
        if not st.get_option("server.headless"):
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
        yield
        if door is not None:
            door.end()
        end()

    return lifespan
