"""Addresses of the machine, and the socket to listen on."""

import socket

import pytest

from shop.keeping import network
from shop.keeping.network import CannotListen


def test_a_free_port_is_listened_on() -> None:
    with (
        network.listen("127.0.0.1", 0) as listener,
        socket.create_connection(listener.getsockname(), timeout=5),
    ):
        pass


def test_a_port_in_use_is_named() -> None:
    with network.listen("127.0.0.1", 0) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(CannotListen, match=f"^Port {port} is in use"):
            network.listen("127.0.0.1", port)


@pytest.mark.parametrize(
    ("host", "port", "sentence"),
    [
        ("192.0.2.1", 0, "192.0.2.1 is not an address of this machine"),
        ("no such host", 0, "no such host is not an address of this machine"),
        ("x" * 300, 0, "is not an address of this machine"),
        ("127.0.0.1", 70000, "70000 is not a port"),
        ("127.0.0.1", -1, "-1 is not a port"),
    ],
)
def test_what_cannot_be_listened_on(host: str, port: int, sentence: str) -> None:
    with pytest.raises(CannotListen, match=sentence):
        network.listen(host, port)


def test_a_machine_on_no_network_has_only_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    def unreachable(*_: object) -> None:
        raise OSError

    monkeypatch.setattr(network.socket.socket, "connect", unreachable)
    monkeypatch.setattr(network.socket, "gethostbyname", unreachable)
    assert network.lan_address() == network.HERE


def test_the_lan_address_can_be_listened_on() -> None:
    with network.listen(network.lan_address(), 0):
        pass


@pytest.mark.parametrize("host", ["0.0.0.0", "::"])  # noqa: S104 (only looked at)
def test_wildcards(host: str) -> None:
    assert network.is_wildcard(host)
    assert not network.is_wildcard("127.0.0.1")
    assert not network.is_wildcard("bench.local")
