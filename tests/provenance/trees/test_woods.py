"""The woods of the book, with the owner's figures where the table has none."""

from decimal import Decimal

import pytest

from provenance.record.errors import RecordError
from provenance.trees import woods
from provenance.trees.models import BoughtStock, Tree, WoodFigures
from provenance.trees.naming import wood_key, wood_slug
from provenance.wood import species as reference
from tests import factories

MINE: dict[str, Decimal | None] = {
    "shrink_radial_pct": Decimal("4.5"),
    "shrink_tangential_pct": Decimal("8"),
}


def write(
    key: str, figures: dict[str, Decimal | None] = MINE, source: str = "my own boards, 2026"
) -> None:
    woods.write_figures(key, figures, source, factories.a_scribe())


def lacking() -> str:
    """The slug of a species that the table gives no shrinkage for."""
    found = (w.slug for w in reference.all_species() if w.shrink_radial_pct is None)
    return next(found)


@pytest.mark.django_db
def test_an_own_figure_stands_where_the_table_has_none_and_nowhere_else() -> None:
    slug = lacking()
    density = getattr(reference.get(slug), "sg_green")  # noqa: B009
    write(slug, {"sg_green": Decimal("0.99"), **MINE})
    wood = woods.wood_of(Tree(species_slug=slug))
    assert wood is not None
    assert (wood.shrink_radial_pct, wood.shrink_tangential_pct) == (4.5, 8)
    assert wood.source_of("shrink_radial_pct") == "your own figure: my own boards, 2026"
    assert wood.sg_green == (density if density is not None else 0.99)


@pytest.mark.django_db
def test_a_wood_in_own_words_has_the_owners_figures_alone() -> None:
    bare = woods.wood_of(Tree(species_words="White ash?"))
    assert bare is not None
    assert bare.shrink_radial_pct is None
    write(wood_key("", "White  ASH?"))
    wood = woods.wood_of(Tree(species_words="white ash?"))
    assert wood is not None
    assert (wood.common_name, wood.shrink_radial_pct, wood.sg_green) == ("white ash?", 4.5, None)
    assert wood.slug == wood_slug("", "White ash?")


@pytest.mark.django_db
def test_where_no_wood_is_named_there_is_none() -> None:
    assert woods.wood_of(BoughtStock()) is None
    assert woods.wood_of(Tree(species_slug="no-such-wood")) is None


@pytest.mark.django_db
def test_with_the_figures_at_hand_no_wood_asks_again(django_assert_num_queries) -> None:
    write("elm of ours")
    figures = woods.all_figures()
    with django_assert_num_queries(0):
        wood = woods.wood_of(Tree(species_words="Elm of ours"), figures)
    assert wood is not None
    assert wood.shrink_radial_pct == 4.5


@pytest.mark.django_db
def test_what_was_typed_and_changed_stays_in_the_journal() -> None:
    write("elm of ours")
    write("elm of ours", {"shrink_radial_pct": Decimal("4.75")}, "a book")
    own = WoodFigures.objects.get()
    assert (own.shrink_radial_pct, own.shrink_tangential_pct) == (Decimal("4.75"), Decimal("8.00"))
    first, second = (entry.changes for entry in own.journal.entries.order_by("pk"))
    assert first["shrink_radial_pct"] == [None, "4.50"]
    assert second == {
        "shrink_radial_pct": ["4.50", "4.75"], "source": ["my own boards, 2026", "a book"],
    }  # fmt: skip


@pytest.mark.django_db
def test_the_same_figure_written_again_is_no_change() -> None:
    write("elm of ours")
    again = woods.write_figures(
        "elm of ours", {"shrink_radial_pct": Decimal("4.500")}, "my own boards, 2026",
        factories.a_scribe(),
    )  # fmt: skip
    assert again is None


@pytest.mark.django_db
def test_a_figure_without_a_source_is_refused() -> None:
    with pytest.raises(RecordError, match="Say where the figures come from"):
        write("elm of ours", source="  ")
    assert not WoodFigures.objects.exists()


@pytest.mark.django_db
def test_woods_are_counted_over_trees_and_stock_in_any_spelling(django_assert_num_queries) -> None:
    for words in ("Some conifer", "some  conifer"):
        factories.a_tree(species_slug="", species_words=words)
    factories.some_stock(species_words="SOME CONIFER")
    mistake = factories.a_tree(species_slug="white-ash")
    Tree.objects.filter(pk=mistake.pk).update(is_mistake=True)
    factories.a_tree()
    with django_assert_num_queries(3):
        rows = woods.woods_in_book()
    assert [(r.name.casefold(), r.tree_count, r.stock_count) for r in rows] == [
        ("bigleaf maple", 1, 0), ("some conifer", 2, 1),
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_wood_is_looked_up_in_the_table_and_in_the_book() -> None:
    factories.a_tree(species_slug="", species_words="spalted maple, I think")
    factories.a_tree(species_slug="silver-maple")
    found = [row.name for row in woods.woods_named("maple")]
    assert set(found[:2]) == {"silver maple", "spalted maple, I think"}
    assert {"maple", "bigleaf maple"} <= set(found)
    assert woods.woods_named("zzzz") == []


@pytest.mark.django_db
@pytest.mark.parametrize("words", ["Some conifer", "洪水", "ash (or not?)", "x" * 120, "ß" * 120])
def test_a_wood_in_own_words_has_an_address_of_its_own(words: str) -> None:
    slug = factories.a_tree(species_slug="", species_words=words).wood_slug
    assert reference.get(slug) is None
    found = woods.wood_at(slug)
    assert found is not None
    assert found[1] == wood_key("", words)
    assert woods.wood_at(slug + "x") is None


@pytest.mark.django_db
def test_what_is_said_against_a_wood_is_said_of_one_in_own_words_too() -> None:
    wood = woods.bare_wood("", "Cocobolo")
    assert wood is not None
    assert {caution.kind for caution in woods.cautions_of(wood)} >= {"dust", "trade"}
    nameless = woods.bare_wood("", "some red wood")
    assert nameless is not None
    assert woods.cautions_of(nameless) == ()
