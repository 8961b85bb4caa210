"""The page on which a piece's wood is put right."""

import uuid
from typing import Any

import pytest
from django.test import Client

from provenance.pieces import making
from provenance.pieces.making import Source
from provenance.pieces.models import Form, Method, Part, Piece
from tests import factories

pytestmark = pytest.mark.django_db


def sent(*rows: dict[str, Any], **typed: Any) -> dict[str, Any]:
    """What the browser sends: the words and the rows for parts."""
    data: dict[str, Any] = {
        "token": str(uuid.uuid4()),
        "parts-TOTAL_FORMS": len(rows),
        "parts-INITIAL_FORMS": 0,
        **typed,
    }
    for n, row in enumerate(rows):
        data |= {f"parts-{n}-{name}": value for name, value in {"role": "whole", **row}.items()}
    return data


def address(piece: Piece) -> str:
    return f"/pieces/{piece.code}/sources/"


def corrections(piece: Piece) -> int:
    return piece.journal.entries.filter(kind="correction").count()


def test_the_pieces_own_page_leads_here_and_its_parts_stand_there(owner_client: Client) -> None:
    section, stock, giver = factories.a_section(), factories.some_stock(), factories.a_piece()
    sources = [
        Source(section, Part.Role.BODY, uses_up=True),
        Source(stock, Part.Role.NECK, uses_up=True),
        Source(giver, Part.Role.LID),
        Source(None, Part.Role.INLAY),
    ]
    form = Form.objects.get(slug="vase")
    [vase] = making.make(factories.a_scribe(), form, Method.TWICE, sources)
    assert f'href="{address(vase)}"' in owner_client.get(f"/pieces/{vase.code}/").content.decode()
    page = owner_client.get(address(vase)).content.decode()
    # Used up since, and still among the choices.
    assert f'value="section:{section.pk}" selected' in page
    assert f'value="stock:{stock.pk}" selected' in page
    assert f'value="{giver.number}"' in page
    for chosen in ("piece", "unknown", "body", "neck", "lid", "inlay"):
        assert f'value="{chosen}" selected' in page
    assert 'name="parts-TOTAL_FORMS" value="4"' in page


def test_a_wrong_section_is_put_right_and_the_journal_tells(owner_client: Client) -> None:
    wrong, right = factories.a_section(), factories.a_section()
    piece = factories.a_piece(source=wrong)
    rows = ({"source": f"section:{right.pk}"}, {"source": "", "role": "neck"})
    page = owner_client.post(address(piece), sent(*rows, words="By the bark."), follow=True)
    text = page.content.decode()
    assert page.redirect_chain == [(f"/pieces/{piece.code}/", 302)]
    assert list(piece.trees.all()) == [right.tree]
    assert "where its wood comes from is put right" in text
    assert "was corrected. By the bark." in text
    assert f"<del>whole: {wrong}</del> → whole: {right}" in text


def test_the_form_sent_twice_writes_once(owner_client: Client) -> None:
    right = factories.a_section()
    piece = factories.a_piece()
    typed = sent({"source": f"section:{right.pk}"})
    first, second = (owner_client.post(address(piece), typed) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert corrections(piece) == 1


def test_sent_as_it_stands_it_changes_nothing_and_says_so(owner_client: Client) -> None:
    section = factories.a_section()
    piece = factories.a_piece(source=section)
    typed = sent({"source": f"section:{section.pk}"})
    page = owner_client.post(address(piece), typed, follow=True).content.decode()
    assert "where its wood comes from is as it was" in page
    assert corrections(piece) == 0


@pytest.mark.parametrize(
    ("number", "sentence"),
    [("26-042-3", "check the last character"), ("", "made from itself")],
)
def test_a_refusal_keeps_what_was_typed(owner_client: Client, number: str, sentence: str) -> None:
    piece = factories.a_piece()
    typed = number or str(piece.number)
    row = {"source": "piece", "number": typed, "role": "body"}
    page = owner_client.post(address(piece), sent(row, words="Keep me"))
    text = page.content.decode()
    assert sentence in text.replace("&#x27;", "'")
    assert "Keep me" in text
    assert f'value="{typed}"' in text
    assert 'value="body" selected' in text
    assert corrections(piece) == 0


def test_one_more_part_can_be_asked_for_and_nothing_is_written(owner_client: Client) -> None:
    right = factories.a_section()
    piece = factories.a_piece()
    typed = sent({"source": f"section:{right.pk}"}, words="Keep me", add_part="1")
    text = owner_client.post(address(piece), typed).content.decode()
    assert 'name="parts-TOTAL_FORMS" value="2"' in text
    assert "Keep me" in text
    assert f'value="section:{right.pk}" selected' in text
    assert corrections(piece) == 0
