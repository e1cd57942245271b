"""The door as a page: plain HTML without scripts; nothing of the app is served before it."""

from __future__ import annotations

from html import escape

from ui.sharing.codes import LENGTH
from ui.sharing.door import LONGEST_LABEL
from ui.sharing.passphrase import MOST
from ui.theme import AMBER, INK, PAPER, QUIET, RULE, SHADE, TEAL

PLAIN = (
    "On this network the page travels unencrypted: someone with the skill and the wish could read "
    "along. Use a passphrase you use nowhere else, and labels instead of names."
)

STYLE = f"""
* {{ box-sizing: border-box; }} [hidden] {{ display: none !important; }}
body {{ margin: 0; background: {PAPER}; color: {INK}; line-height: 1.5;
  font: 17px/1.5 "Source Sans", "Source Sans Pro", system-ui, sans-serif; }}
main {{ max-width: 60rem; margin: 0 auto; padding: 2.5rem 1rem 4rem; }}
h1, h2 {{ font-family: "Source Serif", "Source Serif Pro", Georgia, serif; line-height: 1.2;
  letter-spacing: -0.01em; margin: 0 0 .5rem; }}
h1 {{ font-size: 2.4rem; }} h2 {{ font-size: 1.4rem; }}
p {{ margin: 0 0 1rem; }} .quiet {{ color: {QUIET}; font-size: .94rem; }}
.ways {{ display: grid; gap: 1.5rem; margin: 1.5rem 0; grid-template-columns: 3fr 2fr; }}
form {{ background: #fff; border: 1px solid {RULE}; border-radius: 6px; padding: 1.25rem; }}
form.teacher {{ background: {SHADE}; }}
label {{ display: block; font-weight: 600; margin-top: .75rem; }}
input {{ display: block; width: 100%; font: inherit; color: inherit; background: #fff;
  padding: .6rem .7rem; border: 1px solid {QUIET}; border-radius: 6px; margin-top: .25rem; }}
input.code {{ font: 600 1.5rem/1.3 ui-monospace, Menlo, Consolas, monospace; letter-spacing: .12em;
  text-transform: uppercase; }}
button, a.button {{ display: inline-block; font: inherit; font-weight: 600; margin-top: 1rem;
  padding: .6rem 1.4rem; border-radius: 6px; border: 1px solid {TEAL}; background: {TEAL};
  color: #fff; text-decoration: none; cursor: pointer; }}
form.teacher button {{ background: transparent; color: {TEAL}; }}
:focus-visible {{ outline: 3px solid {AMBER}; outline-offset: 2px; }}
.told {{ border-left: 5px solid {AMBER}; background: #FBF0DC; padding: .8rem 1rem;
  border-radius: 0 6px 6px 0; margin: 1rem 0; }}
@media (max-width: 640px) {{ .ways {{ grid-template-columns: 1fr; }} h1 {{ font-size: 2rem; }} }}
"""


def door_page(told: str = "", open_to_students: bool = True, by_teacher: bool = False) -> str:
    """The page that asks for a lesson code or the passphrase.

    ``told`` says why the last try, ``by_teacher`` or not, was refused.
    """
    return _page(
        f"""<h1>Brinkangle</h1>
<p>Check your protractor reading against your group's clip.</p>
{_told(told)}<div class="ways">{_student(open_to_students, by_teacher)}{_teacher(by_teacher)}</div>
<p class="quiet">{escape(PLAIN)}</p>"""
    )


def plain_page(title: str, words: str, link: tuple[str, str] | None = None) -> str:
    """A page that says one thing, with an address to go on to and its name."""
    button = f'<a class="button" href="{escape(link[0])}">{escape(link[1])}</a>' if link else ""
    return _page(f"<h1>{escape(title)}</h1>\n<p>{escape(words)}</p>\n{button}")


def leave_page() -> str:
    """Asks whether to leave; nothing is changed by following a link alone."""
    return _page(
        '<h1>Leave?</h1>\n<form method="post" action="/leave"><p>To come in again from this '
        "browser, the code or the passphrase is needed.</p><button>Leave</button></form>"
    )


def _student(open_to_students: bool, by_teacher: bool) -> str:
    if not open_to_students:
        return (
            '<form class="student"><h2>You are in a lesson</h2><p>No lesson is open now. '
            "Your teacher opens it and writes its code on the board; then load this page "
            "again.</p></form>"
        )
    return f"""<form class="student" method="post" action="/door" autocomplete="off">
<h2>You are in a lesson</h2>
<label for="code">Lesson code</label>
<input id="code" class="code" name="code" required maxlength="{2 * LENGTH}" placeholder="····-····"
 autocapitalize="characters" autocomplete="off" spellcheck="false"{_focus(not by_teacher)}>
<label for="label">What your teacher knows you by, if you like</label>
<input id="label" name="label" maxlength="{LONGEST_LABEL}" placeholder="such as pupil 7"
 aria-describedby="no-names">
<p id="no-names" class="quiet">A number or a table, not your name.</p>
<button>Come in</button></form>"""


def _teacher(by_teacher: bool) -> str:
    return f"""<form class="teacher" method="post" action="/door">
<h2>You are the teacher</h2>
<input name="username" value="teacher" autocomplete="username" hidden>
<label for="passphrase">Passphrase</label>
<input id="passphrase" name="passphrase" type="password" required maxlength="{MOST}"
 autocomplete="current-password"{_focus(by_teacher)}>
<button>Open everything</button></form>"""


def _focus(here: bool) -> str:
    return " autofocus" if here else ""


def _told(words: str) -> str:
    return f'<p class="told" role="alert">{escape(words)}</p>\n' if words else ""


def _page(body: str) -> str:
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Brinkangle</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>{STYLE}</style></head><body><main>
{body}
</main></body></html>
"""
