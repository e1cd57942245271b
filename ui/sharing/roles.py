"""Who someone is to the page, and what each may open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Role(StrEnum):
    """What someone may do."""

    TEACHER = "teacher"
    STUDENT = "student"
    NOBODY = "nobody"


@dataclass(frozen=True)
class Visitor:
    """Someone at the page."""

    role: Role
    key: str = ""
    """Tells one visitor from another; opens nothing."""
    lesson_id: int | None = None
    """The one lesson a student is in."""
    label: str = ""
    """What a student calls themself, such as 'pupil 7'; as typed, may be empty."""
    since: datetime | None = None
    """When they came in, UTC."""


AT_HOME = Visitor(Role.TEACHER)
"""Whoever sits at the machine, while the page is served to it alone."""
STRANGER = Visitor(Role.NOBODY)

STUDENT_PAGES = frozenset({"check_a_reading"})
"""By the file under app_pages; all others are the teacher's."""


def may_open(role: Role, page: str) -> bool:
    """Whether a role may open a page, by the page's file name."""
    return role is Role.TEACHER or (role is Role.STUDENT and page in STUDENT_PAGES)
