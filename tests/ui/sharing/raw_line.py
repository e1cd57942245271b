"""A line to the page without a browser: sends what no browser of ours would."""

from __future__ import annotations

from dataclasses import dataclass, field

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.exceptions import InvalidStatus
from websockets.sync.client import ClientConnection, connect
from websockets.typing import Subprotocol

from tests.ui.sharing.serving import ADDRESS, Shared

PATIENCE_S = 20.0
MOST_MESSAGES = 2000


@dataclass
class Heard:
    """What one run of the page said."""

    session: str = ""
    page_not_found: bool = False
    raw: bytes = b""
    pages: list[str] = field(default_factory=list)

    def says(self, words: str) -> bool:
        return words.encode() in self.raw


def line(
    page: Shared, cookie: str, session: str = "", origin: str | None = None
) -> ClientConnection:
    """Connect as a browser with this cookie does, taking up a session by its number.

    Raises `InvalidStatus` where it is refused.
    """
    protocols = ["streamlit", "x", session] if session else ["streamlit"]
    return connect(
        f"ws://{ADDRESS}:{page.port}/_stcore/stream",
        subprotocols=[Subprotocol(each) for each in protocols],
        additional_headers={"Cookie": cookie} if cookie else {},
        origin=origin,  # type: ignore[arg-type]
        proxy=None,
        open_timeout=PATIENCE_S,
        max_size=None,
    )


def is_refused(page: Shared, cookie: str, origin: str | None = None) -> bool:
    """Whether no line is given at all."""
    try:
        with line(page, cookie, origin=origin):
            return False
    except InvalidStatus as refusal:
        return refusal.response.status_code == 403


def run(to: ClientConnection, **client_state: object) -> Heard:
    """Ask for a run of the page, and hear it to its end."""
    wish = BackMsg(rerun_script=client_state)  # type: ignore[arg-type]
    to.send(wish.SerializeToString())
    heard = Heard()
    for _ in range(MOST_MESSAGES):
        content = to.recv(timeout=PATIENCE_S)
        assert isinstance(content, bytes)
        message = ForwardMsg.FromString(content)
        heard.raw += content
        kind = message.WhichOneof("type")
        if kind == "new_session":
            heard.session = message.new_session.initialize.session_id
        elif kind == "page_not_found":
            heard.page_not_found = True
        elif kind == "navigation":
            heard.pages = [page.page_name for page in message.navigation.app_pages]
        elif kind == "script_finished":
            return heard
    raise TimeoutError(f"The page did not come to its end in {MOST_MESSAGES} messages.")
