"""What the tests of the pages for printing share: fetching them and sending their forms."""

import re

from django.test import Client
from django.urls import reverse

from provenance.cards import printing
from provenance.cards.models import PrintRun
from provenance.pieces.models import Piece
from tests.factories import a_scribe, some_pieces

HTMX = {"HX-Request": "true"}
EVERYTHING = {"stage": "", "custody": ""}
#: Counted once: they stay the same however many pieces or runs there are.
QUERIES_TO_CHOOSE = 10
QUERIES_OF_A_RUN = 23
QUERIES_OF_THE_LIST = 9


def choose(client: Client, **query) -> str:
    return client.get(reverse("cards:choose"), query).content.decode()


def prepare(client: Client, **form):
    return client.post(reverse("cards:prepare"), {"kind": "booth", **form})


def make(client: Client, run: PrintRun, **form):
    page = client.get(reverse("cards:run", args=[run.pk])).content.decode()
    [announced] = re.findall(r'name="announced" value="(\d+)"', page)
    shown = {"sheet": run.sheet, "first_cell": run.first_cell, "announced": announced}
    return client.post(reverse("cards:issue", args=[run.pk]), {**shown, **form})


def a_run(pieces: list[Piece] | None = None, kind: str = "booth", **choices) -> PrintRun:
    return printing.prepare(kind, pieces or some_pieces(), a_scribe(), **choices)


def listed(page: str) -> list[str]:
    """The numbers that can be ticked, in order."""
    return re.findall(r'name="piece" value="(\w+)"', page)


def ticked(page: str) -> list[str]:
    return re.findall(r'name="piece" value="(\w+)"[^>]* checked', page)
