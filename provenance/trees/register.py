"""Registering what came in: a tree at pick-up, its sections, and stock that was bought."""

from typing import Any

from django.db import transaction
from django.utils.text import slugify

from provenance.people.acquaintance import Named, same_person
from provenance.record import journal
from provenance.record.models import Journal, JournalEntry
from provenance.record.numbering import allocate
from provenance.record.numbers import section_letter
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.trees.models import BoughtStock, Cause, Section, Tree

BEGUN = JournalEntry.Kind.BEGUN


@transaction.atomic
def register_tree(scribe: Scribe, *, donor_named: Named | None = None, **facts: Any) -> Tree:
    """Give a tree its number and open its journal. `facts` are fields of `Tree`.

    `donor_named` is the giver as a form names them: somebody new is entered with the tree.
    """
    if donor_named:
        facts["donor"] = same_person(donor_named, scribe)
    [number] = allocate("tree", scribe)
    tree = Tree.objects.create(
        code=number.code, journal=Journal.objects.create(), created_at=scribe.at, **facts
    )
    happened = tree.collected or tree.felled or PartialDate.of(scribe.today)
    journal.write(tree.journal, BEGUN, scribe, happened=happened, words="Tree registered.")
    return tree


@transaction.atomic
def amend_tree(tree: Tree, facts: dict[str, Any], donor_named: Named, scribe: Scribe) -> bool:
    """Write a tree's details anew; return whether anything differed. See `register_tree`."""
    facts = {**facts, "donor": same_person(donor_named, scribe)}
    return journal.amend(tree, facts, scribe) is not None


@transaction.atomic
def add_section(tree: Tree, scribe: Scribe, **facts: Any) -> Section:
    """Cut the next lettered section from `tree`. `facts` are fields of `Section`."""
    Tree.objects.select_for_update().get(pk=tree.pk)
    section = Section.objects.create(
        tree=tree,
        letter=section_letter(tree.sections.count()),
        journal=Journal.objects.create(),
        created_at=scribe.at,
        **facts,
    )
    happened = section.cut or PartialDate.of(scribe.today)
    words = f"Section {section.letter} cut: {section.get_kind_display()}."
    journal.write(section.journal, BEGUN, scribe, happened=happened, words=words)
    journal.write(tree.journal, JournalEntry.Kind.NOTE, scribe, happened=happened, words=words)
    return section


@transaction.atomic
def add_sections(tree: Tree, scribe: Scribe, count: int, **facts: Any) -> list[Section]:
    """Cut `count` sections alike from `tree`."""
    return [add_section(tree, scribe, **facts) for _ in range(count)]


@transaction.atomic
def add_stock(scribe: Scribe, *, supplier_named: Named | None = None, **facts: Any) -> BoughtStock:
    """Enter bought stock. `facts` are fields of `BoughtStock`.

    `supplier_named` is the seller as a form names them: somebody new is entered with the stock.
    """
    if supplier_named:
        facts["supplier"] = same_person(supplier_named, scribe)
    stock = BoughtStock.objects.create(
        journal=Journal.objects.create(), created_at=scribe.at, **facts
    )
    happened = stock.bought or PartialDate.of(scribe.today)
    journal.write(stock.journal, BEGUN, scribe, happened=happened, words="Stock entered.")
    return stock


@transaction.atomic
def amend_stock(
    stock: BoughtStock, facts: dict[str, Any], supplier_named: Named, scribe: Scribe
) -> bool:
    """Write bought stock's details anew; return whether anything differed. See `add_stock`."""
    facts = {**facts, "supplier": same_person(supplier_named, scribe)}
    return journal.amend(stock, facts, scribe) is not None


def seal_ends(section: Section, scribe: Scribe) -> None:
    """Note that the section's ends were sealed today, unless it says so already."""
    if section.end_sealed is None:
        journal.amend(section, {"end_sealed": PartialDate.of(scribe.today)}, scribe)


def cut_into(section: Section, scribe: Scribe, *, used_up: bool = False) -> None:
    """Note that blanks came from `section`, and that none is left when `used_up`."""
    if used_up and section.state != Section.State.USED_UP:
        journal.amend(section, {"state": Section.State.USED_UP}, scribe)
    elif section.state == Section.State.WHOLE:
        journal.amend(section, {"state": Section.State.CUT_INTO}, scribe)


@transaction.atomic
def add_cause(name: str, sentence: str) -> Cause:
    """Add a reason for a tree to come down. It stands before the last one, "another reason"."""
    stem = slugify(name)[:40] or "cause"
    slug, count = stem, 1
    while Cause.objects.filter(slug=slug).exists():
        count += 1
        slug = f"{stem}-{count}"
    return Cause.objects.create(slug=slug, name=name, sentence=sentence, position=75)
