"""The mistakes Brinkangle names.

::

    BrinkangleError
    ├── InputError              a number or a choice the caller gave
    │   ├── LengthError         a radius, height or position out of its range
    │   ├── MassError           a mass out of its range
    │   ├── AngleError          an angle out of its range
    │   ├── FrictionError       a coefficient of friction out of its range
    │   └── UnreachableError    no position, mass or angle does what was asked
    └── ClipError               a file that cannot be measured at all
        ├── ClipMissingError    not there, or gone while it was read
        ├── ClipFormatError     empty, not a video, sound only, damaged
        ├── ClipLengthError     a single frame, or over the time limit
        └── ClipSizeError       over the size limit

Each message is one or two plain sentences: what was wrong, where, and what
to do. Data that is sound but cannot support an answer is no mistake: it gives
an unreadable outcome with its reasons, never an exception.
"""


class BrinkangleError(Exception):
    """Any mistake Brinkangle can name."""


class InputError(BrinkangleError, ValueError):
    """A number or a choice the caller gave is outside what is possible."""


class LengthError(InputError):
    """A radius, height or position is outside its range."""


class MassError(InputError):
    """A mass is outside its range."""


class AngleError(InputError):
    """An angle is outside its range."""


class FrictionError(InputError):
    """A coefficient of friction is outside its range."""


class UnreachableError(InputError):
    """No position, mass or angle does what was asked; the message gives the range."""


class ClipError(BrinkangleError):
    """A file cannot be measured at all."""


class ClipMissingError(ClipError):
    """The file is not there, or went away while it was read."""


class ClipFormatError(ClipError):
    """The file is empty, not a video, has no picture, or is damaged."""


class ClipLengthError(ClipError):
    """The clip is a single frame, or longer than the limit."""


class ClipSizeError(ClipError):
    """The file is larger than the limit."""
