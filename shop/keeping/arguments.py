"""Arguments of the command line that settings depend on. No Django here: it runs before Django."""

import argparse
from collections.abc import MutableMapping, Sequence

from shop.keeping import network

COMMANDS = ("start", "backup", "restore")


def add_data_arguments(parser: argparse.ArgumentParser) -> None:
    """Offer `--data` and `--demo`."""
    parser.add_argument("--data", metavar="DIR", help="the folder that holds the book")
    parser.add_argument(
        "--demo", action="store_true", help="the invented shop, in a folder of its own"
    )


def add_address_arguments(parser: argparse.ArgumentParser) -> None:
    """Offer `--lan`, `--host` and `--port`."""
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--lan", action="store_true", help="open to the local network, over HTTP")
    where.add_argument("--host", metavar="ADDRESS", help="the address to listen on (127.0.0.1)")
    parser.add_argument("--port", type=int, default=8321, help="the port to listen on (8321)")


def take_effect(argv: Sequence[str], environ: MutableMapping[str, str]) -> None:
    """Carry the arguments of our own commands into the variables that `shop.environment` reads.

    `--data DIR` names the folder itself, with `--demo` too (`start` refuses to mix demo and book
    in one folder). `--demo` alone goes beside a folder that `BOLEBOOK_DATA` names.
    """
    if len(argv) < 2 or argv[1] not in COMMANDS:
        return
    parser = argparse.ArgumentParser(add_help=False, allow_abbrev=False, exit_on_error=False)
    add_data_arguments(parser)
    add_address_arguments(parser)
    try:
        given, _others = parser.parse_known_args(argv[2:])
    except argparse.ArgumentError:
        return  # the command's own parser says what is wrong
    if given.data:
        environ["BOLEBOOK_DATA"] = given.data
    elif given.demo and environ.get("BOLEBOOK_DATA"):
        environ["BOLEBOOK_DATA"] = environ["BOLEBOOK_DATA"].rstrip("/\\") + "-demo"
    if given.demo:
        environ["BOLEBOOK_DEMO"] = "true"
    names = network.names_of(network.EVERYWHERE if given.lan else given.host or "")
    if names:
        listed = [environ.get("BOLEBOOK_HOSTS", ""), *names]
        environ["BOLEBOOK_HOSTS"] = ",".join(name for name in listed if name)
