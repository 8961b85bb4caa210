"""The pages on which pieces are made and old ones entered."""

import uuid
from typing import Any

import pytest
from django.test import Client

from provenance.people.models import Person
from provenance.pieces import making
from provenance.pieces.making import Past
from provenance.pieces.models import Custody, Edge, Finish, Form, LossCause, Piece, Stage
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db
MAKE = "/pieces/make/"
OLD = "/pieces/enter-old/"


def sent(*rows: dict[str, Any], **typed: Any) -> dict[str, Any]:
    """What the browser sends: the form's answers and its rows for parts."""
    data: dict[str, Any] = {
        "token": str(uuid.uuid4()),
        "form": Form.objects.get(slug="bowl").pk,
        "method": "twice",
        "count": 1,
        "happened": "2026",
        "parts-TOTAL_FORMS": len(rows),
        "parts-INITIAL_FORMS": 0,
        **typed,
    }
    for n, row in enumerate(rows):
        data |= {f"parts-{n}-{name}": value for name, value in {"role": "whole", **row}.items()}
    return data


def test_a_run_is_made_and_its_numbers_are_shown_to_write_on_the_wood(owner_client: Client) -> None:
    section = factories.a_section()
    row = {"source": f"section:{section.pk}", "uses_up": "on"}
    edge = Edge.objects.get(slug="natural")
    typed = sent(row, count=3, stored="shelf 2", edge=edge.pk, grain="side", words="From the top.")
    page = owner_client.post(MAKE, typed, follow=True).content.decode()
    pieces = Piece.objects.order_by("pk")
    assert [p.number.sequence for p in pieces] == [1, 2, 3]
    assert all(str(piece) in page for piece in pieces)
    assert f"kind=rough-out&amp;codes={','.join(p.code for p in pieces)}" in page
    first = pieces[0]
    assert (first.edge, first.grain, first.stored) == (edge, "side", "shelf 2")
    assert first.stage_when == PartialDate("2026")
    section.refresh_from_db()
    assert section.state == "used-up"


@pytest.mark.parametrize(("use", "kept"), [("", "food"), ("display", "display")])
def test_what_it_is_made_for_is_asked_or_usual_for_its_form(
    owner_client: Client, use: str, kept: str
) -> None:
    bowl = Form.objects.get(slug="salad-bowl")
    owner_client.post(MAKE, sent({"source": "unknown"}, form=bowl.pk, use=use))
    assert Piece.objects.get().use == kept


def test_an_older_pieces_wood_may_be_told_in_words(owner_client: Client) -> None:
    bowl = Form.objects.get(slug="bowl")
    piece = making.enter_old(
        factories.a_scribe(), bowl, "single", Past("finished", {}), wood_words="elm, Dad's garden"
    )
    assert piece.what == "Bowl in elm, Dad's garden"
    assert "elm, Dad&#x27;s garden" in owner_client.get(f"/P/{piece.code}").content.decode()


def test_the_form_sent_twice_makes_one_run(owner_client: Client) -> None:
    typed = sent({"source": "unknown"}, count=2)
    first = owner_client.post(MAKE, typed)
    second = owner_client.post(MAKE, typed)
    assert first["Location"] == second["Location"]
    assert Piece.objects.count() == 2


def test_an_emptied_day_is_not_today(owner_client: Client) -> None:
    owner_client.post(MAKE, sent({"source": "unknown"}, happened=""))
    assert Piece.objects.get().stage_when is None


def test_the_address_says_where_the_wood_comes_from(owner_client: Client) -> None:
    section, stock, piece = factories.a_section(), factories.some_stock(), factories.a_piece()
    for query, chosen in (
        (f"section={section.pk}", f'value="section:{section.pk}" selected'),
        (f"stock={stock.pk}", f'value="stock:{stock.pk}" selected'),
        (f"piece={piece.code}", 'value="piece" selected'),
        (f"tree={section.tree.code}", f'value="section:{section.pk}" selected'),
        ("section=x&tree=T", 'value="" selected'),
    ):
        assert chosen in owner_client.get(f"{MAKE}?{query}").content.decode(), query
    assert (
        f'value="{piece.code}"' in owner_client.get(f"{MAKE}?piece={piece.code}").content.decode()
    )


def test_a_vase_of_two_parts_is_made_without_a_script(owner_client: Client) -> None:
    body, neck = factories.a_section(), factories.a_section()
    rows = (
        {"source": f"section:{body.pk}", "role": "body"},
        {"source": "", "role": "inlay"},
        {"source": f"section:{neck.pk}", "role": "neck"},
    )
    owner_client.post(MAKE, sent(*rows))
    assert list(Piece.objects.get().parts.values_list("role", "section")) == [
        ("body", body.pk),
        ("neck", neck.pk),
    ]


def test_one_more_part_can_be_asked_for_and_nothing_is_lost(owner_client: Client) -> None:
    typed = sent({"source": "unknown"}, {"source": "", "role": "neck"}, words="Keep me", count="x")
    page = owner_client.post(MAKE, {**typed, "add_part": "1"})
    text = page.content.decode()
    assert 'name="parts-TOTAL_FORMS" value="3"' in text
    assert "Keep me" in text
    assert 'value="unknown" selected' in text
    assert typed["token"] in text
    assert "Not saved yet" not in text
    assert not Piece.objects.exists()
    many = {**typed, "parts-TOTAL_FORMS": "99999999", "add_part": "1"}
    assert 'name="parts-TOTAL_FORMS" value="12"' in owner_client.post(MAKE, many).content.decode()
    nonsense = {**typed, "parts-TOTAL_FORMS": "²", "add_part": "1"}
    assert owner_client.post(MAKE, nonsense).status_code == 200


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([{"source": ""}], "Say where the wood comes from"),
        ([{"source": "unknown"}, {"source": "unknown"}], "only a ring or an inlay"),
        ([{"source": "unknown"}, {"source": "unknown", "role": "neck"}], "only a ring or an inlay"),
        ([{"source": "piece", "number": "26-042-3"}], "check the last character"),
        ([{"source": "", "number": "26-042-8"}], "no piece in the book has it"),
        ([{"source": "section:999"}], "Select a valid choice"),
    ],
)
def test_unclear_wood_is_refused_in_a_sentence(
    owner_client: Client, rows: list[dict[str, Any]], sentence: str
) -> None:
    page = owner_client.post(MAKE, sent(*rows)).content.decode()
    assert sentence in page
    assert not Piece.objects.exists()


