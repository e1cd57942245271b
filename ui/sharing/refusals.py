"""Why someone is not let in, or not let do something.

::

    BrinkangleError
    ├── Refusal               not allowed; the message may be shown to whoever asked
    │   ├── WrongWordError    not the passphrase, or not the lesson's code
    │   ├── WaitError         too many wrong tries; says how long to wait
    │   ├── ClosedError       no lesson is open, or it has ended, or it is full
    │   └── NotYoursError     a thing of another lesson, or the teacher's alone
    ├── PassphraseError       a passphrase that cannot be set, or whose file cannot be read
    └── DamagedHashError      what was kept of a word is no hash of one
"""

from __future__ import annotations

from math import ceil

from solver.errors import BrinkangleError


class Refusal(BrinkangleError):  # noqa: N818 - a refusal is no error
    """Whoever asked may not; the message says so in words that give nothing away."""


class WrongWordError(Refusal):
    """Not the passphrase, or not the lesson's code."""


class WaitError(Refusal):
    """Too many wrong tries."""

    def __init__(self, wait_s: float) -> None:
        self.wait_s = ceil(wait_s)
        unit = "second" if self.wait_s == 1 else "seconds"
        super().__init__(f"Too many wrong tries. Wait {self.wait_s} {unit}, then try again.")


class ClosedError(Refusal):
    """No lesson is open, or this one has ended, or it is full."""


class NotYoursError(Refusal):
    """A thing of another lesson, or the teacher's alone."""


class PassphraseError(BrinkangleError):
    """A passphrase that cannot be set, or whose file cannot be read."""


class DamagedHashError(BrinkangleError):
    """What was kept of a word is no hash of one."""
