"""Serve the page to this machine alone."""

from __future__ import annotations

from pathlib import Path

from streamlit.web import cli as streamlit

from ui.theme import OPTIONS
from ui.uploads import LARGEST_UPLOAD_MB

PAGE = Path(__file__).with_name("app.py")


def arguments(port: int) -> list[str]:
    """How the page is served: to 127.0.0.1, with nothing sent anywhere."""
    options = {
        "server.address": "127.0.0.1",
        "server.port": str(port),
        "server.maxUploadSize": str(LARGEST_UPLOAD_MB),
        "server.fileWatcherType": "none",
        "server.showEmailPrompt": "false",
        "browser.gatherUsageStats": "false",
        "client.toolbarMode": "minimal",
        "runner.magicEnabled": "false",
        **OPTIONS,
    }
    return ["run", str(PAGE), *(f"--{name}={value}" for name, value in options.items())]


def serve(port: int) -> None:
    """Serve until interrupted, in this process, so that ending it ends the page."""
    streamlit.main(arguments(port))
