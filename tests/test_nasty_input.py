"""Whatever is typed or pasted into a form or an address is answered, never a fault of ours.

Every page that the owner can reach is fetched, every form on it is sent with nasty values, and
every address gets nasty parameters. What one database lets pass and the other refuses (NUL bytes,
numbers beyond 64 bits) is caught on either.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from http.cookies import SimpleCookie
from itertools import cycle
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit

import pytest
from django.db import connection, transaction
from django.test import Client

from provenance.cards.printing import prepare
from tests.factories import a_scribe
from tests.full_shop import FullShop, open_shop
from tests.test_access import NAMED, QUERIES, address

# On SQLite alone: `strict_database` refuses there what only PostgreSQL would.
pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]

MARKUP = "'\"><script>alert(1)</script>&{{ shop }}{% now %}%s{0}"
#: NUL, surrogates (no decent browser sends them), emoji, marks that turn the line, lines, markup.
MIXTURE = (
    "a\0b \ud800\udfff \U0001f4a5 \u202e\u200b\u2028 \r\nLocation: //evil.example.org " + MARKUP
)
#: For every field at once.
COARSE = (MIXTURE, "x" * 10_000, "9" * 5000, "9" * 18, "-1", "0001-01-01", "9999-12-31")
#: For every parameter of an address.
PASTED = (*COARSE, "//evil.example.org/\\", "((((*+?[a-\\", "\u0663\u00b2\u215d")
#: For one field after the other.
NASTY = (
    *PASTED,
    "9" * 20,  # more than 64 bits; above, 18 figures are fewer, 5000 more than Python reads
    "1e999999",
    "NaN",
    "\U0001f4a5" * 60,
    "../../../etc/passwd",
)
#: Forms that do their work as the shop fills them in: a nasty value then meets all that they do.
MOVES_MONEY = {
    "/sales/R#-#/pay/",
    "/sales/R#-#/refund/",
    "/sales/R#-#/void/",
    *(f"/commissions/#/{deed}/" for deed in ("hand-over", "call-off", "deposit", "give-back")),
}
FREE = {"text", "search", "number", "date", "email", "tel", "url", "password", "textarea"}


@dataclass
class Form:
    """A form of a page: where it goes, and what it would send as it stands."""

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)
    free: list[str] = field(default_factory=list)

    @property
    def likeness(self) -> tuple[str, ...]:
        """The same for the same form of another piece, tree or person."""
        names = {re.sub(r"^.*-", "", name) for name in self.values}
        return (_likeness(urlsplit(self.action).path), *sorted(names))


def _likeness(url: str) -> str:
    """The address without what only says which piece, tree, photo or cause is meant."""
    url = re.sub(r"(/photos/|/causes/)(?!add/)[\w-]+", r"\1#", url)
    return re.sub(r"T?[0-9]+X?", "#", url)


class Forms(HTMLParser):
    """Finds the forms and the links of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page = page
        self.found: list[Form] = []
        self.links: list[str] = []
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = {name: value or "" for name, value in attrs}
        if tag == "a" and known.get("href", "").startswith(("/", "?")):
            self.links.append(urljoin(self.page, known["href"]))
        elif tag == "form":
            action = urljoin(self.page, known.get("action") or self.page)
            self.found.append(Form(action, known.get("method", "get").lower()))
        elif tag == "option" and self._select and known.get("value"):
            if "selected" in known or not self.found[-1].values[self._select]:
                self.found[-1].values[self._select] = known["value"]
        elif tag in ("input", "select", "textarea") and known.get("name") and self.found:
            self._field(tag, known)

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""

    def _field(self, tag: str, known: dict[str, str]) -> None:
        form, name = self.found[-1], known["name"]
        kind = known.get("type", "text") if tag == "input" else tag
        if tag == "select":
            self._select = name
            form.values[name] = ""
        elif name.endswith("-gone"):
            return  # a line taken away is not looked at
        elif kind in ("radio", "checkbox"):
            if "checked" in known or not form.values.get(name):
                form.values[name] = known.get("value") or "on"
        elif kind != "file":
            form.values[name] = known.get("value", "") or ("1" if "required" in known else "")
        if kind in FREE:
            form.free.append(name)


@contextmanager
def strict_database() -> Iterator[None]:
    """Refuse on either database what only one of them refuses."""

    def look(execute, sql, params, many, context):
        for row in params or () if many else (params or (),):
            for value in row.values() if isinstance(row, dict) else row:
                assert not (isinstance(value, str) and "\0" in value), f"a NUL: {sql[:200]}"
                assert not (isinstance(value, int) and abs(value) >= 2**63), f"huge: {sql[:200]}"
        return execute(sql, params, many, context)

    with connection.execute_wrapper(look):
        yield


