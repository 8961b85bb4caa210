"""The people of the record: donors, suppliers, galleries, buyers, by what they did."""

from django.db import models
from django.db.models.functions import Lower

from provenance.record.seeking import exactly, holding, sought


class PersonQuerySet(models.QuerySet["Person"]):
    def search(self, text: str) -> "PersonQuerySet":
        """People with every word of `text` in a name, mail or phone; everybody for no text."""
        words = models.Q()
        for word in sought(text).split():
            words &= holding("name", word) | holding("mail", word) | holding("phone", word)
        return self.filter(words)

    def by_name(self) -> "PersonQuerySet":
        """In the order of the alphabet, capitals or not."""
        return self.order_by(Lower("name"), "pk")

    def named(self, name: str) -> "PersonQuerySet":
        """People of exactly this name, capitals or not."""
        return self.filter(exactly("name", name))


def same_name_or_mail(name: str, mail: str) -> models.Q:
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
