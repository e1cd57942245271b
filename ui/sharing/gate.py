"""Before anything of the page is served: whose browser asks, from where, and for what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ui.sharing.door import Door
from ui.sharing.door_page import plain_page
from ui.sharing.door_routes import COOKIE, DOOR, LEAVE, at_the_door, leaving
from ui.sharing.line import Line
from ui.sharing.roles import AT_HOME, STUDENT_PAGES, Role, Visitor

VISITOR_HEADER = "x-brinkangle-visitor"
"""Set here and nowhere else: Streamlit ties each session to it, so that no other visitor's
session can be taken up, even by its number."""
HEALTH, STREAM = "/_stcore/health", "/_stcore/stream"
UPLOAD, MEDIA = "/_stcore/upload_file/", "/media/"
NEEDED = ("/static/", "/component/", "/_stcore/bidi-components/", "/_stcore/host-config", STREAM)
CLOSED = ("/app/", "/auth/", "/oauth2callback")
"""Parts of Streamlit nobody needs here: its own log-ins and files; besides, whatever it serves
under ``/_stcore/`` that is not needed, such as the server's figures."""
MOST_LINES = 12
"""Open at once by one visitor, such as the tabs of a browser."""
NOT_ALLOWED = 1008
"""Of a WebSocket, RFC 6455."""
READING = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    "Referrer-Policy": "same-origin",
}
PICTURE_HEADERS = {
    # A picture opened on its own, such as an SVG, must not run anything.
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox",
    "Cache-Control": "private, no-store",
}
DOOR_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    "Cache-Control": "no-store",
}


class Gate:
    """ASGI middleware around Streamlit. Without a door the page is this machine's alone."""

    def __init__(self, app: ASGIApp, hosts: Collection[str], door: Door | None = None) -> None:
        self._app, self._hosts, self._door = app, frozenset(hosts), door
        self._lines: Counter[str] = Counter()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what may pass; answer the rest here."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        refusal = self._from_elsewhere(scope)
        visitor = AT_HOME
        if refusal is None and self._door is not None:
            visitor = self._door.visitor(Request({**scope, "type": "http"}).cookies.get(COOKIE))
            if scope["type"] == "http" and scope["path"] in (DOOR, LEAVE):
                await self._at_the_door(self._door, scope, receive, send)
                return
        refusal = refusal or self._refusal(visitor, scope)
        if refusal is None:
            await self._pass(visitor, scope, receive, send)
        elif scope["type"] == "http":
            await refusal(scope, receive, send)
        else:
            await send({"type": "websocket.close", "code": NOT_ALLOWED})  # the handshake fails

    def _from_elsewhere(self, scope: Scope) -> Response | None:
        """Refuse a name that is not ours, and what another site's page sends."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _name(host) not in self._hosts:
            names = ", ".join(sorted(self._hosts))
            return PlainTextResponse(f"This page is served as {names} alone.\n", 421)
        acts = scope["type"] == "websocket" or scope["method"] not in READING
        origin = headers.get("origin")
        if acts and origin is not None and urlsplit(origin).netloc != host:
            return PlainTextResponse("Another site's page may not do this.\n", 403)
        return None

    def _refusal(self, visitor: Visitor, scope: Scope) -> Response | None:
        path = scope["path"]
        if path == HEALTH:
            return None
        if "/_stcore/" in path and not path.startswith((*NEEDED, UPLOAD)):
            return PlainTextResponse("Not served.\n", 404)
        if path.startswith(CLOSED):
            return PlainTextResponse("Not served.\n", 404)
        if visitor.role is Role.NOBODY:
            return _to_the_door(scope)
        if visitor.role is Role.STUDENT and not self._student_may(visitor, path):
            words = "This page is the teacher's. Yours is 'Check a reading'."
            return HTMLResponse(plain_page("Not yours", words, ("/", "Check a reading")), 403)
        return None

    def _student_may(self, visitor: Visitor, path: str) -> bool:
        if path.startswith(MEDIA):
            return self._door is not None and self._door.is_shown(
                visitor.key, path.removeprefix(MEDIA)
            )
        pages = {"/", *(f"/{name.replace('_', '-')}" for name in STUDENT_PAGES)}
        return path in pages or path.startswith(NEEDED) or path == "/favicon.png"

    async def _at_the_door(self, door: Door, scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope, receive)
        if request.method not in ("GET", "POST"):
            answer: Response = PlainTextResponse("GET or POST.\n", 405)
        else:
            answer = await (at_the_door if scope["path"] == DOOR else leaving)(request, door)
        answer.headers.update(HEADERS | DOOR_HEADERS)
        await answer(scope, receive, send)

    async def _pass(self, visitor: Visitor, scope: Scope, receive: Receive, send: Send) -> None:
        headers = [pair for pair in scope["headers"] if pair[0].lower() != VISITOR_HEADER.encode()]
        headers.append((VISITOR_HEADER.encode(), visitor.key.encode()))
        scope = {**scope, "headers": headers}
        if scope["type"] == "http":
            await self._app(scope, receive, _with_headers(scope["path"], send))
        elif self._door is not None:
            await self._along_a_line(self._door, visitor, scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _along_a_line(
        self, door: Door, visitor: Visitor, scope: Scope, receive: Receive, send: Send
    ) -> None:
        if self._lines[visitor.key] >= MOST_LINES:
            await send({"type": "websocket.close", "code": NOT_ALLOWED})
            return
        self._lines[visitor.key] += 1
        line = Line(door, visitor, receive, send)
        try:
            await self._app(scope, line.receive, line.send)
        finally:
            self._lines[visitor.key] -= 1
            self._lines += Counter()  # forgets those at none


def _to_the_door(scope: Scope) -> Response:
    """A page leads to the door; anything else is refused."""
    last = scope["path"].rpartition("/")[2]
    wants_page = scope["type"] == "http" and scope["method"] == "GET" and "." not in last
    if wants_page and not scope["path"].startswith((*NEEDED, UPLOAD, MEDIA)):
        return RedirectResponse(DOOR, 303)
    return PlainTextResponse(f"Come in by {DOOR} first.\n", 403)


def _with_headers(path: str, send: Send) -> Send:
    extra = HEADERS | (PICTURE_HEADERS if path.startswith(MEDIA) else {})

    async def on(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(extra)
        await send(message)

    return on


def _name(host: str) -> str:
    """The name in a Host header, without its port; empty for what is no host."""
    try:
        return (urlsplit(f"//{host}").hostname or "").rstrip(".")
    except ValueError:
        return ""