class Visitor:
    """A browser that undoes what it did, and writes down what broke."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.broken: list[str] = []
        self.status = 0

    def get(self, url: str, pairs: dict[str, str] | None = None) -> str:
        """Return the page, '' where there is none."""
        query = urlencode(pairs or {}, errors="surrogatepass")
        asked = f"{url}{'&' if '?' in url else '?'}{query}"
        return self._ask(f"GET {asked[:200]}", "get", asked)

    def send(self, form: Form, values: dict[str, str], said: str) -> int:
        """Send a form and take back what it did. Return the answer's status, 0 for none."""
        body = urlencode(values, errors="surrogatepass")
        if form.method == "post":
            kind = "application/x-www-form-urlencoded"
            self._ask(f"POST {form.action} {said}", "post", form.action, body, content_type=kind)
        else:
            self._ask(f"GET {form.action} {said}", "get", f"{urlsplit(form.action).path}?{body}")
        return self.status

    def _ask(self, said: str, method: str, *args: str, **options: str) -> str:
        self.status = 0
        cookies = SimpleCookie({name: one.value for name, one in self.client.cookies.items()})
        try:
            with transaction.atomic(), strict_database():
                response = getattr(self.client, method)(*args, **options)
                page = _read(response)
                self._judge(said, response, page)
                transaction.set_rollback(True)
        except Exception as error:
            self.broken.append(f"{said}: {type(error).__name__}: {str(error)[:300]}")
            page = ""
        self.client.cookies = cookies
        return page

    def _judge(self, said: str, response: Any, page: str) -> None:
        self.status = response.status_code
        if response.status_code >= 500:
            self.broken.append(f"{said}: {response.status_code}")
        if "<script>alert" in page:
            self.broken.append(f"{said}: its markup came back as markup")
        if "evil" in urlsplit(response.get("Location", "")).netloc:
            self.broken.append(f"{said}: sent away to {response['Location']}")


def _read(response: Any) -> str:
    content = b"".join(response.streaming_content) if response.streaming else response.content
    return content.decode(errors="replace") if "html" in response["Content-Type"] else ""


@pytest.fixture
def full_shop() -> FullShop:
    shop = open_shop()
    prepare("booth", [shop.published], a_scribe(shop.owner))
    return shop


@pytest.fixture
def owner(full_shop: FullShop) -> Visitor:
    client = Client()
    client.force_login(full_shop.owner)
    return Visitor(client)


def addresses(shop: FullShop) -> list[str]:
    """Every address of the shop with real ids, and the query that it cannot do without."""
    query = [QUERIES.get(name, "").format(shop.unpublished.code) for name, _ in NAMED]
    return [address(*named, shop) + asked for named, asked in zip(NAMED, query, strict=True)]


def forms_of(visitor: Visitor, shop: FullShop) -> list[Form]:
    """Every form of the book, one of each likeness: named addresses, and where they link to."""
    seen: set[str] = set()
    forms: dict[tuple[str, ...], Form] = {}
    ahead = addresses(shop)
    while ahead:
        url = ahead.pop(0)
        kind = _likeness(url)
        if kind in seen or "/static/" in url:
            continue
        seen.add(kind)
        page = Forms(url)
        page.feed(visitor.get(url))
        ahead += page.links
        for form in page.found:
            forms.setdefault((form.method, *form.likeness), form)
    return list(forms.values())


def parameters() -> list[str]:
    """The names of all parameters that a view reads from an address or a form by hand."""
    read = re.compile(r'(?:GET|POST|query|params|sent|data)\.(?:get|getlist)\(\s*"(\w+)"')
    files = [path for room in ("provenance", "shop") for path in Path(room).rglob("*.py")]
    names = {name for path in files for name in read.findall(path.read_text(encoding="utf-8"))}
    return sorted(names | {"piece", "codes", "page", "find"})


def test_no_form_breaks_when_every_field_holds_something_nasty(owner, full_shop):
    forms = forms_of(owner, full_shop)
    assert len(forms) > 40
    for form in forms:
        for nasty in COARSE if form.free else ():
            owner.send(form, {**form.values, **dict.fromkeys(form.free, nasty)}, ascii(nasty)[:40])
    assert not owner.broken, "\n".join(owner.broken)


def test_no_form_breaks_when_one_field_of_a_good_form_holds_something_nasty(owner, full_shop):
    values = cycle(NASTY)
    forms = forms_of(owner, full_shop)
    taken = {_likeness(form.action) for form in forms if _is_taken(owner, form)}
    assert taken >= MOVES_MONEY, MOVES_MONEY - taken
    for form in forms:
        for name in form.values:
            nasty = next(values)
            owner.send(form, {**form.values, name: nasty}, f"{name}={ascii(nasty)[:40]}")
    assert not owner.broken, "\n".join(owner.broken)


def _is_taken(visitor: Visitor, form: Form) -> bool:
    """Return whether a form of money does its work as it stands."""
    is_asked = _likeness(form.action) in MOVES_MONEY
    return is_asked and visitor.send(form, form.values, "as it stands") == 302


@pytest.mark.parametrize("who", ["owner", "stranger"])
def test_no_address_breaks_whatever_its_parameters(who, owner, full_shop):
    visitor = owner if who == "owner" else Visitor(Client())
    names = parameters()
    assert {"page", "tree", "next", "back", "figure", "key"} <= set(names)
    for url in addresses(full_shop):
        given = dict(part.split("=") for part in urlsplit(url).query.split("&") if part)
        for nasty in PASTED:
            visitor.get(urlsplit(url).path, dict.fromkeys(names, nasty))
            if given:
                visitor.get(urlsplit(url).path, {**dict.fromkeys(names, nasty), **given})
    assert not visitor.broken, "\n".join(visitor.broken)


def test_no_address_breaks_whatever_stands_in_its_path(owner, full_shop):
    strange = ["%00", "%ED%A0%80", "9" * 30, "9" * 5000, "%F0%9F%92%A5", "..%2f..%2f", "%0d%0aX:y"]
    for url in {urlsplit(url).path for url in addresses(full_shop)}:
        parts = url.split("/")
        for place, part in enumerate(parts):
            for odd in strange if part else ():
                owner.get("/".join([*parts[:place], odd, *parts[place + 1 :]]))
    assert not owner.broken, "\n".join(owner.broken)
