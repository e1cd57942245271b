"""Under which addresses the machine can be reached."""

from __future__ import annotations

import socket
from ipaddress import IPv4Address
from typing import NoReturn

import pytest

from ui.sharing.addresses import EVERYWHERE, LOOPBACK, names_of, own_addresses, to_type


def test_they_are_this_machines_and_none_leads_back_to_itself() -> None:
    for address in own_addresses():
        with socket.socket() as own:
            own.bind((address, 0))  # fails for an address that is not this machine's
        assert not IPv4Address(address).is_loopback


def test_a_machine_on_no_network_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_network(*_: object) -> NoReturn:
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr("socket.getaddrinfo", no_network)
    monkeypatch.setattr("ui.sharing.addresses._towards_elsewhere", lambda: "")
    assert own_addresses() == () and to_type(EVERYWHERE, 8501) == ()
    assert {LOOPBACK, "localhost"} <= names_of(EVERYWHERE)


def test_one_address_is_called_by_its_own_names_alone() -> None:
    assert names_of(LOOPBACK) == {LOOPBACK, "localhost"}
    assert names_of("192.0.2.7") == {"192.0.2.7"}
    assert to_type("192.0.2.7", 8501) == ("http://192.0.2.7:8501",)


def test_finding_them_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only datagram sockets are opened, and nothing is written to them."""
    kinds: list[int] = []
    real = socket.socket

    class Watched(real):  # type: ignore[valid-type,misc]
        def __init__(self, family: int = socket.AF_INET, kind: int = socket.SOCK_STREAM) -> None:
            kinds.append(kind)
            super().__init__(family, kind)

        def send(self, *_: object) -> NoReturn:
            raise AssertionError("something was sent")

        sendto = sendall = send

    monkeypatch.setattr("socket.socket", Watched)
    own_addresses()
    assert set(kinds) == {socket.SOCK_DGRAM}
