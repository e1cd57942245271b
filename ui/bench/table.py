"""Reading one table of a body file, with a message for whatever does not fit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

from solver.errors import InputError
from ui.bench.sheet import Number


class BodyFileError(InputError):
    """A body file that cannot be read; says where, and what to do."""


class Table:
    """A table of the file; every key must be asked for, or is refused by `done`."""

    def __init__(self, content: Any, where: str) -> None:
        if not isinstance(content, Mapping):
            raise BodyFileError(f"{where} must be a table of keys and values.")
        self._content, self.where = dict(content), where
        self._asked: set[str] = set()

    def has(self, key: str) -> bool:
        """Whether the key is there."""
        self._asked.add(key)
        return key in self._content

    def text(self, key: str, among: Iterable[str] = (), default: str | None = None) -> str:
        """A text, one of some if they are given."""
        value = self._value(key, default)
        if not isinstance(value, str) or not value.strip():
            raise BodyFileError(f"{self.where}: {key} must be a text in quotes.")
        if (choices := tuple(among)) and value not in choices:
            raise BodyFileError(
                f'{self.where}: {key} is "{value}"; it must be one of {", ".join(choices)}.'
            )
        return value

    def number(self, key: str, default: float | None = None) -> float:
        """A finite number."""
        value = self._value(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise BodyFileError(f"{self.where}: {key} must be a number, without quotes or unit.")
        return float(value)

    def measure(self, key: str, unit: str, default: Number | None = None) -> Number:
        """A number and its standard uncertainty, which may be left out."""
        value = self.number(f"{key}_{unit}", None if default is None else default.value)
        u = 0.0 if default is None or self.has(f"{key}_{unit}") else default.u
        return Number(value, self.number(f"{key}_u_{unit}", u))

    def flag(self, key: str) -> bool:
        """True or false; false where it is left out."""
        value = self._value(key, False)
        if not isinstance(value, bool):
            raise BodyFileError(f"{self.where}: {key} must be true or false.")
        return value

    def points(self, key: str) -> tuple[tuple[float, float], ...]:
        """Pairs of numbers."""
        value = self._value(key, None)
        if not isinstance(value, list) or not all(_is_pair(pair) for pair in value):
            raise BodyFileError(f"{self.where}: {key} must be pairs, such as [[0, 30], [80, 25]].")
        return tuple((float(a), float(b)) for a, b in value)

    def table(self, key: str) -> Table:
        """A table within it."""
        return Table(self._value(key, None), f"[{key}]")

    def tables(self, key: str) -> list[Table]:
        """A list of tables within it."""
        value = self._value(key, None)
        if not isinstance(value, list):
            raise BodyFileError(f"{self.where}: write each {key} under a heading [[{key}]].")
        return [Table(each, f"[[{key}]] number {n}") for n, each in enumerate(value, start=1)]

    def done(self) -> None:
        """Refuse what nobody asked for: a slip of the pen must not be passed over."""
        for key in self._content.keys() - self._asked:
            stem = key.rpartition("_")[0] or key
            near = sorted(known for known in self._asked if known.startswith(stem))
            hint = f" Did you mean {near[0]}?" if near else " Take it out, or check its spelling."
            raise BodyFileError(f"{self.where}: {key} means nothing here.{hint}")

    def _value(self, key: str, default: Any) -> Any:
        if self.has(key):
            return self._content[key]
        if default is None:
            raise BodyFileError(f"{self.where}: {key} is missing.")
        return default


def _is_pair(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and all(isinstance(n, int | float) and not isinstance(n, bool) for n in value)
        and all(map(isfinite, value))
    )
