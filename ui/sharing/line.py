"""One browser's line to the page: what may pass along it, and until when."""

from __future__ import annotations

import re
from pathlib import PurePath

from google.protobuf.message import DecodeError  # type: ignore[import-untyped]
from starlette.types import Message, Receive, Send
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from ui.sharing.door import Door
from ui.sharing.roles import Role, Visitor

STUDENT_MAY_SEND = frozenset({"rerun_script", "stop_script", "app_heartbeat"})
"""Of what Streamlit's pages send. Among the rest: emptying every cache of the server, and
asking where to upload."""
PICTURE = re.compile(rb"/media/([0-9a-f]{32,128}\.?[A-Za-z0-9]{0,8})")


class Line:
    """Stands between a visitor's browser and Streamlit.

    Of a student it notes which pictures are shown, so that no others can be fetched, and
    drops what a student has no business to send or to know. Of anyone who is out by now, all that
    still passes is a wish to see the page from its beginning, where it says so.
    """

    def __init__(self, door: Door, visitor: Visitor, receive: Receive, send: Send) -> None:
        self._door, self._visitor = door, visitor
        self._receive, self._send = receive, send

    async def receive(self) -> Message:
        """The next message that may pass."""
        while True:
            message = await self._receive()
            if message["type"] != "websocket.receive" or message.get("bytes") is None:
                return message
            passed = self._passed(message["bytes"])
            if passed is not None:
                return {"type": "websocket.receive", "bytes": passed}

    async def send(self, message: Message) -> None:
        """On to the browser."""
        content = message.get("bytes")
        if content and message["type"] == "websocket.send" and self._visitor.role is Role.STUDENT:
            names = {name.decode() for name in PICTURE.findall(content)}
            self._door.show_pictures(self._visitor.key, names)
            message = {"type": "websocket.send", "bytes": _without_place(content)}
        await self._send(message)

    def _passed(self, frame: bytes) -> bytes | None:
        wish = BackMsg()
        try:
            wish.ParseFromString(frame)
        except DecodeError:
            return frame  # Streamlit closes the line on it
        kind = wish.WhichOneof("type")
        is_out = self._door.visitor_by_key(self._visitor.key).role is Role.NOBODY
        if kind not in STUDENT_MAY_SEND and (is_out or self._visitor.role is Role.STUDENT):
            return None
        if is_out and kind == "rerun_script":
            # No widget, hence no callback; no fragment: the frame of the page decides.
            wish.rerun_script.Clear()
            wish.rerun_script.SetInParent()
            return wish.SerializeToString()
        return frame


def _without_place(content: bytes) -> bytes:
    """A message to a browser, without where the page lies on the teacher's machine."""
    message = ForwardMsg.FromString(content)
    if message.WhichOneof("type") != "new_session":
        return content
    session = message.new_session
    session.main_script_path = PurePath(session.main_script_path).name
    return message.SerializeToString()
