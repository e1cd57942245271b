"""A shared page, served for real: its teacher and a student at once, and what is tried on it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Dialog, Page, expect
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from tests.ui.served import ROOT, drawn
from tests.ui.sharing.conftest import PHRASE, school_in
from tests.ui.sharing.raw_line import is_refused, line, run
from tests.ui.sharing.serving import Shared, shared
from ui.app import PAGES
from ui.record.record import Record
from ui.sharing.codes import new_code
from ui.sharing.door_routes import COOKIE
from ui.sharing.passphrase import set_passphrase
from ui.sharing.roles import STUDENT_PAGES
from ui.sharing.throttle import FREE_TRIES

DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
GUESSER = "127.0.0.9"
TEACHERS_PATHS = {name: "/" + name.replace("_", "-") for name in PAGES if name not in STUDENT_PAGES}
LABEL = "<img src=x onerror=alert(1)>:red[7]"


@pytest.fixture(scope="module")
def data_folder(lessons: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shared") / "data"
    shutil.copytree(lessons, folder)
    set_passphrase(folder, PHRASE)
    return folder


@pytest.fixture(scope="module")
def page(data_folder: Path) -> Iterator[Shared]:
    """The page, shared with the first lesson open."""
    record = Record(data_folder)
    lesson = school_in(record).lesson
    record.close()
    with shared(data_folder, lesson.id) as served:
        yield served


class Visit:
    """One browser at the shared page, in which nothing may go anywhere else."""

    def __init__(self, browser: Browser, page: Shared, size: dict[str, int]) -> None:
        self.context: BrowserContext = browser.new_context(viewport=size)  # type: ignore[arg-type]
        self.page: Page = self.context.new_page()
        self.asked: list[str] = []
        self.session = ""
        self.dialogs: list[str] = []
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on(
            "dialog", lambda dialog: (self.dialogs.append(dialog.message), dialog.dismiss())
        )
        self.page.on("websocket", lambda ws: ws.on("framereceived", self._hear))
        self.page.goto(page.url)

    def _dismiss(self, dialog: Dialog) -> None:
        self.dialogs.append(dialog.message)
        dialog.dismiss()

    def _hear(self, content: bytes | str) -> None:
        if isinstance(content, bytes):
            message = ForwardMsg.FromString(content)
            if message.WhichOneof("type") == "new_session":
                self.session = message.new_session.initialize.session_id

    def come_in(self, code: str, label: str = "") -> None:
        """As a student."""
        self.page.get_by_label("Lesson code").fill(code)
        self.page.get_by_label("What your teacher knows you by").fill(label)
        self.page.get_by_role("button", name="Come in").click()

    def open_everything(self) -> None:
        """As the teacher."""
        self.page.get_by_label("Passphrase").fill(PHRASE)
        self.page.get_by_role("button", name="Open everything").click()
        expect(self.heading(next(iter(PAGES.values())))).to_be_visible()

    def heading(self, words: str):  # type: ignore[no-untyped-def]
        return self.page.get_by_role("heading", name=words, exact=True)

    def link(self, title: str) -> None:
        self.page.get_by_role("link", name=title).click()
        expect(self.heading(title)).to_be_visible()
        drawn(self.page)

    @property
    def cookie(self) -> str:
        (held,) = [each for each in self.context.cookies() if each["name"] == COOKIE]
        assert held["httpOnly"] and held["sameSite"] == "Lax"
        return f"{COOKIE}={held['value']}"

    def fetch(self, path: str, method: str = "GET") -> int:
        """The status of what the page's own script would get."""
        script = "([path, method]) => fetch(path, {method, redirect: 'manual'}).then(r => r.status)"
        return int(self.page.evaluate(script, [path, method]))


@pytest.fixture(scope="module")
def teacher(browser: Browser, page: Shared) -> Iterator[Visit]:
    visit = Visit(browser, page, DESK)
    visit.open_everything()
    yield visit
    visit.context.close()
    assert all(url.startswith((page.url, "data:", "blob:")) for url in visit.asked)


@pytest.fixture(scope="module")
def student(browser: Browser, page: Shared) -> Iterator[Visit]:
    visit = Visit(browser, page, PHONE)
    visit.come_in(page.code.lower(), LABEL)
    expect(visit.heading("Check a reading")).to_be_visible()
    yield visit
    visit.context.close()
    assert all(url.startswith((page.url, "data:", "blob:")) for url in visit.asked)


def test_the_command_says_what_to_type_and_that_it_is_plain(page: Shared) -> None:
    assert page.url in page.said and "shown this once" in page.said
    assert "unencrypted" in page.said and PHRASE not in page.said


