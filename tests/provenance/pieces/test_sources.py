"""Sources as a form offers them and reads them back."""

import pytest

from provenance.pieces import sources
from provenance.record.numbers import NotANumber
from provenance.trees.models import Section
from tests import factories

pytestmark = pytest.mark.django_db


def groups(choices: sources.Choices) -> dict[str, list[str]]:
    return {name: [label for _, label in rows] for name, rows in choices if isinstance(rows, list)}


def test_a_section_is_offered_by_number_kind_and_wood() -> None:
    section = factories.a_section(kind="crotch")
    stock = factories.some_stock()
    assert sources.section_label(section) == f"{section.tree.number} A crotch, bigleaf maple"
    assert groups(sources.choices()) == {
        "Sections": [sources.section_label(section)],
        "Bought stock": ["Cocobolo pen blanks"],
        "Otherwise": ["Another piece or section, by its number", "Not known"],
    }
    stock.species_words = "Dalbergia"
    assert sources.stock_label(stock) == "Cocobolo pen blanks, Dalbergia"


def test_a_trees_own_sections_stand_on_top() -> None:
    section, other = factories.a_section(), factories.a_section()
    offered = groups(sources.choices(section.tree))
    assert next(iter(offered)) == f"From {section.tree.number}"
    assert offered["Sections"] == [sources.section_label(other)]


def test_what_is_used_up_is_offered_for_old_pieces_only() -> None:
    factories.a_section(state=Section.State.USED_UP)
    factories.some_stock(used_up=True)
    assert list(groups(sources.choices())) == ["Otherwise"]
    assert list(groups(sources.choices(used_up_too=True))) == [
        "Sections",
        "Bought stock",
        "Otherwise",
    ]


def test_the_newest_are_offered_and_what_was_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sources, "OFFERED", 1)
    old, new = factories.a_section(), factories.a_section()
    lot, _ = factories.some_stock(name="First lot"), factories.some_stock(name="Second lot")
    assert groups(sources.choices())["Sections"] == [sources.section_label(new)]
    chosen = [f"section:{old.pk}", f"stock:{lot.pk}", "section:²", "stock:", "unknown"]
    offered = groups(sources.choices(chosen=chosen))
    assert offered["Sections"] == [sources.section_label(new), sources.section_label(old)]
    assert offered["Bought stock"] == ["First lot, cocobolo", "Second lot, cocobolo"]


def test_a_section_is_named_by_its_number_too() -> None:
    section, piece = factories.a_section(), factories.a_piece()
    assert sources.origin_of("piece", f"{section.tree.number} a").row == section
    assert sources.wood_numbered(str(piece)) == piece
    with pytest.raises(sources.NoSuchSource, match="has no section B in the book"):
        sources.wood_numbered(f"{section.tree.number} B")


def test_a_choice_is_read_back_as_its_row() -> None:
    section, stock, piece = factories.a_section(), factories.some_stock(), factories.a_piece()
    assert sources.origin_of(f"section:{section.pk}", "").row == section
    assert sources.origin_of(f"stock:{stock.pk}", "").row == stock
    assert sources.origin_of("piece", str(piece)).row == piece
    assert sources.origin_of("unknown", "").row is None


def test_a_number_that_is_no_piece_says_why() -> None:
    section = factories.a_section()
    with pytest.raises(NotANumber, match="a tree's number"):
        sources.piece_numbered(str(section.tree.number))
    with pytest.raises(sources.NoSuchSource, match="no piece in the book has it"):
        sources.piece_numbered("26-042-8")
    with pytest.raises(NotANumber, match="check the last character"):
        sources.piece_numbered("26-042-3")
