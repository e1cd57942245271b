"""Guessing made slow: from one address, and from all together."""

from __future__ import annotations

import time
from collections import OrderedDict, deque
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address
from threading import Lock

FREE_TRIES = 5
"""Of one address, before it has to wait: fingers slip."""
LONGEST_WAIT_S = 60.0
FORGET_S = 900.0
"""An address that has been quiet this long begins anew."""
OVERALL_TRIES, OVERALL_S = 60, 60.0
"""So many wrong tries within so many seconds, from whatever addresses."""
MOST_ADDRESSES = 4096


@dataclass
class _Tries:
    wrong: int = 0
    last_s: float = 0.0
    known: bool = False
    """The right word has come from here, or it is the served machine itself."""


class Throttle:
    """Counts wrong tries by address and overall; lives as long as the server, whatever the
    session. After `FREE_TRIES` an address waits 1, 2, 4 … s between tries, never more than
    `LONGEST_WAIT_S`, so that nobody is locked out for good. The machine itself, and an address
    from which the right word has come, are not held up by what others try.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._by_address: OrderedDict[str, _Tries] = OrderedDict()
        self._overall: deque[float] = deque()

    def enter(self, address: str) -> float:
        """Seconds to wait; 0 for a try that may be made now.

        Such a try counts as wrong until `succeeded`, so that many at once are counted too.
        """
        with self._lock:
            now = self._clock()
            tries = self._of(address, now)
            wait = max(self._own_wait(tries, now), 0.0 if tries.known else self._all_wait(now))
            if wait > 0:
                return wait
            tries.wrong, tries.last_s = tries.wrong + 1, now
            self._overall.append(now)
            return 0.0

    def succeeded(self, address: str) -> None:
        """The try was right: take it back, and know the address."""
        with self._lock:
            tries = self._of(address, self._clock())
            tries.wrong, tries.known = 0, True
            if self._overall:
                self._overall.pop()

    def _of(self, address: str, now: float) -> _Tries:
        key = _network(address)
        tries = self._by_address.setdefault(key, _Tries(last_s=now, known=_is_own(key)))
        self._by_address.move_to_end(key)
        if now - tries.last_s > FORGET_S:
            tries.wrong = 0
        if len(self._by_address) > MOST_ADDRESSES:
            self._by_address.popitem(last=False)
        return tries

    def _own_wait(self, tries: _Tries, now: float) -> float:
        if tries.wrong < FREE_TRIES:
            return 0.0
        doublings = min(tries.wrong - FREE_TRIES, 16)
        return tries.last_s + min(2.0**doublings, LONGEST_WAIT_S) - now

    def _all_wait(self, now: float) -> float:
        while self._overall and now - self._overall[0] >= OVERALL_S:
            self._overall.popleft()
        if len(self._overall) < OVERALL_TRIES:
            return 0.0
        return self._overall[0] + OVERALL_S - now


def _network(address: str) -> str:
    """Who is counted together: an IPv4 address, or the 64 leading bits of an IPv6 address,
    behind which one machine may have as many addresses as it likes.
    """
    try:
        ip = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if isinstance(ip, IPv6Address):
        ip = ip.ipv4_mapped or ip
    if isinstance(ip, IPv6Address) and not ip.is_loopback:
        ip = IPv6Address(int(ip) >> 64 << 64)
    return str(ip)


def _is_own(network: str) -> bool:
    try:
        return ip_address(network).is_loopback
    except ValueError:
        return False
