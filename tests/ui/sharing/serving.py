"""The page as `brinkangle app --share` serves it, on a loopback address."""

from __future__ import annotations

import http.client
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Timer
from urllib.parse import urlencode

from tests.ui.served import PATIENCE_S, ROOT, free_port

ADDRESS = "127.0.0.1"


@dataclass(frozen=True)
class Shared:
    """A served page and what its command said."""

    port: int
    code: str
    said: str

    @property
    def url(self) -> str:
        return f"http://{ADDRESS}:{self.port}"

    def request(
        self,
        method: str,
        path: str,
        fields: dict[str, str] | None = None,
        headers: dict[str, str] | None = None,
        source: str = ADDRESS,
    ) -> tuple[int, dict[str, str], str]:
        """Ask without a browser, from a loopback address; redirections are not followed."""
        line = http.client.HTTPConnection(ADDRESS, self.port, 20, source_address=(source, 0))
        form = {"Content-Type": "application/x-www-form-urlencoded"} if fields else {}
        body = urlencode(fields) if fields else None
        try:
            line.request(method, path, body, form | (headers or {}))
            answer = line.getresponse()
            heads = {name.lower(): value for name, value in answer.getheaders()}
            return answer.status, heads, answer.read().decode("utf-8", "replace")
        finally:
            line.close()


@contextmanager
def shared(data: Path, lesson_id: int) -> Iterator[Shared]:
    """The page of a data folder, while it is shared with one lesson open."""
    port = free_port(ADDRESS)
    command = [
        *(sys.executable, "-m", "ui.cli", "app", "--share", "--address", ADDRESS),
        *("--port", str(port), "--lesson", str(lesson_id)),
    ]
    env = {**os.environ, "STREAMLIT_SERVER_HEADLESS": "true", "BRINKANGLE_DATA": str(data)}
    env.pop("BRINKANGLE_RECORD", None)
    with subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True) as server:
        late = Timer(PATIENCE_S, server.kill)
        late.start()
        try:
            said = _until_shared(server)
            late.cancel()
            code = re.search(r"Lesson code +(\S+)", said)
            assert code, said
            yield Shared(port, code[1], said)
        finally:
            late.cancel()
            server.terminate()


def _until_shared(server: subprocess.Popen[str]) -> str:
    """What the command says before it serves."""
    said = ""
    for line in server.stdout or ():
        said += line
        if "comes first" in line:
            return said
    raise TimeoutError(f"The page was not shared; exit status {server.poll()}.\n{said}")
