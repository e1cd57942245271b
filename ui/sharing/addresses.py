"""Under which addresses this machine can be reached; found without sending anything."""

from __future__ import annotations

import socket
from ipaddress import IPv4Address, ip_address

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
# An address for documentation (RFC 5737): a datagram socket "connected" to it sends nothing,
# but has to choose by which of this machine's addresses it would.
_ELSEWHERE = ("192.0.2.1", 9)


def own_addresses() -> tuple[str, ...]:
    """This machine's IPv4 addresses on its networks, the one in use first; empty without any."""
    found = [_towards_elsewhere(), *_by_name()]
    return tuple(dict.fromkeys(each for each in found if each and _is_of_a_network(each)))


def to_type(address: str, port: int) -> tuple[str, ...]:
    """What to type into a browser to reach a page that listens on an address."""
    addresses = own_addresses() if address == EVERYWHERE else (address,)
    return tuple(f"http://{each}:{port}" for each in addresses)


def names_of(address: str) -> frozenset[str]:
    """What browsers may call a page that listens on an address."""
    if address != EVERYWHERE:
        at_home = {"localhost"} if address == LOOPBACK else set()
        return frozenset({address.lower()} | at_home)
    name = socket.gethostname().lower()
    short = name.partition(".")[0]
    return frozenset({LOOPBACK, "localhost", name, short, f"{short}.local", *own_addresses()})


def _towards_elsewhere() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as unsent:
        try:
            unsent.connect(_ELSEWHERE)
            return str(unsent.getsockname()[0])
        except OSError:  # no network
            return ""


def _by_name() -> list[str]:
    try:
        return [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)]
    except OSError:  # a name that stands in no table
        return []


def _is_of_a_network(address: str) -> bool:
    ip = ip_address(address)
    return isinstance(ip, IPv4Address) and not (
        ip.is_loopback or ip.is_unspecified or ip.is_link_local
    )