def test_a_student_finds_their_lessons_clips_and_no_way_elsewhere(student: Visit) -> None:
    clip = student.page.get_by_role("combobox", name="Your group's clip")
    expect(clip).to_have_value("Table 4, body of Toppling, set B")
    for title in (PAGES[name] for name in TEACHERS_PATHS):
        expect(student.page.get_by_role("link", name=title)).to_have_count(0)
    assert "Table 1" not in student.page.content()
    assert student.page.locator("input[type=file]").count() == 0


@pytest.mark.parametrize("path", TEACHERS_PATHS.values())
def test_by_url_a_student_opens_no_page_of_the_teachers(student: Visit, path: str) -> None:
    assert student.fetch(path) == 403


def look_at(teacher: Visit, lesson: str) -> None:
    """The teacher's 'Check a reading' of a lesson."""
    teacher.link("Check a reading")
    teacher.page.get_by_role("combobox", name="Lesson").click()
    teacher.page.get_by_role("option", name=lesson).click()
    clip = teacher.page.get_by_role("combobox", name="Your group's clip")
    expect(clip).to_have_value(re.compile(re.escape(lesson)))
    expect(teacher.page.locator("img").first).to_be_visible()


@pytest.fixture(scope="module")
def teachers_picture(student: Visit, teacher: Visit) -> str:
    """The name of a picture of the other lesson, which the teacher looks at."""
    look_at(teacher, "Toppling, set B")
    picture = teacher.page.locator("img").first
    first = picture.get_attribute("src")
    look_at(teacher, "Toppling, set C")
    expect(picture).not_to_have_attribute("src", str(first))
    shown = teacher.page.locator("img").evaluate_all("all => all.map(img => img.src)")
    (name,) = {url.rpartition("/")[2] for url in shown if "/media/" in url}
    return str(name)


def test_by_url_a_student_gets_their_own_pictures_and_none_of_the_teachers(
    page: Shared, student: Visit, teacher: Visit, teachers_picture: str
) -> None:
    own = {url.removeprefix(page.url) for url in student.asked if "/media/" in url}
    assert own and {student.fetch(path) for path in own} == {200}
    assert teacher.fetch(f"/media/{teachers_picture}") == 200
    assert student.fetch(f"/media/{teachers_picture}") == 403
    assert page.request("GET", f"/media/{teachers_picture}")[0] == 403


@pytest.mark.parametrize(
    "way",
    [
        "/static/../media/{}", "//media/{}", "/%2e%2e/media/{}", "/static/%2e%2e/media/{}",
        "/component/../media/{}", "/./media/{}", "/media/./{}", "/media//{}", "/MEDIA/{}",
        "/media/{}/", "/media/{}?x=1", "/media/%2e/{}", "/check-a-reading/media/{}",
        "/_stcore/bidi-components/../../media/{}", "/_stcore/../media/{}", "/media%2f{}",
    ],
)  # fmt: skip
def test_by_url_no_detour_leads_to_a_picture(
    page: Shared, student: Visit, teachers_picture: str, way: str
) -> None:
    cookie = {"Cookie": student.cookie}
    _, headers, body = page.request("GET", way.format(teachers_picture), headers=cookie)
    assert not headers.get("content-type", "").startswith("image") and "PNG" not in body[:20]


def test_by_url_a_student_uploads_nothing_and_sees_no_figures_of_the_server(
    student: Visit, teacher: Visit
) -> None:
    for session in (student.session, teacher.session):
        assert session
        assert student.fetch(f"/_stcore/upload_file/{session}/x", "PUT") == 403
        assert student.fetch(f"/_stcore/upload_file/{session}/x", "DELETE") == 403
    assert student.fetch("/_stcore/metrics") == 404


def test_by_form_guesses_are_made_to_wait_whatever_the_session(page: Shared) -> None:
    def guess(i: int, **fields: str) -> int:
        spoofed = {"X-Forwarded-For": f"10.0.0.{i}", "Cookie": f"{COOKIE}=fresh{i}"}
        return page.request("POST", "/door", fields, spoofed, source=GUESSER)[0]

    assert [guess(i, code=new_code()) for i in range(FREE_TRIES)] == [403] * FREE_TRIES
    assert guess(90, code=new_code()) == 429
    assert guess(91, passphrase="not these words") == 403
    # The class at other addresses, and the teacher, go on.
    status, headers, _ = page.request("POST", "/door", {"passphrase": PHRASE})
    assert (status, headers["location"]) == (303, "/")


