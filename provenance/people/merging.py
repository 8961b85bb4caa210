"""Making two entries of one person one, and parting them again.

Ledger rows can never be changed: they go on naming the folded entry, which points to the kept
one. All other rows are moved, and the `Merge` says which, so that they can be moved back.
"""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.db.models import Q

from provenance.people.acquaintance import digits
from provenance.people.models import Merge, Person
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe

#: What the kept entry takes over where it has nothing, with the note for what differs.
REACHED = {
    "phone": "Also reached at {}.",
    "mail": "Also reached at {}.",
    "address": "Another address: {}",
}
#: How many rows are moved back at a time: a database takes only so many keys in one question.
AT_ONCE = 500


class NotTwoPeople(RecordError):
    """The two entries are not two that could be made one."""


class NotFolded(RecordError):
    """The two entries are not one, or not to be parted yet."""


def movable() -> "Iterator[models.ForeignKey[Any, Any]]":
    """Yield every column that points to a person and may be changed: of no ledger."""
    for relation in Person._meta.get_fields(include_hidden=True):
        if isinstance(relation, models.ManyToOneRel):
            model = relation.related_model
            if model not in (Person, Merge) and not getattr(model, "ledger", False):
                yield relation.field


def what_moves(folded: Person) -> list[tuple[int, str]]:
    """Return how many rows of each kind a merge would move: (2, "promises"). A query a kind."""
    counted = []
    for column in movable():
        count = _pointing(column, folded).count()
        named = column.model._meta
        if count:
            counted.append(
                (count, str(named.verbose_name if count == 1 else named.verbose_name_plural))
            )
    return counted


@transaction.atomic
def merge(kept: Person, folded: Person, scribe: Scribe) -> Merge:
    """Fold one entry into the other: lists, pickers and pages know one person from now on.

    What the kept entry lacks of phone, mail and address it takes over; what differs, and the other
    notes, go into its notes. Consent is never widened: the kept entry's own stands. Raises
    `NotTwoPeople` for one and the same entry, and where either is folded already.
    """
    kept, folded = _held(kept, folded)
    if kept.pk == folded.pk:
        raise NotTwoPeople("That is one and the same entry: choose another one.")
    for entry in (kept, folded):
        if entry.merged_into:
            raise NotTwoPeople(
                f"{entry} is one with {entry.merged_into} already: start from that entry."
            )
    moved: dict[str, list[Any]] = {}
    for column in movable():
        moved |= _point(column, folded, kept)
    # Flat: whoever was folded into this entry is folded into the kept one with it.
    moved |= _point(_merged_into(), folded, kept)
    folded.merged_into = kept
    folded.save(update_fields=["merged_into"])
    moved |= _take_over(kept, folded)
    return Merge.objects.create(kept=kept, folded=folded, at=scribe.at, by=scribe.user, moved=moved)


@transaction.atomic
def part(made: Merge, scribe: Scribe) -> Merge:
    """Take a merge back: what it moved and still points to the kept person is the other's again.

    Raises `NotFolded` when that was done already, and when the kept entry has been folded itself.
    """
    made = Merge.objects.select_for_update().get(pk=made.pk)
    kept, folded = _held(made.kept, made.folded)
    if made.parted_at:
        raise NotFolded(f"{kept} and {folded} were parted already.")
    if kept.merged_into:
        raise NotFolded(
            f"{kept} was made one with {kept.merged_into} afterwards: part those two first."
        )
    folded.merged_into = None
    folded.save(update_fields=["merged_into"])
    for label, keys in made.moved.items():
        if "." in label:
            _move_back(label, keys, kept, folded)
    _give_back(kept, folded, made.moved)
    made.parted_at = scribe.at
    made.save(update_fields=["parted_at"])
    return made


def _held(*people: Person) -> list[Person]:
    """Return the entries as the book holds them, under a lock with all folded into them.

    Locked in the order of their keys, so that two merges never wait for each other.
    """
    keys = [person.pk for person in people]
    entries = Person.objects.filter(Q(pk__in=keys) | Q(merged_into__in=keys))
    held = {entry.pk: entry for entry in entries.order_by("pk").select_for_update()}
    return [held[key] for key in keys]


def _merged_into() -> "models.ForeignKey[Any, Any]":
    return Person._meta.get_field("merged_into")


def _pointing(column: "models.ForeignKey[Any, Any]", person: Person) -> "models.QuerySet[Any]":
    return column.model._base_manager.filter(**{column.name: person})


def _point(
    column: "models.ForeignKey[Any, Any]", folded: Person, kept: Person
) -> dict[str, list[Any]]:
    """Point every row of one column to the kept person; return which they were, by its label.

    No row can come to point to the folded entry meanwhile: that entry is locked.
    """
    rows = _pointing(column, folded)
    keys = list(rows.order_by("pk").values_list("pk", flat=True))
    rows.update(**{column.name: kept})
    return {f"{column.model._meta.label}.{column.name}": keys} if keys else {}


def _move_back(label: str, keys: list[Any], kept: Person, folded: Person) -> None:
    model, name = label.rsplit(".", 1)
    rows = apps.get_model(model)._base_manager.filter(**{name: kept})
    for start in range(0, len(keys), AT_ONCE):
        rows.filter(pk__in=keys[start : start + AT_ONCE]).update(**{name: folded})


def _take_over(kept: Person, folded: Person) -> dict[str, list[Any]]:
    """Fill what the kept entry lacks, note what differs; return the names of both kinds."""
    filled, noted = [], []
    for name in (*REACHED, "notes"):
        value, own = getattr(folded, name), getattr(kept, name)
        if not value or _is_known(name, kept, folded):
            continue
        if name != "notes" and not own:
            setattr(kept, name, value)
            filled.append(name)
        else:
            kept.notes = f"{kept.notes}\n{_note(name, folded)}".strip()
            noted.append(name)
    kept.save(update_fields=[*REACHED, "notes"])
    return {label: names for label, names in (("filled", filled), ("noted", noted)) if names}


def _give_back(kept: Person, folded: Person, moved: dict[str, list[Any]]) -> None:
    """Take out of the kept entry what it took over, as far as nobody has changed it since."""
    for name in moved.get("filled", []):
        if getattr(kept, name) == getattr(folded, name):
            setattr(kept, name, "")
    for name in moved.get("noted", []):
        before, found, after = f"\n{kept.notes}\n".rpartition(f"\n{_note(name, folded)}\n")
        if found:
            kept.notes = f"{before}\n{after}".strip()
    kept.save(update_fields=[*REACHED, "notes"])


def _is_known(name: str, kept: Person, folded: Person) -> bool:
    """Return whether the kept entry has this already, in its own way or among its notes."""
    value, own = getattr(folded, name), getattr(kept, name)
    if name == "phone" and digits(value) and digits(value) == digits(own):
        return True
    note = _note(name, folded)
    return bool(value.casefold() == own.casefold() or f"\n{note}\n" in f"\n{kept.notes}\n")


def _note(name: str, folded: Person) -> str:
    value: str = getattr(folded, name)
    return REACHED[name].format(value) if name in REACHED else value
