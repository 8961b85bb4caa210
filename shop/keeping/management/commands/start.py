"""`manage.py start`: prepare whatever is missing, and serve the shop."""

import io
import sys
from datetime import UTC, datetime
from typing import Any

import qrcode
from django.conf import settings
from django.core.management.base import CommandParser
from django.core.wsgi import get_wsgi_application

from shop.keeping import arguments, folder, network, opening
from shop.keeping.plain_command import PlainCommand
from shop.keeping.serving import Server, stopped_by_signals


class Command(PlainCommand):
    """Serve the shop on this machine; see `--help`."""

    help = "Prepare whatever is missing (folder, secret, tables, static files) and serve the shop."

    def add_arguments(self, parser: CommandParser) -> None:
        """Offer `--data --demo --lan --host --port`."""
        super().add_arguments(parser)
        arguments.add_address_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Run until the system or Ctrl-C asks to end."""
        data = settings.DATA
        folder.prepare(data, demo=settings.DEMO)
        host = network.EVERYWHERE if options["lan"] else options["host"] or network.HERE
        with folder.held(data), network.listen(host, options["port"]) as listener:
            opening.prepare(data, self.say, at=datetime.now(UTC))
            application = get_wsgi_application()
            server = Server(application, listener, trusted_proxy=settings.TRUSTED_PROXY)
            with stopped_by_signals(server):
                self._announce(host, listener.getsockname()[1])
                opening.close_database()
                server.run()
        self.say("Stopped.")

    def _announce(self, host: str, port: int) -> None:
        """Say where the shop is, and how to get in."""
        path, origins = opening.first_page(), _origins(host, port)
        what = "The demo, an invented shop," if settings.DEMO else "Bolebook"
        self.say(f"{what} is open at {origins[0]}/ (records in {settings.DATA})")
        if settings.DEMO:
            self.say("Open this link to look round as its turner:")
        elif "/set-up/" in path:
            self.say("There is no owner yet. Open this link, once, to name the shop:")
        for origin in origins:
            self.say(f"    {origin}{path}")
        if len(origins) > 1 or host not in ("localhost", network.HERE, "::1"):
            self._explain_lan(origins[-1] + path)
        self.say("Ctrl-C stops it.")

    def _explain_lan(self, address: str) -> None:
        """Offer the address to a phone's camera, and say what plain HTTP means."""
        picture = _terminal_qr(address)
        encoding = getattr(sys.stdout, "encoding", None) or "ascii"
        try:
            picture.encode(encoding)
        except UnicodeEncodeError:
            picture = ""
        self.say(f"{picture}Point the phone's camera at the code, or type the address above.")
        self.say(
            "This is plain HTTP: whoever shares the network can read along, the password too. "
            "Use it only on a network you trust."
        )


def _origins(host: str, port: int) -> list[str]:
    """Return the addresses to type: this machine's, then, when open to it, the network's."""
    if network.is_wildcard(host):
        return [f"http://{network.HERE}:{port}", f"http://{network.lan_address()}:{port}"]
    return [f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"]


def _terminal_qr(address: str) -> str:
    """Return the address as a QR code made of half blocks."""
    code = qrcode.QRCode(border=2)
    code.add_data(address)
    drawn = io.StringIO()
    code.print_ascii(out=drawn)
    return drawn.getvalue()