def test_by_session_a_student_cannot_take_up_the_teachers(
    page: Shared, student: Visit, teacher: Visit
) -> None:
    assert teacher.session
    with line(page, student.cookie, teacher.session) as thief:
        heard = run(thief)
        assert heard.session not in ("", teacher.session)
        assert not heard.says("Edge balance") and heard.says("Check a reading")
    with line(page, teacher.cookie) as own:
        assert run(own).says("Edge balance")
    teacher.link("Edge balance")  # its own session goes on


@pytest.mark.parametrize("path", ["class-record", "read_a_clip", "edge-balance"])
def test_by_session_a_student_runs_no_page_by_name(page: Shared, student: Visit, path: str) -> None:
    with line(page, student.cookie) as to:
        heard = run(to, page_name=path)
        assert heard.page_not_found and heard.pages == ["Check a reading"]
        assert not heard.says("Class record") and not heard.says("Measure")


def test_a_student_is_not_told_where_the_page_lies_on_the_teachers_machine(
    page: Shared, student: Visit, teacher: Visit
) -> None:
    with line(page, student.cookie) as to:
        heard = run(to)
        assert heard.says("Check a reading") and not heard.says(str(ROOT))


def test_by_line_a_student_empties_no_cache(page: Shared, student: Visit, teacher: Visit) -> None:
    with line(page, student.cookie) as to:
        run(to)
        to.send(BackMsg(clear_cache=True).SerializeToString())
        to.send(BackMsg(load_git_info=True).SerializeToString())
        assert run(to).says("Check a reading")


def test_no_line_without_a_cookie_nor_for_another_site(page: Shared, teacher: Visit) -> None:
    assert is_refused(page, "") and is_refused(page, f"{COOKIE}=guessed")
    assert is_refused(page, teacher.cookie, origin="http://elsewhere.example")
    assert not is_refused(page, teacher.cookie, origin=page.url)


def test_the_two_see_each_others_doings(student: Visit, teacher: Visit) -> None:
    teacher.link("Class record")
    teacher.page.get_by_text("Sharing", exact=True).click()
    expect(teacher.page.get_by_text("One is in:")).to_be_visible()
    expect(teacher.page.get_by_text(LABEL)).to_be_visible()
    student.page.get_by_label("Angle on your protractor").fill("20")
    student.page.get_by_role("button", name="Check my reading").click()
    expect(student.page.get_by_text("Your reading agrees with the clip.")).to_be_visible()
    look_at(teacher, "Toppling, set B")
    expect(teacher.page.get_by_text("The class's readings")).to_be_visible()
    expect(teacher.page.get_by_test_id("stMetric").first).to_contain_text("1")
    for visit in (student, teacher):
        assert visit.dialogs == []
        assert visit.page.locator("img[src=x], a[href^=javascript]").count() == 0


def test_a_code_that_was_renewed_lets_nobody_in_and_the_end_puts_all_out(
    browser: Browser, page: Shared, student: Visit, teacher: Visit
) -> None:
    teacher.link("Class record")
    teacher.page.get_by_text("Sharing", exact=True).click()
    teacher.page.get_by_role("button", name="Give it a new code").click()
    shown = teacher.page.get_by_test_id("stMetricValue")
    expect(shown).to_be_visible()
    code = shown.inner_text().strip()
    late = Visit(browser, page, PHONE)
    late.come_in(page.code)
    expect(late.page.get_by_text("That is not this lesson's code.")).to_be_visible()
    late.come_in(code)
    expect(late.heading("Check a reading")).to_be_visible()
    expect(teacher.page.get_by_text("2 are in:")).to_be_visible()
    cookie = student.cookie
    teacher.page.get_by_role("button", name="End the sharing").click()
    for visit in (student, late):
        expect(visit.heading("You are not in")).to_be_visible()
        assert visit.page.get_by_label("Angle on your protractor").count() == 0
    assert is_refused(page, cookie)
    student.page.get_by_role("link", name="To the door").click()
    expect(student.page.get_by_text("No lesson is open now.")).to_be_visible()
    late.context.close()


def test_after_leaving_the_cookie_opens_nothing(browser: Browser, page: Shared) -> None:
    visit = Visit(browser, page, DESK)
    visit.open_everything()
    cookie = visit.cookie
    visit.page.get_by_role("link", name="Leave").click()
    visit.page.get_by_role("button", name="Leave").click()
    expect(visit.page.get_by_text("You are the teacher")).to_be_visible()
    assert is_refused(page, cookie)
    visit.context.close()
