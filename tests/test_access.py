"""Everything is the owner's but what is meant for strangers: every address is tried as both."""

import re
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLResolver, get_resolver, reverse

from provenance.cards.models import PrintRun
from provenance.cards.printing import prepare
from provenance.drying.models import Scale, ShopClimate, Weighing, WeighRound
from provenance.maker.models import Jaws
from shop.sales.models import PaymentKind, TaxRate
from tests.factories import a_scribe
from tests.full_shop import FullShop, open_shop

pytestmark = pytest.mark.django_db

#: What a stranger may open, each with the reason.
OPEN = {
    "public:home", "public:find", "public:piece", "public:tree", "public:photo",  # the public side
    "maker:sign_in", "maker:set_up", "maker:demo_door",  # the doors themselves
}  # fmt: skip


def patterns(
    resolver: URLResolver | None = None,
    spaces: tuple[str, ...] = (),
    arguments: tuple[str, ...] = (),
) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """Yield every address: its full name, the names of its arguments, its pattern."""
    for entry in (resolver or get_resolver()).url_patterns:
        wanted = (*arguments, *entry.pattern.converters)
        wanted += tuple(getattr(entry.pattern, "regex", re.compile("")).groupindex)
        wanted = tuple(dict.fromkeys(wanted))
        if isinstance(entry, URLResolver):
            inner = (*spaces, entry.namespace) if entry.namespace else spaces
            yield from patterns(entry, inner, wanted)
        else:
            yield ":".join((*spaces, entry.name or "")), wanted, str(entry.pattern)


def values_for(name: str, shop: FullShop) -> dict[str, object]:
    """The real ids of the full shop, by argument name; `code` is a tree's, piece's or receipt's."""
    if name.startswith("sales:"):
        return {"code": shop.receipt.code, "which": "kinds", "pk": _key(name, shop)}
    trees = ("bench:tree", "public:tree", "pieces:cut_plan", "pieces:cut_blanks")
    is_tree = name.startswith("trees:") or name in trees
    piece = shop.published if name.startswith("public:") else shop.unpublished
    return {
        "code": shop.tree.code if is_tree else piece.code,
        "letter": shop.section.letter,
        "token": shop.photos[0].token if name.startswith(("record:", "public:")) else "nonsense",
        "width": 480,
        "slug": "bigleaf-maple" if name == "trees:wood" else "refinish",
        "which": "forms",
        "month": "2026-06",
        "pk": _key(name, shop),
    }


def _key(name: str, shop: FullShop) -> int:
    if name.startswith("people:") or name == "bench:person":
        return shop.donor.pk
    if "stock" in name:
        return shop.stock.pk
    if "promise" in name:
        return shop.promise.pk
    if name in ("sales:edit_rate", "sales:change_rate"):
        return TaxRate.objects.get().pk
    if name == "sales:take_back":
        return shop.receipt.payments.earliest("pk").pk
    if name == "sales:edit_entry":
        return PaymentKind.objects.get(slug="card").pk
    if name.startswith("commissions:"):
        return shop.commission.pk
    if "jaws" in name:
        return Jaws.objects.get().pk
    if name == "drying:take_back_weighing":
        return Weighing.objects.get(piece=shop.unpublished).pk
    if name.startswith("drying:"):
        return _of_the_shelf(name)
    if name.startswith("cards:"):
        return PrintRun.objects.get().pk
    return 1


def _of_the_shelf(name: str) -> int:
    if "round" in name or name == "drying:turn_to":
        return WeighRound.objects.get().pk
    if "air" in name:
        return ShopClimate.objects.get().pk
    return Scale.objects.get().pk if "scale" in name else 1


def address(name: str, arguments: tuple[str, ...], shop: FullShop) -> str:
    known = values_for(name, shop)
    return reverse(name, kwargs={key: known[key] for key in arguments})


#: What a page cannot do without, and a link to it always carries.
QUERIES = {
    "people:choices": "?role=donor",
    **dict.fromkeys(
        ("pieces:made", "pieces:move_many", "pieces:lose_many", "pieces:hand_over_many",
         "pieces:undo_many"),
        "?piece={0}&codes={0}&slug=refinish",
    ),
}  # fmt: skip

NAMED = [(name, arguments) for name, arguments, _ in patterns() if not name.endswith(":")]


@pytest.fixture
def full_shop() -> FullShop:
    shop = open_shop()
    prepare("booth", [shop.published], a_scribe(shop.owner))
    return shop


def test_a_stranger_is_sent_to_sign_in(full_shop):
    let_in = []
    for name, arguments in NAMED:
        url = address(name, arguments, full_shop)
        for response in (Client().get(url), Client().post(url)):
            goes_to = response.get("Location", "")
            is_sent_away = response.status_code == 302 and goes_to.startswith("/sign-in")
            if is_sent_away == (name in OPEN):
                let_in.append((name, response.status_code, goes_to))
    assert not let_in
    assert len(NAMED) > 100


def test_the_owner_gets_each_page_and_no_cache_keeps_it(full_shop):
    client = Client()
    client.force_login(full_shop.owner)
    wrong = []
    for name, arguments in NAMED:
        url = address(name, arguments, full_shop)
        response = client.get(url + QUERIES.get(name, "").format(full_shop.unpublished.code))
        if response.streaming:
            list(response)  # to its end: the client then closes the file
        is_kept = name not in OPEN and "no-store" not in response["Cache-Control"]
        if response.status_code not in answers_of(name, arguments) or is_kept:
            wrong.append((name, response.status_code, response["Cache-Control"]))
    assert not wrong


def answers_of(name: str, arguments: tuple[str, ...]) -> tuple[int, ...]:
    """Return how an address may answer its owner. 405: a deed that only a form may ask for."""
    if name in ("maker:set_up", "maker:demo_door"):
        return (302, 403, 404, 410)  # used up, or not the demo
    if name in OPEN or (name, arguments) == ("books:month", ()):
        return (200, 302)  # the box sent empty goes back to its page; the month to this month's
    return (200, 405)


def test_a_forged_form_is_refused(full_shop):
    client = Client(enforce_csrf_checks=True)
    client.force_login(full_shop.owner)
    response = client.post(reverse("pieces:publish", args=[full_shop.unpublished.code]))
    assert response.status_code == 403
    full_shop.unpublished.refresh_from_db()
    assert not full_shop.unpublished.is_published


def test_a_fragments_browser_is_sent_to_the_sign_in_page_whole(full_shop):
    response = Client().get(reverse("pieces:pieces"), headers={"HX-Request": "true"})
    assert response.status_code == 204
    assert response["HX-Redirect"].startswith("/sign-in")


def test_every_address_has_a_name_or_is_the_lower_case_of_one():
    unnamed = [text for name, _, text in patterns() if name.endswith(":")]
    assert all("[Pp]" in text or "[Tt]" in text for text in unnamed)
