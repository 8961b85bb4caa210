"""The people of the record: donors, suppliers, galleries, buyers, by what they did.

Somebody who was entered twice is one person with two entries: the folded one points to the one
that is kept. What can never be changed still names the folded entry, so whatever is asked of the
ledgers by person is asked with all `keys` of theirs.
"""

import re

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from provenance.record.seeking import exactly, holding, naming, sought

#: What is taken for part of a phone number: with fewer digits, too much would match.
PHONE, FEWEST_DIGITS = re.compile(r"[0-9 ()+./-]+"), 4


class PersonQuerySet(models.QuerySet["Person"]):
    def kept(self) -> "PersonQuerySet":
        """Each person once: without the entries that were folded into another."""
        return self.filter(merged_into=None)

    def behind(self, entries: Q) -> "PersonQuerySet":
        """The people, each once, of whom some entry meets the condition, be it a folded one."""
        found = Person.objects.filter(entries)
        folded = found.exclude(merged_into=None)
        return self.kept().filter(
            Q(pk__in=found.values("pk")) | Q(pk__in=folded.values("merged_into"))
        )

    def search(self, text: str) -> "PersonQuerySet":
        """People with every word of `text` in a name, mail or phone; everybody for no text.

        A name may be typed without its accents. A phone number is found however it is typed:
        (555) 0142 is 555-0142.
        """
        words, text = Q(), sought(text)
        for word in text.split():
            words &= naming("name", word) | holding("mail", word) | holding("phone", word)
        return self.behind(words | dialled(text)) if words else self.kept()

    def by_name(self) -> "PersonQuerySet":
        """Each person once, in the order of the alphabet, capitals or not."""
        return self.kept().order_by(Lower("name"), "pk")

    def named(self, name: str) -> "PersonQuerySet":
        """People of exactly this name, or entered under it once, capitals or not."""
        return self.behind(exactly("name", name))


def dialled(text: str) -> Q:
    """Return the condition that a phone has the digits of `text`; none if it is no part of one."""
    digits = re.sub(r"[^0-9]", "", text)
    if len(digits) < FEWEST_DIGITS or not PHONE.fullmatch(text):
        return Q()
    return Q(phone__regex="[^0-9]*".join(digits))


def same_name_or_mail(name: str, mail: str) -> Q:
    """Return the condition that somebody has exactly this name or this mail, capitals or not."""
    same = exactly("name", name)
    return same | exactly("mail", mail) if mail else same


class Person(models.Model):
    """Anyone, or any body, in the record. All of it is the owner's, but for a consented name."""

    name = models.CharField(max_length=120)
    is_organisation = models.BooleanField("a business or body, not a person", default=False)
    mail = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True, max_length=500)
    notes = models.TextField(blank=True, max_length=5000)
    public_name = models.CharField("may be named as", max_length=120, blank=True)
    may_be_named = models.BooleanField("may be named in public", default=False)
    may_be_named_on = models.DateField("agreed on", null=True, blank=True)
    may_be_written_to = models.BooleanField("may be written to", default=False)
    may_be_written_to_on = models.DateField("agreed on", null=True, blank=True)
    created_at = models.DateTimeField()
    #: The entry kept for this person, where this one was folded into it. Never a folded one.
    merged_into = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="merged",
    )

    objects = PersonQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.name

    @property
    def name_in_public(self) -> str:
        """The name to print where strangers read it: '' without consent."""
        return (self.public_name or self.name) if self.may_be_named else ""

    @property
    def kept_pk(self) -> int:
        """The key of the entry that stands for this person: its own unless it was folded."""
        return self.merged_into_id or self.pk

    def is_same_as(self, other: "Person | None") -> bool:
        """Return whether two entries stand for one person. No query."""
        return other is not None and self.kept_pk == other.kept_pk

    def keys(self) -> list[int]:
        """Return the keys of all this person's entries, the kept one first. One query."""
        folded = Person.objects.filter(merged_into=self.kept_pk).order_by("pk")
        return [self.kept_pk, *folded.values_list("pk", flat=True)]

    @property
    def other_names(self) -> list[str]:
        """The names, unlike this one, of the entries folded into it. Uses the prefetched ones."""
        names = {entry.name.casefold(): entry.name for entry in self.merged.all()}
        return [name for key, name in names.items() if key != self.name.casefold()]


class Merge(models.Model):
    """Two entries of one person made one, and what was moved for it, so that it can be undone.

    `moved` has the keys of the rows that were pointed to the kept entry, by "app.Model.field", and
    the names of the fields that the kept entry took over ("filled") or noted down ("noted").
    """

    kept = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="merges")
    folded = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="foldings")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    moved = models.JSONField(default=dict)
    parted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["folded"], condition=Q(parted_at=None), name="people_folded_once"
            ),
            models.CheckConstraint(condition=~Q(kept=F("folded")), name="people_merge_of_two"),
        ]

    def __str__(self) -> str:
        return f"{self.folded} folded into {self.kept}"
