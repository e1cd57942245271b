"""What is stopped when the server ends."""

from __future__ import annotations

from contextlib import ExitStack

import pytest

from ui import ending
from ui.ending import at_the_end, end


class Lamp:
    """Something that is to be put out."""

    def __init__(self, name: str, said: list[str], broken: bool = False) -> None:
        self.name, self.said, self.broken = name, said, broken

    def put_out(self) -> None:
        self.said.append(self.name)
        if self.broken:
            raise OSError("The switch came off.")


@pytest.fixture(autouse=True)
def of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """What other tests have begun is left alone."""
    monkeypatch.setattr(ending, "_ENDINGS", ExitStack())


def test_the_latest_is_stopped_first_and_once() -> None:
    said: list[str] = []
    bench, queue = Lamp("bench", said), Lamp("queue", said)
    at_the_end(bench.put_out)
    at_the_end(queue.put_out)
    end()
    end()
    assert said == ["queue", "bench"]


def test_one_that_fails_keeps_none_from_being_stopped() -> None:
    said: list[str] = []
    bench, queue = Lamp("bench", said), Lamp("queue", said, broken=True)
    at_the_end(bench.put_out)
    at_the_end(queue.put_out)
    with pytest.raises(OSError, match="switch"):
        end()
    assert said == ["queue", "bench"]


def test_what_nobody_uses_any_more_is_not_kept_for_it() -> None:
    said: list[str] = []
    lamp = Lamp("lamp", said)
    at_the_end(lamp.put_out)
    del lamp
    end()
    assert said == []
