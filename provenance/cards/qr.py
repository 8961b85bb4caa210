"""The code on cards and tags: what it says, when there can be one, and how it is drawn.

The text is `https://HOST/P/260428`. The scheme stays lower case (some scanners don't know another)
in a byte segment; the rest is capitals in an alphanumeric segment, which QR stores more densely
(ISO/IEC 18004, 7.4). Error correction is level M, the quiet zone four modules (same, 6.3.8).
"""

import ipaddress
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import SplitResult, urlsplit

import qrcode
from qrcode.constants import ERROR_CORRECT_M
from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, QRData
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

QUIET_MODULES = 4
# Measured at 300 dpi: 4 dots to a module read 96–98 % of the time, 4.5 dots and more always.
LEAST_MODULE_MM = 4.5 * 25.4 / 300
MOST_MODULE_MM = 1.2
# Modules are whole dots of a 600 dpi printer, so that all come out equally wide.
DOT_MM = 25.4 / 600

_LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")
# RFC 6762 (.local), RFC 8375 (home.arpa), RFC 6761 and 2606 (.localhost, .test, .invalid), ICANN's
# reservation of .internal; the rest is what home routers hand out.
_LOCAL_ENDINGS = frozenset(
    {"local", "localhost", "localdomain", "lan", "home", "internal", "test", "invalid", "arpa"}
)


def why_no_qr(url: str | None) -> str | None:
    """None when cards can carry a QR code to this public address, else a sentence saying why not.

    The sentence is for the person at the screen; what is printed then goes without a code.
    """
    if url is None or not url.strip():
        return "No QR code is printed, because the shop's public address is not set yet."
    try:
        parts = urlsplit(url.strip())
        port = parts.port
    except ValueError:
        return (
            "No QR code is printed, because the public address can't be read: check its spelling."
        )
    if parts.scheme not in ("http", "https"):
        return "No QR code is printed, because the public address has to begin with https://."
    if parts.path not in ("", "/") or parts.query or parts.fragment or "@" in parts.netloc:
        return (
            "No QR code is printed, because the public address has to be a host alone, "
            "like https://example.org, with nothing behind it."
        )
    if port == 0:
        return "No QR code is printed, because the public address has no usable port."
    return _why_not_host(_host(parts))


def _host(parts: SplitResult) -> str:
    """The host in lower case and in the letters that the name system knows, or ""."""
    host = (parts.hostname or "").rstrip(".")
    try:
        return host if host.isascii() else host.encode("idna").decode("ascii")
    except UnicodeError:
        return ""


def _why_not_host(host: str) -> str | None:
    local = (
        f"No QR code is printed, because {host or 'the public address'} can only be reached from "
        "here, not by a stranger with a phone."
    )
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        pass
    else:
        if not address.is_global:
            return local
        if address.version == 6:  # brackets and colons would need a larger code
            return "No QR code is printed, because the public address has to be a name."
        return None
    labels = host.split(".")
    if not all(_LABEL.fullmatch(label) for label in labels) or len(host) > 253:
        return (
            "No QR code is printed, because the public address can't be read: check its spelling."
        )
    if len(labels) == 1 or labels[-1] in _LOCAL_ENDINGS:
        return local
    if labels[-1].isdigit():
        return (
            "No QR code is printed, because the public address can't be read: check its spelling."
        )
    return None


def usable_public_url(url: str | None) -> str | None:
    """The public address as "https://host" in lower case without a slash behind it, or None."""
    if url is None or why_no_qr(url) is not None:
        return None
    parts = urlsplit(url.strip())
    usual = {"http": 80, "https": 443}[parts.scheme]
    port = f":{parts.port}" if parts.port not in (None, usual) else ""
    return f"{parts.scheme}://{_host(parts)}{port}"


def qr_text(public_url: str, code: str, letter: str = "P") -> str:
    """What the code says of a piece (letter P) or a tree (T): "https://EXAMPLE.ORG/P/260428"."""
    scheme, host = _usable(public_url)
    return f"{scheme}://{host.upper()}/{letter}/{code.upper()}"


