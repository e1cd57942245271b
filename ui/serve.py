"""Serve the page to this machine alone."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from ui.theme import OPTIONS
from ui.uploads import LARGEST_UPLOAD_MB

PAGE = Path(__file__).with_name("app.py")


def command(port: int) -> list[str]:
    """How the page is served: to 127.0.0.1, with nothing sent anywhere."""
    options = {
        "server.address": "127.0.0.1",
        "server.port": str(port),
        "server.maxUploadSize": str(LARGEST_UPLOAD_MB),
        "server.fileWatcherType": "none",
        "server.showEmailPrompt": "false",
        "browser.gatherUsageStats": "false",
        "client.toolbarMode": "minimal",
        **OPTIONS,
    }
    flags = [f"--{name}={value}" for name, value in options.items()]
    return [sys.executable, "-m", "streamlit", "run", str(PAGE), *flags]


def serve(port: int) -> int:
    """Serve until interrupted; the exit status of the server."""
    try:
        return subprocess.run(command(port)).returncode
    except KeyboardInterrupt:
        return 0
