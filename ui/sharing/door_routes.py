"""What the door answers: `/door` lets in, `/leave` lets out."""

from __future__ import annotations

from urllib.parse import parse_qs

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from solver.errors import BrinkangleError
from ui.sharing.door import Door
from ui.sharing.door_page import door_page, leave_page
from ui.sharing.refusals import PassphraseError, Refusal, WaitError

DOOR, LEAVE = "/door", "/leave"
COOKIE = "brinkangle_in"
LARGEST_FORM_BYTES, MOST_FIELDS = 4096, 8


async def at_the_door(request: Request, door: Door) -> Response:
    """Show the door, or try a word at it."""
    is_open = door.open_lesson is not None
    if request.method == "GET":
        return HTMLResponse(door_page(open_to_students=is_open))
    form = await _form(request)
    if form is None:
        return HTMLResponse(door_page("That was more than a code or a passphrase.", is_open), 413)
    address = request.client.host if request.client else ""
    by_teacher = "passphrase" in form
    try:
        # Hashing takes its time, and must not hold up everyone else.
        token = await run_in_threadpool(_admit, door, form, address)
    except WaitError as wait:
        page = door_page(str(wait), is_open, by_teacher)
        return HTMLResponse(page, 429, {"Retry-After": str(wait.wait_s)})
    except (Refusal, PassphraseError) as refusal:
        return HTMLResponse(door_page(str(refusal), is_open, by_teacher), 403)
    except BrinkangleError:  # of the record; what is wrong there is not for strangers
        words = "The teacher's machine cannot look that up just now. Try again in a moment."
        return HTMLResponse(door_page(words, is_open, by_teacher), 503)
    old = request.cookies.get(COOKIE)
    if old:
        door.leave(old)
    return _with_cookie(request, token)


async def leaving(request: Request, door: Door) -> Response:
    """Ask whether to leave, or leave."""
    if request.method == "GET":
        return HTMLResponse(leave_page())
    door.leave(request.cookies.get(COOKIE, ""))
    answer = RedirectResponse(DOOR, 303)
    answer.delete_cookie(COOKIE, httponly=True, samesite="lax")
    return answer


def _admit(door: Door, form: dict[str, str], address: str) -> str:
    if "passphrase" in form:
        return door.admit_teacher(form["passphrase"], address)
    return door.admit_student(form.get("code", ""), form.get("label", ""), address)


def _with_cookie(request: Request, token: str) -> Response:
    """On to the page. The cookie ends with the browser, and no script can read it."""
    answer = RedirectResponse("/", 303)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, token, httponly=True, samesite="lax", secure=secure)
    return answer


async def _form(request: Request) -> dict[str, str] | None:
    """The fields that were sent; None for more than any form of ours holds."""
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > LARGEST_FORM_BYTES:
            return None
    text = body.decode("utf-8", "replace")
    if text.count("&") >= MOST_FIELDS:
        return None
    fields = parse_qs(text, keep_blank_values=True)
    return {name: values[0] for name, values in fields.items()}
