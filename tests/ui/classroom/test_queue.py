"""The queue: order, progress, stopping and taking up again, and what one bad clip does."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from solver.errors import InputError
from tests.ui.stand_in import toppling
from ui.answer import unreadable
from ui.classroom.queue import Progress, Queue, Task
from ui.jobs import DIED
from vision.reading import ClipReading, ClipSetup

READING = toppling()


class Held:
    """A ticket that is done when it is let go."""

    def __init__(self) -> None:
        self.go = threading.Event()
        self.share = 0.42

    def reading(self) -> ClipReading:
        assert self.go.wait(10)
        return READING


class HeldBench:
    """Holds every clip until it is let go; remembers the order in which they came."""

    def __init__(self) -> None:
        self.tickets: dict[str, Held] = {}

    def measure(self, path: Path, setup: ClipSetup) -> Held:
        if path.name == "impossible":
            raise ValueError("what is this")
        return self.tickets.setdefault(path.name, Held())

    def let_go(self, *names: str) -> None:
        for name in names:
            until(lambda name=name: name in self.tickets)  # type: ignore[misc]
            self.tickets[name].go.set()


def task(clip_id: int, name: str | None = None) -> Task:
    return Task(clip_id, "", Path(name or str(clip_id)), ClipSetup(0.034))


def until(true: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 10
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.005)


@pytest.fixture
def bench() -> HeldBench:
    return HeldBench()


@pytest.fixture
def saved() -> list[int]:
    return []


def queue_of(bench: HeldBench, saved: list[int], at_once: int = 2) -> Queue:
    return Queue(bench, lambda task, reading: saved.append(task.clip_id), at_once)


def test_a_few_are_measured_at_a_time_in_their_order(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved)
    queue.add(map(task, range(4)))
    until(lambda: set(bench.tickets) == {"0", "1"})
    assert queue.progress(0) == Progress(True, 0.42)
    assert queue.progress(2) == Progress(False, 0.0)
    assert queue.progress(9) is None
    bench.let_go("1", "2", "0", "3")
    assert queue.wait(10)
    assert sorted(saved) == [0, 1, 2, 3]
    assert [queue.progress(i) for i in range(4)] == [None] * 4


def test_each_is_saved_as_it_finishes(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved)
    queue.add(map(task, range(3)))
    bench.let_go("1")
    until(lambda: saved == [1])
    assert queue.progress(1) is None
    bench.let_go("0", "2")
    assert queue.wait(10)


def test_stopped_it_begins_no_more_and_is_taken_up_again(
    bench: HeldBench, saved: list[int]
) -> None:
    queue = queue_of(bench, saved, at_once=1)
    queue.add(map(task, range(3)))
    until(lambda: "0" in bench.tickets)
    queue.stop()
    assert queue.progress(1) is None
    bench.let_go("0")
    assert queue.wait(10)
    assert saved == [0] and set(bench.tickets) == {"0"}
    queue.add(map(task, (1, 2)))
    bench.let_go("1", "2")
    assert queue.wait(10)
    assert saved == [0, 1, 2]


def test_one_alone_is_taken_out(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved, at_once=1)
    queue.add(map(task, range(3)))
    queue.stop([1])
    bench.let_go("0", "2")
    assert queue.wait(10)
    assert saved == [0, 2]


def test_what_is_in_hand_is_not_taken_twice(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved, at_once=1)
    queue.add(map(task, (0, 1)))
    until(lambda: "0" in bench.tickets)
    queue.add(map(task, (0, 1)))
    bench.let_go("0", "1")
    assert queue.wait(10)
    assert saved == [0, 1]


def test_what_comes_later_is_measured_too(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved)
    for clip_id in range(3):
        queue.add([task(clip_id)])
        bench.let_go(str(clip_id))
        assert queue.wait(10)
    assert saved == [0, 1, 2]


@pytest.mark.parametrize("fault", [InputError("the disk is full"), OSError("no space"), KeyError])
def test_a_reading_that_cannot_be_saved_is_told_and_stops_no_other(
    bench: HeldBench, fault: Exception, saved: list[int]
) -> None:
    def save(task: Task, reading: ClipReading) -> None:
        if task.clip_id == 0:
            raise fault
        saved.append(task.clip_id)

    queue = Queue(bench, save, 1)
    queue.add(map(task, range(2)))
    bench.let_go("0", "1")
    assert queue.wait(10)
    assert saved == [1]
    told = queue.unsaved(0)
    assert told and ("could not be kept" in told or "fault of the program" in told)
    assert queue.unsaved(1) is None
    queue.add([task(0)])
    assert queue.wait(10)
    assert queue.unsaved(0)


def test_one_that_cannot_even_begin_stops_no_other(bench: HeldBench, saved: list[int]) -> None:
    queue = queue_of(bench, saved, at_once=1)
    queue.add([task(0, "impossible"), task(1)])
    bench.let_go("1")
    assert queue.wait(10)
    assert saved == [1]
    assert "fault of the program" in (queue.unsaved(0) or "")


def test_what_is_broken_off_when_it_is_closed_is_not_saved(
    bench: HeldBench, saved: list[int]
) -> None:
    queue = queue_of(bench, saved, at_once=1)
    queue.add(map(task, range(2)))
    until(lambda: "0" in bench.tickets)
    queue.close()
    bench.let_go("0")
    assert queue.wait(10)
    assert saved == [] and set(bench.tickets) == {"0"}


class DyingBench:
    """Its workers die so many times before they read a clip."""

    def __init__(self, deaths: int) -> None:
        self.deaths = deaths

    def measure(self, path: Path, setup: ClipSetup) -> Held:
        ticket, self.deaths = Held(), self.deaths - 1
        dies = self.deaths >= 0
        ticket.reading = lambda: unreadable(DIED) if dies else READING  # type: ignore[method-assign]
        return ticket


@pytest.mark.parametrize(("deaths", "outcome"), [(1, "topples"), (2, "unreadable")])
def test_a_worker_that_dies_once_may_be_no_fault_of_the_clip(deaths: int, outcome: str) -> None:
    kept: list[ClipReading] = []
    queue = Queue(DyingBench(deaths), lambda task, reading: kept.append(reading), 1)
    queue.add([task(0)])
    assert queue.wait(10)
    assert [str(reading.outcome) for reading in kept] == [outcome]
