"""Guesses made slow, on a clock of our own."""

import threading

import pytest

from ui.sharing.throttle import (
    FORGET_S,
    FREE_TRIES,
    LONGEST_WAIT_S,
    MOST_ADDRESSES,
    OVERALL_S,
    OVERALL_TRIES,
    Throttle,
)


class Clock:
    now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def throttle(clock: Clock) -> Throttle:
    return Throttle(clock)


def guesses_made(throttle: Throttle, clock: Clock, address: str, for_s: float) -> int:
    """How many tries someone makes who tries the moment it is allowed."""
    made, end = 0, clock.now + for_s
    while clock.now < end:
        wait = throttle.enter(address)
        if wait:
            clock.now += wait
        else:
            made += 1
    return made


def test_fingers_may_slip_before_one_waits(throttle: Throttle) -> None:
    assert [throttle.enter("10.0.0.7") for _ in range(FREE_TRIES)] == [0.0] * FREE_TRIES
    assert throttle.enter("10.0.0.7") == pytest.approx(1.0)


def test_the_wait_doubles_up_to_a_minute_and_no_further(throttle: Throttle, clock: Clock) -> None:
    waits = []
    for _ in range(FREE_TRIES + 10):
        wait = throttle.enter("10.0.0.7")
        if wait:
            waits.append(wait)
            clock.now += wait
            assert throttle.enter("10.0.0.7") == 0.0
    assert waits == pytest.approx([1, 2, 4, 8, 16, 32, 60, 60, 60, 60])
    assert max(waits) == LONGEST_WAIT_S


def test_a_lesson_is_not_long_enough_to_guess_a_code(throttle: Throttle, clock: Clock) -> None:
    made = guesses_made(throttle, clock, "10.0.0.7", 3600)
    assert made < 80
    assert made / 21**8 < 1e-8


def test_asking_during_the_wait_does_not_lengthen_it(throttle: Throttle, clock: Clock) -> None:
    for _ in range(FREE_TRIES):
        throttle.enter("10.0.0.7")
    clock.now += 0.9
    assert throttle.enter("10.0.0.7") == pytest.approx(0.1)
    clock.now += 0.11
    assert throttle.enter("10.0.0.7") == 0.0


def test_one_address_does_not_hold_up_another(throttle: Throttle) -> None:
    for _ in range(FREE_TRIES):
        throttle.enter("10.0.0.7")
    assert throttle.enter("10.0.0.7") > 0
    assert throttle.enter("10.0.0.8") == 0.0


def test_many_addresses_together_are_held_up(throttle: Throttle, clock: Clock) -> None:
    for i in range(OVERALL_TRIES):
        assert throttle.enter(f"10.0.{i}.7") == 0.0
    assert throttle.enter("10.1.0.1") == pytest.approx(OVERALL_S)
    clock.now += OVERALL_S
    assert throttle.enter("10.1.0.1") == 0.0


def test_who_knew_the_word_and_the_machine_itself_are_not_held_up_by_others(
    throttle: Throttle,
) -> None:
    throttle.enter("10.2.0.1")
    throttle.succeeded("10.2.0.1")
    for i in range(OVERALL_TRIES):
        throttle.enter(f"10.0.{i}.7")
    assert throttle.enter("10.1.0.1") > 0
    assert throttle.enter("10.2.0.1") == throttle.enter("127.0.0.1") == 0.0


@pytest.mark.parametrize("address", ["127.0.0.1", "::1", "no address at all"])
def test_the_machine_itself_has_to_wait_for_its_own_tries(throttle: Throttle, address: str) -> None:
    for _ in range(FREE_TRIES):
        assert throttle.enter(address) == 0.0
    assert throttle.enter(address) > 0


def test_a_right_word_is_taken_back_from_both_counts(throttle: Throttle) -> None:
    for _ in range(3 * OVERALL_TRIES):
        assert throttle.enter("10.0.0.7") == 0.0
        throttle.succeeded("10.0.0.7")


def test_a_quiet_address_begins_anew(throttle: Throttle, clock: Clock) -> None:
    for _ in range(FREE_TRIES):
        throttle.enter("10.0.0.7")
    clock.now += FORGET_S + 1
    assert [throttle.enter("10.0.0.7") for _ in range(FREE_TRIES)] == [0.0] * FREE_TRIES


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9"),
        ("192.0.2.7", "::ffff:192.0.2.7"),
        ("fe80::1%eth0", "fe80::1"),
    ],
)
def test_the_addresses_of_one_machine_count_together(
    throttle: Throttle, one: str, other: str
) -> None:
    for _ in range(FREE_TRIES):
        throttle.enter(one)
    assert throttle.enter(other) > 0


def test_neighbours_do_not_count_together(throttle: Throttle) -> None:
    for _ in range(FREE_TRIES):
        throttle.enter("2001:db8:1:2::1")
    assert throttle.enter("2001:db8:1:3::1") == 0.0


def test_many_at_once_get_no_more_tries_than_one_after_another(throttle: Throttle) -> None:
    start, passed = threading.Barrier(16), []

    def guess() -> None:
        start.wait()
        passed.append(throttle.enter("10.0.0.7") == 0.0)

    threads = [threading.Thread(target=guess) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(passed) == FREE_TRIES


def test_it_remembers_only_so_many_addresses(throttle: Throttle, clock: Clock) -> None:
    for i in range(MOST_ADDRESSES + 10):
        throttle.enter(f"10.{i // 65536}.{i // 256 % 256}.{i % 256}")
        clock.now += OVERALL_S
    assert len(throttle._by_address) <= MOST_ADDRESSES