def printed_address(public_url: str, code: str, letter: str = "P") -> str:
    """What stands beside the code to be typed: "example.org/p/260428"."""
    return f"{_usable(public_url)[1]}/{letter}/{code}".lower()


def _usable(public_url: str) -> tuple[str, str]:
    usable = usable_public_url(public_url)
    if usable is None:
        raise ValueError(why_no_qr(public_url))
    scheme, host = usable.split("://")
    return scheme, host


@dataclass(frozen=True)
class Symbol:
    """A QR symbol without its quiet zone: rows from the top, True where a module is dark."""

    text: str
    version: int
    rows: tuple[tuple[bool, ...], ...]

    @property
    def modules(self) -> int:
        return len(self.rows)

    @property
    def modules_with_quiet(self) -> int:
        return self.modules + 2 * QUIET_MODULES


def segments(text: str) -> list[tuple[str, str]]:
    """The text as (mode, text) parts: the lower-case scheme as bytes, the rest alphanumeric."""
    scheme, colon, rest = text.partition(":")
    return [("byte", scheme), ("alphanumeric", colon + rest)]


@lru_cache(maxsize=512)
def symbol(text: str) -> Symbol:
    """The smallest QR symbol at level M for a text made by `qr_text`."""
    modes = {"byte": MODE_8BIT_BYTE, "alphanumeric": MODE_ALPHA_NUM}
    code = qrcode.QRCode(error_correction=ERROR_CORRECT_M, border=0)
    for mode, part in segments(text):
        code.add_data(QRData(part.encode("ascii"), mode=modes[mode]))
    code.make(fit=True)
    rows = tuple(tuple(bool(dark) for dark in row) for row in code.get_matrix())
    return Symbol(text, code.version, rows)


def module_mm(modules: int, room_mm: float) -> float | None:
    """The widest module, in whole dots at 600 dpi, with which so many modules fit the room.

    None when it would be too small to be read every time.
    """
    dots = int(min(room_mm / modules, MOST_MODULE_MM) / DOT_MM + 1e-6)
    size = dots * DOT_MM
    return size if size >= LEAST_MODULE_MM - 1e-9 else None


def draw_symbol(canvas: Canvas, code: Symbol, x: float, top: float, module: float) -> None:
    """Fill the symbol as one path; x and top (points) are its own corner, without quiet zone."""
    path = canvas.beginPath()
    for row_index, row in enumerate(code.rows):
        y = top - (row_index + 1) * module
        for start, length in _runs(row):
            path.rect(x + start * module, y, length * module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def _runs(row: Sequence[bool]) -> list[tuple[int, int]]:
    """(start, length) of each run of dark modules."""
    runs: list[tuple[int, int]] = []
    for index, dark in enumerate(row):
        if dark and runs and sum(runs[-1]) == index:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((index, 1))
    return runs


@dataclass(frozen=True)
class SizedSymbol:
    """A symbol with the width of its modules settled (points), and the address printed by it."""

    symbol: Symbol
    module: float
    address: str

    @property
    def body(self) -> float:
        """Side of the symbol without quiet zone."""
        return self.symbol.modules * self.module

    @property
    def quiet(self) -> float:
        """Width of the quiet zone on each side."""
        return QUIET_MODULES * self.module

    def draw(self, canvas: Canvas, x: float, top: float) -> None:
        """Draw it with the corner of the body at (x, top)."""
        draw_symbol(canvas, self.symbol, x, top, self.module)


def sized_symbol(public_url: str | None, code: str, room_mm: float) -> SizedSymbol | None:
    """The symbol of a piece as large as the room (its quiet zone included) allows.

    None without a usable public address or a code, or where its modules would be too small to read.
    """
    if not code or public_url is None or usable_public_url(public_url) is None:
        return None
    made = symbol(qr_text(public_url, code))
    width = module_mm(made.modules_with_quiet, room_mm)
    if width is None:
        return None
    return SizedSymbol(made, width * mm, printed_address(public_url, code))
