"""The addresses of this machine, and the socket that the shop listens on."""

import errno
import ipaddress
import socket

EVERYWHERE = "0.0.0.0"  # noqa: S104 (only when the owner says --lan)
HERE = "127.0.0.1"
# A documentation address (RFC 5737): asking the way there sends nothing, but names our side of it.
SOMEWHERE = ("192.0.2.1", 9)


class CannotListen(Exception):
    """The address or port is not to be had. `str(error)` is one sentence."""


def lan_address() -> str:
    """Return this machine's address on the local network; 127.0.0.1 when it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(SOMEWHERE)
            return str(probe.getsockname()[0])
        except OSError:
            pass
    try:
        return socket.gethostbyname(socket.gethostname())
    except OSError:
        return HERE


def is_wildcard(host: str) -> bool:
    """Return whether `host` stands for every address of the machine."""
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False


def names_of(host: str) -> list[str]:
    """Return the names under which a browser may ask for a server that listens on `host`."""
    if not host or host == HERE:
        return []
    if not is_wildcard(host):
        return [f"[{host}]" if ":" in host else host]
    machine = socket.gethostname().split(".")[0].lower()
    local = [machine, f"{machine}.local"] if machine.replace("-", "").isalnum() else []
    return [lan_address(), *local]


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens; raise `CannotListen` with a sentence when it can't be had."""
    if not 0 <= port <= 65535:
        raise CannotListen(f"{port} is not a port: choose one from 1 to 65535 with --port.")
    try:
        family, kind, proto, _name, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except (OSError, UnicodeError) as error:
        raise CannotListen(f"{host} is not an address of this machine.") from error
    listener = socket.socket(family, kind, proto)
    # Elsewhere, without this a port stays taken for a minute after a stop; on Windows it would
    # let two programs share one port.
    exclusive = getattr(socket, "SO_EXCLUSIVEADDRUSE", None)
    listener.setsockopt(socket.SOL_SOCKET, exclusive or socket.SO_REUSEADDR, 1)
    try:
        listener.bind(address)
        listener.listen(1024)
    except OSError as error:
        listener.close()
        raise CannotListen(_why(error, host, port)) from error
    return listener


def _why(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"Port {port} is in use by another program: choose another with --port."
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"Port {port} is not yours to open: choose one above 1023 with --port."
    return f"{host} is not an address of this machine."