def test_a_whole_piece_may_have_an_inlay(owner_client: Client) -> None:
    owner_client.post(MAKE, sent({"source": "unknown"}, {"source": "unknown", "role": "inlay"}))
    assert Piece.objects.get().parts.count() == 2


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"count": 201}, "Enter 200 or less."),
        ({"count": 0}, "Enter 1 or more."),
        ({"happened": "3/4/2023"}, "3/4/2023"),
        ({"happened": "2999"}, "still to come"),
        ({"form": ""}, "Choose one."),
    ],
)
def test_what_cannot_be_is_refused_and_kept_as_typed(
    owner_client: Client, typed: dict[str, Any], sentence: str
) -> None:
    page = owner_client.post(MAKE, sent({"source": "unknown"}, words="Kept", **typed))
    assert sentence in page.content.decode()
    assert "Kept" in page.content.decode()
    assert not Piece.objects.exists()


def test_a_refusal_of_the_record_comes_back_on_the_page(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    from provenance.pieces import making

    def refuse(*_: Any, **__: Any) -> None:
        raise making.NoSource("No wood.")

    monkeypatch.setattr(making, "make", refuse)
    monkeypatch.setattr(making, "enter_old", refuse)
    assert "No wood." in owner_client.post(MAKE, sent({"source": "unknown"})).content.decode()
    old = sent({"source": "unknown"}, stage="finished", custody="shop")
    assert "No wood." in owner_client.post(OLD, old).content.decode()


def test_nothing_made_leads_to_the_list(owner_client: Client) -> None:
    assert owner_client.get("/pieces/made/?codes=260428")["Location"] == "/pieces/"


def test_an_old_piece_is_entered_with_its_mark_its_days_and_its_owner(owner_client: Client) -> None:
    typed = sent(
        {"source": "unknown"},
        stage="finished",
        old_mark="GL 14/2",
        turned="2009",
        done="about 2011",
        finish=Finish.objects.get(slug="walnut-oil").pk,
        custody="buyer",
        holder_name="Nell Quill",
        since="2012",
        diameter_mm="210",
        price_minor="90",
    )
    owner_client.post(OLD, typed)
    owner_client.post(OLD, typed)
    piece = Piece.objects.get()
    assert (piece.old_mark, piece.stage, piece.diameter_mm) == ("GL 14/2", Stage.FINISHED, 210)
    assert piece.price_minor == 9000
    assert piece.custody is not None
    assert piece.custody.holder is not None
    assert (piece.custody.kind, piece.custody.holder.name) == (Custody.Kind.BUYER, "Nell Quill")
    moves = dict(piece.journal.entries.filter(kind="moved").values_list("move", "happened"))
    assert moves["rough"] == PartialDate("2009")
    assert moves["finish"] == PartialDate("2011~")
    assert moves["call-dry"] is None
    assert piece.finishes.standing().get().last_coat is None


def test_an_old_pieces_wood_is_unknown_until_somebody_says_so(owner_client: Client) -> None:
    page = owner_client.get(OLD)
    assert page.context["first_part"]["source"].value() == "unknown"
    answer = owner_client.post(OLD, sent({"source": "unknown"}, method="", stage="dry"))
    assert "Choose one." in answer.content.decode()


def test_an_old_loss_is_entered_with_its_cause(owner_client: Client) -> None:
    cause = LossCause.objects.get(slug="insects")
    typed = sent(
        {"source": "unknown"}, stage="lost", custody="shop", loss_cause=cause.pk, lost="2010"
    )
    owner_client.post(OLD, typed)
    assert Piece.objects.get().stage_when == PartialDate("2010")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"stage": "lost"}, "“not known” is an answer"),
        ({"stage": "dry", "lost": "2010"}, "choose “lost” as its stage"),
        ({"stage": "lost", "custody": "buyer"}, "A lost piece is nowhere"),
        ({"stage": "dry", "trued": "2010"}, "it never got that far"),
        ({"stage": "trued", "method": "straight", "trued": "2010"}, "it never got that far"),
        ({"stage": "dry", "method": "straight"}, "no such stage"),
        ({"stage": "dry", "turned": "2011", "dried": "2010"}, "has a step dated 2011 already"),
        ({"stage": "finished", "price_minor": "0"}, "above nothing"),
        ({"stage": "finished", "price_minor": "99999999999999"}, "too large"),
    ],
)
def test_what_contradicts_itself_is_refused(
    owner_client: Client, typed: dict[str, Any], sentence: str
) -> None:
    typed = {"custody": "shop", **typed}
    assert sentence in owner_client.post(OLD, sent({"source": "unknown"}, **typed)).content.decode()
    assert not Piece.objects.exists()


def test_a_finish_before_its_coat_is_refused(owner_client: Client) -> None:
    typed = sent(
        {"source": "unknown"},
        stage="dry",
        custody="given",
        finish=Finish.objects.get(slug="beeswax").pk,
        holder_name="Nell Quill",
    )
    assert "it carries no finish yet" in owner_client.post(OLD, typed).content.decode()
    assert not Person.objects.exists()
