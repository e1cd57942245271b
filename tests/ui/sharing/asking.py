"""Ask an ASGI application as a browser would, without a server."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import chain

from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "10.0.0.1:8501"


@dataclass
class Answer:
    """What came back."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    body: str = ""


class Behind:
    """Stands in for Streamlit: says OK, and keeps what got through to it."""

    def __init__(self) -> None:
        self.scopes: list[Scope] = []
        self.frames: list[bytes] = []
        self.to_send: list[bytes] = []

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.scopes.append(scope)
        if scope["type"] == "websocket":
            await self._talk(receive, send)
            return
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"behind"})

    async def _talk(self, receive: Receive, send: Send) -> None:
        await send({"type": "websocket.accept"})
        for frame in self.to_send:
            await send({"type": "websocket.send", "bytes": frame})
        while (message := await receive())["type"] != "websocket.disconnect":
            if message.get("bytes") is not None:
                self.frames.append(message["bytes"])

    def header(self, name: str) -> list[str]:
        """The values of a header that got through last."""
        return [v.decode() for k, v in self.scopes[-1]["headers"] if k.decode() == name]


def ask(
    app: ASGIApp,
    path: str,
    method: str = "GET",
    headers: Mapping[str, str] | None = None,
    body: bytes = b"",
    client: str = "10.0.0.7",
) -> Answer:
    """One request and its answer."""
    scope = _scope("http", path, headers, client) | {"method": method}
    return _run(app, scope, [{"type": "http.request", "body": body, "more_body": False}])


def talk(
    app: ASGIApp,
    headers: Mapping[str, str] | None = None,
    frames: Iterable[bytes] = (),
    path: str = "/_stcore/stream",
) -> Answer:
    """Open a WebSocket, send frames, and go; status 101 where it was opened."""
    sent = ({"type": "websocket.receive", "bytes": frame} for frame in frames)
    scope = _scope("websocket", path, headers, "10.0.0.7")
    return _run(app, scope, chain(sent, [{"type": "websocket.disconnect", "code": 1000}]))


def _scope(kind: str, path: str, headers: Mapping[str, str] | None, client: str) -> Scope:
    given = {"host": HOST, **(headers or {})}
    return {
        "type": kind,
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "scheme": "http" if kind == "http" else "ws",
        "server": ("10.0.0.1", 8501),
        "client": (client, 50000),
        "headers": [(k.lower().encode(), v.encode("latin-1")) for k, v in given.items() if v],
        "extensions": {"websocket.http.response": {}},
        "subprotocols": [],
    }


def _run(app: ASGIApp, scope: Scope, messages: Iterable[Message]) -> Answer:
    answer, waiting = Answer(), iter(messages)

    async def receive() -> Message:
        return next(waiting, {"type": "http.disconnect"})

    async def send(message: Message) -> None:
        kind = message["type"]
        if kind.endswith("response.start"):
            answer.status = message["status"]
            answer.headers = {k.decode(): v.decode() for k, v in message["headers"]}
        elif kind.endswith("response.body"):
            answer.body += message["body"].decode()
        elif kind == "websocket.accept":
            answer.status = 101
        elif kind == "websocket.close" and not answer.status:
            answer.status = 403

    async def run() -> None:
        await app(scope, receive, send)

    with ThreadPoolExecutor(1) as pool:  # a browser's tests keep this thread's loop
        pool.submit(lambda: asyncio.run(run())).result()
    return answer
