"""Furnishes the book in this process's data folder with something of everything."""

import django

django.setup()

from django.conf import settings  # noqa: E402 (once Django is up)

from provenance.cards import printing  # noqa: E402
from tests import factories  # noqa: E402
from tests.full_shop import open_shop  # noqa: E402

full = open_shop()
scribe = factories.a_scribe(full.owner)
for kind in ("booth", "rough-out", "price-list", "card"):
    run = printing.prepare(kind, [full.published, full.unpublished], scribe)
    if kind != "rough-out":
        printing.issue(run, scribe, with_codes=kind == "card")
(settings.DATA / "owner").write_text(full.owner.username, encoding="utf-8")
