"""The server finishes what it has begun."""

import http.client
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from shop.keeping import network, serving
from shop.keeping.serving import Server

Start = Callable[[str, list[tuple[str, str]]], Any]


@contextmanager
def running(application: Callable[..., Any], **options: Any) -> Iterator[tuple[Server, int]]:
    """Serve on a thread; stop at the end."""
    listener = network.listen("127.0.0.1", 0)
    server = Server(application, listener, **options)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield server, listener.getsockname()[1]
    finally:
        server.stop()
        thread.join(40)
        assert not thread.is_alive()


def slow(environ: dict[str, Any], start: Start) -> list[bytes]:
    """Answer after a while, with what was sent."""
    time.sleep(1)
    body = environ["wsgi.input"].read()
    start("200 OK", [("Content-Length", str(5 + len(body)))])
    return [b"done ", body]


def who(environ: dict[str, Any], start: Start) -> list[bytes]:
    """Tell who asked, and how."""
    start("200 OK", [])
    told = [environ["REMOTE_ADDR"], environ["wsgi.url_scheme"], environ.get("HTTP_HOST", "")]
    return [" ".join(told).encode()]


def ask(port: int, **headers: str) -> bytes:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request("GET", "/", headers=named)
    answer = connection.getresponse().read()
    connection.close()
    return answer


@pytest.mark.processes
def test_requests_under_way_and_waiting_are_answered_after_stop() -> None:
    """Ten requests for four threads: some run, some wait in the queue when the stop comes."""
    answers: list[bytes] = []
    with running(slow) as (server, port):
        askers = [threading.Thread(target=lambda: answers.append(ask(port))) for _ in range(10)]
        for asker in askers:
            asker.start()
        time.sleep(0.5)
        server.stop()
        for asker in askers:
            asker.join(30)
    assert answers == [b"done "] * 10


@pytest.mark.processes
def test_a_body_still_arriving_is_waited_for() -> None:
    head = b"POST / HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 8\r\n\r\n"
    with running(slow) as (server, port):
        sender = socket.create_connection(("127.0.0.1", port), timeout=30)
        sender.sendall(head + b"half")
        time.sleep(0.3)
        server.stop()
        time.sleep(0.8)
        sender.sendall(b"half")
        answer = b"".join(iter(lambda: sender.recv(65536), b""))
        sender.close()
    assert answer.endswith(b"done halfhalf")


@pytest.mark.processes
def test_idle_connections_do_not_hold_the_stop_up() -> None:
    with running(who) as (_server, port):
        idle = socket.create_connection(("127.0.0.1", port), timeout=5)
        time.sleep(0.2)
        begun = time.monotonic()
    assert time.monotonic() - begun < 3
    assert idle.recv(1) == b""
    idle.close()


@pytest.mark.processes
def test_who_never_finishes_is_not_waited_for_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "DRAIN_SECONDS", 1)
    with running(who) as (_server, port):
        sender = socket.create_connection(("127.0.0.1", port), timeout=5)
        sender.sendall(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 8\r\n\r\nhalf")
        time.sleep(0.2)
        begun = time.monotonic()
    assert time.monotonic() - begun < 4
    sender.close()


def test_forwarded_headers_count_from_the_trusted_proxy_only() -> None:
    forwarded = {"X_Forwarded_For": "192.0.2.7", "X_Forwarded_Proto": "https", "Host": "a.example"}
    with running(who) as (_server, port):
        assert ask(port, **forwarded) == b"127.0.0.1 http a.example"
    with running(who, trusted_proxy="127.0.0.1") as (_server, port):
        assert ask(port, **forwarded) == b"192.0.2.7 https a.example"
        assert ask(port, X_Forwarded_Host="evil.example", Host="a.example").endswith(b"a.example")
    with running(who, trusted_proxy="192.0.2.1") as (_server, port):
        assert ask(port, **forwarded) == b"127.0.0.1 http a.example"


def test_the_server_does_not_name_itself_and_takes_no_huge_body() -> None:
    with running(who) as (_server, port):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", "/")
        answer = connection.getresponse()
        answer.read()
        assert answer.getheader("Server") is None
        connection.putrequest("POST", "/")
        connection.putheader("Content-Length", str(70 * 1024**2))
        connection.endheaders()
        assert connection.getresponse().status == 413
        connection.close()
