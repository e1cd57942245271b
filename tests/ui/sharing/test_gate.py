"""What passes to Streamlit, and what is answered before it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from urllib.parse import urlencode

import pytest
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from tests.ui.sharing.asking import HOST, Answer, Behind, ask, talk
from tests.ui.sharing.conftest import PHRASE, School
from ui.app import PAGES
from ui.sharing.codes import new_code
from ui.sharing.door import Door
from ui.sharing.door_routes import COOKIE, LARGEST_FORM_BYTES
from ui.sharing.gate import MOST_LINES, VISITOR_HEADER, Gate
from ui.sharing.roles import STUDENT_PAGES, Role
from ui.sharing.throttle import FREE_TRIES

PATHS = {name: "/" + name.replace("_", "-") for name in PAGES}
PICTURE = "0" * 56 + ".png"
HOSTILE_PATHS = (
    "/_stcore/metrics",
    "/_stcore/agent/interact",
    "/_stcore/script-health-check",
    "/x/_stcore/metrics",
    "/app/static/x",
    "/auth/login",
    "/oauth2callback",
)


@pytest.fixture
def behind() -> Behind:
    return Behind()


@pytest.fixture
def gate(behind: Behind, door: Door) -> Gate:
    return Gate(behind, {"10.0.0.1"}, door)


def cookie(token: str) -> dict[str, str]:
    return {"cookie": f"{COOKIE}={token}"}


@pytest.fixture
def teacher(door: Door) -> dict[str, str]:
    return cookie(door.admit_teacher(PHRASE, "10.0.0.2"))


@pytest.fixture
def student(door: Door, school: School) -> dict[str, str]:
    return cookie(door.admit_student(door.open(school.lesson.id), "pupil 7", "10.0.0.7"))


def knock(gate: Gate, client: str = "10.0.0.7", **fields: str) -> Answer:
    headers = {"origin": f"http://{HOST}"}
    return ask(gate, "/door", "POST", headers, urlencode(fields).encode(), client)


# Nobody


@pytest.mark.parametrize("path", ["/", *PATHS.values(), "/whatever"])
def test_a_stranger_is_led_to_the_door(gate: Gate, behind: Behind, path: str) -> None:
    answer = ask(gate, path)
    assert (answer.status, answer.headers["location"]) == (303, "/door")
    assert behind.scopes == []


@pytest.mark.parametrize(
    ("path", "method"),
    [
        (f"/media/{PICTURE}", "GET"),
        ("/static/js/index.js", "GET"),
        ("/_stcore/host-config", "GET"),
        ("/_stcore/upload_file/a/b", "PUT"),
        ("/_stcore/upload_file/a/b", "DELETE"),
        ("/component/x/index.html", "GET"),
        ("/", "POST"),
        *((path, "GET") for path in HOSTILE_PATHS),
    ],
)
def test_a_stranger_gets_nothing(gate: Gate, behind: Behind, path: str, method: str) -> None:
    assert ask(gate, path, method).status in (403, 404)
    assert behind.scopes == []


def test_a_stranger_opens_no_line(gate: Gate, behind: Behind) -> None:
    assert talk(gate).status == 403
    assert talk(gate, cookie("guessed")).status == 403
    assert talk(gate, {VISITOR_HEADER: "0" * 32}).status == 403
    assert behind.scopes == []


def test_that_it_is_alive_anyone_may_ask(gate: Gate) -> None:
    assert ask(gate, "/_stcore/health").body == "behind"


# The door


def test_the_passphrase_gives_a_cookie_no_script_can_read(gate: Gate, door: Door) -> None:
    answer = knock(gate, passphrase=PHRASE)
    assert (answer.status, answer.headers["location"]) == (303, "/")
    given = answer.headers["set-cookie"]
    assert "HttpOnly" in given and "SameSite=lax" in given and "Path=/" in given
    token = given.partition("=")[2].partition(";")[0]
    assert door.visitor(token).role is Role.TEACHER


def test_coming_in_anew_takes_back_the_old_token(gate: Gate, door: Door, school: School) -> None:
    code = door.open(school.lesson.id)
    old = door.admit_student(code, "", "10.0.0.7")
    ask(gate, "/door", "POST", cookie(old), urlencode({"passphrase": PHRASE}).encode())
    assert door.visitor(old).role is Role.NOBODY


def test_a_cookie_planted_before_is_not_the_one_that_opens(gate: Gate, door: Door) -> None:
    """Who knows what cookie a browser had before its teacher came in has nothing."""
    ask(gate, "/door", "POST", cookie("planted"), urlencode({"passphrase": PHRASE}).encode())
    assert door.visitor("planted").role is Role.NOBODY


def test_wrong_words_are_refused_then_made_to_wait(gate: Gate, door: Door, school: School) -> None:
    door.open(school.lesson.id)
    for _ in range(FREE_TRIES):
        assert knock(gate, code=new_code()).status == 403
    waiting = knock(gate, code=new_code())
    assert waiting.status == 429 and int(waiting.headers["retry-after"]) >= 1
    assert "Wait" in waiting.body
    assert knock(gate, client="10.0.0.9", code=new_code()).status == 403


def test_the_throttle_counts_the_address_and_not_the_session(
    gate: Gate, door: Door, school: School
) -> None:
    door.open(school.lesson.id)
    answers = [
        ask(
            gate,
            "/door",
            "POST",
            {"cookie": f"{COOKIE}=fresh{i}", "x-forwarded-for": f"10.1.0.{i}"},
            urlencode({"code": new_code()}).encode(),
        )
        for i in range(FREE_TRIES + 1)
    ]
    assert [answer.status for answer in answers] == [403] * FREE_TRIES + [429]


@pytest.mark.parametrize(
    "body",
    [b"", b"code", b"code=%00%ff", b"\xff\xfe", b"passphrase=" + b"x" * 3000, b"a=1&" * 200],
)
def test_a_form_that_makes_no_sense_lets_nobody_in(gate: Gate, body: bytes) -> None:
    answer = ask(gate, "/door", "POST", body=body)
    assert answer.status in (400, 403, 413) and "set-cookie" not in answer.headers


def test_a_form_too_large_is_not_read_to_its_end(gate: Gate) -> None:
    assert ask(gate, "/door", "POST", body=b"x" * (LARGEST_FORM_BYTES + 1)).status == 413


def test_another_sites_form_is_refused(gate: Gate) -> None:
    body = urlencode({"passphrase": PHRASE}).encode()
    for origin in ("http://elsewhere.example", "null", "http://10.0.0.1:8502"):
        answer = ask(gate, "/door", "POST", {"origin": origin}, body)
        assert answer.status == 403 and "set-cookie" not in answer.headers


def test_the_door_shows_what_was_typed_nowhere(gate: Gate, door: Door, school: School) -> None:
    door.open(school.lesson.id)
    for fields in ({"code": "<script>x</script>"}, {"passphrase": "<img src=x onerror=x>"}):
        assert "<img" not in knock(gate, **fields).body
        assert "<script" not in knock(gate, **fields).body


def test_the_door_page_may_run_and_load_nothing(gate: Gate) -> None:
    policy = ask(gate, "/door").headers["content-security-policy"]
    assert "default-src 'none'" in policy and "form-action 'self'" in policy
    assert "frame-ancestors 'none'" in policy and "script" not in policy


def test_leaving_takes_the_token_back_but_a_link_alone_does_not(
    gate: Gate, door: Door, teacher: dict[str, str]
) -> None:
    token = teacher["cookie"].partition("=")[2]
    assert "Leave?" in ask(gate, "/leave", headers=teacher).body
    assert door.visitor(token).role is Role.TEACHER
    answer = ask(gate, "/leave", "POST", teacher)
    assert answer.headers["location"] == "/door" and door.visitor(token).role is Role.NOBODY


# From elsewhere


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "10.0.0.1.elsewhere.example", "", "[", "a@b"]
)
def test_a_name_that_is_not_ours_is_not_served(
    gate: Gate, behind: Behind, teacher: dict[str, str], host: str
) -> None:
    assert ask(gate, "/", headers={**teacher, "host": host}).status == 421
    assert talk(gate, {**teacher, "host": host}).status == 403
    assert behind.scopes == []


def test_another_sites_page_uses_no_line_and_uploads_nothing(
    gate: Gate, behind: Behind, teacher: dict[str, str]
) -> None:
    foreign = {**teacher, "origin": "http://elsewhere.example"}
    assert talk(gate, foreign).status == 403
    assert ask(gate, "/_stcore/upload_file/a/b", "PUT", foreign).status == 403
    assert behind.scopes == []
    assert talk(gate, {**teacher, "origin": f"http://{HOST}"}).status == 101


def test_without_a_door_the_page_is_open_to_its_own_names_alone(behind: Behind) -> None:
    gate = Gate(behind, {"127.0.0.1", "localhost"})
    assert ask(gate, "/", headers={"host": "localhost:8501"}).body == "behind"
    assert talk(gate, {"host": "127.0.0.1:8501", "origin": "http://127.0.0.1:8501"}).status == 101
    assert ask(gate, "/", headers={"host": "rebound.example:8501"}).status == 421
    assert talk(gate, {"host": "127.0.0.1:8501", "origin": "http://rebound.example"}).status == 403


# A student, and the teacher


@pytest.mark.parametrize(("page", "path"), PATHS.items())
def test_of_the_pages_a_student_gets_their_own_alone(
    gate: Gate,
    behind: Behind,
    student: dict[str, str],
    teacher: dict[str, str],
    page: str,
    path: str,
) -> None:
    answer = ask(gate, path, headers=student)
    assert (answer.status == 200) == (page in STUDENT_PAGES)
    if page not in STUDENT_PAGES:
        assert answer.status == 403 and behind.scopes == []
    assert ask(gate, path, headers=teacher).body == "behind"


@pytest.mark.parametrize("path", HOSTILE_PATHS)
def test_what_nobody_needs_is_served_to_nobody(
    gate: Gate, behind: Behind, student: dict[str, str], teacher: dict[str, str], path: str
) -> None:
    for who in (student, teacher):
        assert ask(gate, path, headers=who).status in (403, 404)
    assert behind.scopes == []


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "POST", "GET"])
def test_a_student_uploads_nothing(
    gate: Gate, behind: Behind, student: dict[str, str], method: str
) -> None:
    assert ask(gate, "/_stcore/upload_file/session/file", method, student).status == 403
    assert behind.scopes == []


def test_a_student_fetches_the_pictures_that_were_shown_and_no_others(
    gate: Gate, behind: Behind, student: dict[str, str], teacher: dict[str, str]
) -> None:
    assert ask(gate, f"/media/{PICTURE}", headers=student).status == 403
    shown = ForwardMsg()
    shown.delta.new_element.imgs.imgs.add(url=f"/media/{PICTURE}")
    behind.to_send = [shown.SerializeToString()]
    assert talk(gate, student).status == 101
    answer = ask(gate, f"/media/{PICTURE}", headers=student)
    assert answer.body == "behind"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "private, no-store"
    assert ask(gate, f"/media/{PICTURE[1:]}", headers=student).status == 403
    assert ask(gate, f"/media/1{PICTURE[1:]}", headers=teacher).body == "behind"


def test_streamlit_is_told_who_it_is_and_believes_no_browser(
    gate: Gate, behind: Behind, door: Door, student: dict[str, str]
) -> None:
    talk(gate, {**student, VISITOR_HEADER: "0" * 32})
    key = door.visitor(student["cookie"].partition("=")[2]).key
    assert behind.header(VISITOR_HEADER) == [key]


# Along the line


def frame(**kind: object) -> bytes:
    return BackMsg(**kind).SerializeToString()


def asked_of_a_widget() -> bytes:
    wish = BackMsg()
    wish.rerun_script.fragment_id = "f"
    wish.rerun_script.page_script_hash = "p"
    wish.rerun_script.widget_states.widgets.add(id="w", bool_value=True)
    return wish.SerializeToString()


FORBIDDEN = {
    "clear_cache": frame(clear_cache=True),
    "set_run_on_save": frame(set_run_on_save=True),
    "load_git_info": frame(load_git_info=True),
    "debug_shutdown_runtime": frame(debug_shutdown_runtime=True),
    "debug_disconnect_websocket": frame(debug_disconnect_websocket=True),
    "file_urls_request": frame(file_urls_request={"request_id": "r", "file_names": ["x.mp4"]}),
}


@pytest.mark.parametrize("wish", FORBIDDEN.values(), ids=list(FORBIDDEN))
def test_a_student_cannot_empty_the_servers_caches_nor_ask_where_to_upload(
    gate: Gate, behind: Behind, student: dict[str, str], teacher: dict[str, str], wish: bytes
) -> None:
    allowed = asked_of_a_widget()
    talk(gate, student, [wish, allowed])
    assert behind.frames == [allowed]
    behind.frames.clear()
    talk(gate, teacher, [wish, allowed])
    assert behind.frames == [wish, allowed]


Out = Callable[[Door, dict[str, str]], None]


def ended(door: Door, who: dict[str, str]) -> None:
    door.end()


def left(door: Door, who: dict[str, str]) -> None:
    door.leave(who["cookie"].partition("=")[2])


WAYS_OUT = [("student", ended), ("student", left), ("teacher", left)]


@pytest.mark.parametrize(("role", "out"), WAYS_OUT)
def test_of_one_who_is_out_only_the_wish_for_the_page_passes(
    gate: Gate,
    behind: Behind,
    door: Door,
    request: pytest.FixtureRequest,
    role: str,
    out: Out,
) -> None:
    who: dict[str, str] = request.getfixturevalue(role)

    def frames() -> Iterator[bytes]:
        yield asked_of_a_widget()
        out(door, who)
        yield FORBIDDEN["clear_cache"]
        yield asked_of_a_widget()

    talk(gate, who, frames())
    assert behind.frames[0] == asked_of_a_widget()
    (passed,) = behind.frames[1:]
    wish = BackMsg.FromString(passed)
    assert wish.WhichOneof("type") == "rerun_script"
    assert wish.rerun_script.ByteSize() == 0  # no widget, no fragment, no page
    assert talk(gate, who).status == 403


def test_one_visitor_holds_only_so_many_lines_open(
    gate: Gate, student: dict[str, str], teacher: dict[str, str]
) -> None:
    statuses: list[int] = []

    def one_in_another(depth: int) -> Iterator[bytes]:
        if depth:
            statuses.append(talk(gate, student, one_in_another(depth - 1)).status)
        yield asked_of_a_widget()

    talk(gate, student, one_in_another(MOST_LINES))
    assert statuses.count(403) == 1 and statuses.count(101) == MOST_LINES - 1
    assert talk(gate, student).status == talk(gate, teacher).status == 101
