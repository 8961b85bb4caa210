"""The owner's words are sought in all that a stranger can fetch, and in all that is printed."""

import io
import re

import pypdf
import pytest
from django.test import Client

from provenance.cards.models import PrintRun
from provenance.cards.printing import prepare
from provenance.pieces.models import Piece
from tests.factories import a_scribe
from tests.full_shop import FullShop, open_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def full_shop() -> FullShop:
    return open_shop()


def everything_a_stranger_can_reach(shop: FullShop) -> dict[str, bytes]:
    """Crawl from the pages that codes lead to, and guess at the rest with real ids."""
    client = Client()
    queue = ["/", "/find?number=nonsense", "/sign-in", "/no-such-page"]
    queue += [f"/P/{piece.code}" for piece in Piece.objects.all()] + [f"/T/{shop.tree.code}"]
    queue += [f"/photo/{p.token}-{w}.webp" for p in shop.photos for w in (480, 1600)]
    seen: dict[str, bytes] = {}
    while queue:
        url = queue.pop()
        if url in seen:
            continue
        response = client.get(url, follow=True)
        body = response.content
        seen[url] = body + repr(response.headers).encode()
        if response["Content-Type"].startswith("text/html"):
            links = re.findall(r'(?:href|src|action)="(/[^"#]*)"', body.decode())
            queue += [link for link in links if not link.startswith("/static/")]
    return seen


def test_no_public_page_or_photo_holds_a_private_word(full_shop):
    reached = everything_a_stranger_can_reach(full_shop)
    assert f"/P/{full_shop.published.code}" in reached
    assert sum(b"WEBP" in body[:16] for body in reached.values()) == 4  # two photos, two sizes
    for url, body in reached.items():
        for word in full_shop.sentinels:
            assert word.encode() not in body, f"{word} in {url}"


def test_the_words_would_be_found_where_they_may_stand(full_shop):
    client = Client()
    client.force_login(full_shop.owner)
    pages = b"".join(
        client.get(url).content
        for url in (
            f"/pieces/{full_shop.published.code}/", f"/trees/{full_shop.tree.code}/",
            f"/people/{full_shop.buyer.pk}/",
        )
    )  # fmt: skip
    found = [word for word in full_shop.sentinels if word.encode() in pages]
    assert len(found) > 20


@pytest.mark.parametrize("kind", ["booth", "card", "price-list"])
def test_nothing_printed_for_others_holds_a_private_word(kind, full_shop):
    run: PrintRun = prepare(kind, [full_shop.published], a_scribe(full_shop.owner))
    client = Client()
    client.force_login(full_shop.owner)
    response = client.get(f"/print/{run.pk}/sheet.pdf")
    assert response["Content-Type"] == "application/pdf"
    body = b"".join(response.streaming_content) if response.streaming else response.content
    reader = pypdf.PdfReader(io.BytesIO(body))
    text = "\n".join(page.extract_text() for page in reader.pages) + repr(reader.metadata)
    assert str(full_shop.published.number) in text
    priced = ("76543", "76,543")  # a price is for tags and lists, never for a card
    for word in full_shop.sentinels:
        if kind == "card" or word not in priced:
            assert word not in text
