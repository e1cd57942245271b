"""The door of a shared page: who has come in, by which word, and for how long."""

from __future__ import annotations

import hashlib
import secrets
import time
from collections.abc import Callable, Collection
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock

from ui.record.errors import NotInRecordError
from ui.record.record import Record
from ui.sharing.codes import new_code, tidy_code
from ui.sharing.hashing import FOR_A_LESSON, hashed, matches
from ui.sharing.passphrase import is_passphrase
from ui.sharing.refusals import ClosedError, DamagedHashError, WaitError, WrongWordError
from ui.sharing.roles import STRANGER, Role, Visitor
from ui.sharing.throttle import Throttle

LONGEST_STAY_S = 12 * 3600.0
MOST_STUDENTS = 200
MOST_READINGS = 200
"""Of one student in one lesson."""
LONGEST_LABEL = 40


@dataclass(frozen=True)
class _Grant:
    visitor: Visitor
    until_s: float
    pictures: set[str] = field(default_factory=set)
    """Names of the pictures that were shown on this visitor's pages."""
    readings: int = 0


class Door:
    """Lets in those who know a word, and holds who is in; one for each served page.

    At most one lesson is open at a time. What it hands out, a token, is the
    browser's alone and is kept here only as a hash, the visitor's key.
    """

    def __init__(
        self, folder: Path, record: Record, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._folder, self._record, self._clock = folder, record, clock
        self._lock = Lock()
        self._grants: dict[str, _Grant] = {}
        self._open: int | None = None
        self._given: str | None = None
        # Apart, so that a class that mistypes its code does not keep its teacher out.
        self._phrase_throttle, self._code_throttle = Throttle(clock), Throttle(clock)

    @property
    def open_lesson(self) -> int | None:
        """The lesson students may come into."""
        return self._open

    def admit_teacher(self, words: str, address: str) -> str:
        """A token for whoever knows the passphrase.

        Raises `WaitError`, `WrongWordError`, or `PassphraseError` where none can be read.
        """
        _enter(self._phrase_throttle, address)
        if not is_passphrase(self._folder, words):
            raise WrongWordError("That is not the passphrase.")
        self._phrase_throttle.succeeded(address)
        return self._grant(Role.TEACHER, None, "")

    def admit_student(self, typed: str, label: str, address: str) -> str:
        """A token for whoever knows the open lesson's code.

        Raises `ClosedError`, `WaitError` or `WrongWordError`.
        """
        lesson = self._open
        stored = self._code_hash(lesson)
        if lesson is None or stored is None:
            raise ClosedError("No lesson is open. Ask your teacher to open it.")
        letters = tidy_code(typed)
        if letters is None:  # it cannot be right, so it tells a guesser nothing
            raise WrongWordError("A lesson code has eight letters and digits, like KX4T-7QMR.")
        _enter(self._code_throttle, address)
        try:
            if not matches(stored, letters):
                raise WrongWordError("That is not this lesson's code.")
        except DamagedHashError as error:
            raise ClosedError("This lesson's code is damaged. Ask for a new one.") from error
        self._code_throttle.succeeded(address)
        return self._grant(Role.STUDENT, lesson, label.strip()[:LONGEST_LABEL])

    def visitor(self, token: str | None) -> Visitor:
        """Who holds a token."""
        return self.visitor_by_key(_key(token)) if token else STRANGER

    def visitor_by_key(self, key: str) -> Visitor:
        """Who has a key, if they are still in."""
        with self._lock:
            grant = self._grants.get(key)
            if grant is not None and grant.until_s <= self._clock():
                del self._grants[key]
                grant = None
        return STRANGER if grant is None else grant.visitor

    def show_pictures(self, key: str, names: Collection[str]) -> None:
        """Note which pictures are shown to someone."""
        with self._lock:
            if key in self._grants:
                self._grants[key].pictures.update(names)

    def is_shown(self, key: str, name: str) -> bool:
        """Whether a picture was shown to someone who is still in."""
        with self._lock:
            return key in self._grants and name in self._grants[key].pictures

    def leave(self, token: str) -> None:
        """Take a token back."""
        with self._lock:
            self._grants.pop(_key(token), None)

    def open(self, lesson_id: int) -> str:
        """Open a lesson under a new code, which is returned this once.

        Students of another lesson are out; those of this one stay in. Raises
        `NotInRecordError` for a lesson that is no more.
        """
        code = new_code()
        lesson = self._record.lesson(lesson_id)
        code_hash = hashed(code.replace("-", ""), FOR_A_LESSON)
        self._record.change(lesson, code_hash=code_hash)
        if self._open is not None and self._open != lesson_id:
            self.end()
        self._open, self._given = lesson_id, code_hash
        return code

    def end(self) -> None:
        """End the sharing: no code holds any more, and every student is out."""
        with self._lock:
            lesson, self._open = self._open, None
            self._grants = {
                key: grant
                for key, grant in self._grants.items()
                if grant.visitor.role is not Role.STUDENT
            }
        if lesson is not None:
            with suppress(NotInRecordError):  # the lesson was removed, and its code with it
                row = self._record.lesson(lesson)
                if row.code_hash == self._given:  # and not one that another server gave since
                    self._record.change(row, code_hash=None)

    def students(self) -> tuple[Visitor, ...]:
        """Who is in with the lesson's code, the first to come first."""
        with self._lock:
            now = self._clock()
            return tuple(
                grant.visitor
                for grant in self._grants.values()
                if grant.visitor.role is Role.STUDENT and grant.until_s > now
            )

    def count_reading(self, key: str) -> None:
        """One more reading by a student. Raises `ClosedError` where it is one too many."""
        with self._lock:
            grant = self._grants.get(key)
            if grant is None:
                raise ClosedError("The lesson has ended.")
            if grant.readings >= MOST_READINGS:
                raise ClosedError(f"You have kept {MOST_READINGS} readings. Ask your teacher.")
            self._grants[key] = replace(grant, readings=grant.readings + 1)

    def _code_hash(self, lesson_id: int | None) -> str | None:
        if lesson_id is None:
            return None
        try:
            return self._record.lesson(lesson_id).code_hash
        except NotInRecordError:
            return None

    def _grant(self, role: Role, lesson_id: int | None, label: str) -> str:
        token = secrets.token_urlsafe(32)
        visitor = Visitor(role, _key(token), lesson_id, label, datetime.now(UTC))
        if role is Role.STUDENT and len(self.students()) >= MOST_STUDENTS:
            raise ClosedError(f"{MOST_STUDENTS} are in this lesson already; no more can come in.")
        with self._lock:
            if role is Role.STUDENT and self._open != lesson_id:
                raise ClosedError("The lesson has just ended.")
            self._grants[visitor.key] = _Grant(visitor, self._clock() + LONGEST_STAY_S)
        return token


def _enter(throttle: Throttle, address: str) -> None:
    if wait_s := throttle.enter(address):
        raise WaitError(wait_s)


def _key(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()[:32]
