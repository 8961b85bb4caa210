"""The web server: waitress, tuned for one shop, that finishes what it has begun before it stops."""

import select
import signal
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Any

from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.server import create_server

DRAIN_SECONDS = 30
# Time for what has reached this machine, but not yet the server, to show up.
SETTLE_SECONDS = 0.3
# Measured under slow and idle clients: as shipped, waitress stood still for 45 s under 150 idle
# connections and took in any size of body.
TUNING = {
    "threads": 4,
    # Forms above 32 MiB are refused by shop.keeping.middleware, in words; this is the end of it.
    "max_request_body_size": 64 * 1024 * 1024,
    "channel_timeout": 30,
    # Without poll(), on Windows, select() takes 512 at most.
    "connection_limit": 1000 if hasattr(select, "poll") else 400,
    "asyncore_use_poll": True,
    "ident": None,
}


class Server:
    """Serves one application on one socket until it is told to stop."""

    def __init__(
        self, application: Callable[..., Any], listener: socket.socket, *, trusted_proxy: str = ""
    ) -> None:
        proxy: dict[str, Any] = {"clear_untrusted_proxy_headers": True}
        if trusted_proxy:
            # Not the forwarded host: the proxy is told to hand on the browser's own.
            headers = {"x-forwarded-for", "x-forwarded-proto"}
            proxy |= {"trusted_proxy": trusted_proxy, "trusted_proxy_headers": headers}
        self._map: dict[int, Any] = {}
        self._server = create_server(
            application, map=self._map, sockets=[listener], **TUNING, **proxy
        )
        self._stopping = False

    def run(self) -> None:
        """Serve until `stop`, then answer what was asked; at most 30 s more."""
        while not self._stopping:
            self._turn(1.0)
        self._close_the_door()
        begun = time.monotonic()
        while (age := time.monotonic() - begun) < DRAIN_SECONDS:
            if age > SETTLE_SECONDS and not self._busy():
                break
            self._turn(0.05)
        self._server.task_dispatcher.shutdown(cancel_pending=True, timeout=1)
        wasyncore.close_all(self._map)

    def stop(self, *_: object) -> None:
        """Ask `run` to end; safe from a signal handler and from other threads."""
        self._stopping = True
        with suppress(OSError):  # it has stopped already
            self._server.pull_trigger()

    def _close_the_door(self) -> None:
        """Let in who stands at the door already, then nobody more."""
        while select.select([self._server.socket.fileno()], [], [], 0)[0]:
            self._server.handle_accept()
        self._server.accepting = False
        self._server.del_channel()
        self._server.socket.close()

    def _turn(self, seconds: float) -> None:
        wasyncore.loop(timeout=seconds, map=self._map, count=1, use_poll=True)

    def _busy(self) -> bool:
        """Whether a request is arriving, being answered, or on its way out."""
        return any(
            channel.requests or channel.total_outbufs_len or channel.request is not None
            for channel in list(self._map.values())
            if isinstance(channel, HTTPChannel)
        )


@contextmanager
def stopped_by_signals(server: Server) -> Iterator[None]:
    """Let Ctrl-C and the system's request to end stop the server in order."""

    def handle(_number: int, _frame: FrameType | None) -> None:
        server.stop()

    numbers = [signal.SIGINT, signal.SIGTERM]
    if hasattr(signal, "SIGBREAK"):
        numbers.append(signal.SIGBREAK)
    before = {number: signal.signal(number, handle) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
