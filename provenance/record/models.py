"""What every record shares: a journal to write in, photos, and the counters behind the numbers."""

import uuid

from django.conf import settings
from django.db import models

from provenance.record.fields import PartialDateField


class Counter(models.Model):
    """The last sequence given out, per kind of thing and two-digit year."""

    kind = models.CharField(max_length=10)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "year"], name="record_one_counter")]

    def __str__(self) -> str:
        return f"{self.kind} {self.year:02d}: {self.last}"


class Operation(models.Model):
    """A form that was sent once. Sent again, with the same token, it gets the first outcome."""

    token = models.UUIDField(primary_key=True, default=uuid.uuid4)
    outcome = models.JSONField(default=list)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.token)


class Journal(models.Model):
    """The journal of one thing: a tree, a section, bought-in stock or a piece points to it."""

    def __str__(self) -> str:
        return f"journal {self.pk}"


class JournalEntry(models.Model):
    """Something that happened. Written once: a mistake is corrected by a new entry."""

    ledger = True

    class Kind(models.TextChoices):
        BEGUN = "begun", "Begun"
        MOVED = "moved", "Moved on"
        LOST = "lost", "Lost"
        CUSTODY = "custody", "Changed hands"
        DETAILS = "details", "Details changed"
        FINISH = "finish", "Finish"
        PHOTO = "photo", "Photo"
        PUBLIC = "public", "Public page"
        PRINTED = "printed", "Printed"
        PROMISE = "promise", "Promise"
        NOTE = "note", "Note"
        WEIGHED = "weighed", "Weighed"
        MEASURED = "measured", "Measured"
        CHECKED = "checked", "Checked"
        CORRECTION = "correction", "Correction"

    journal = models.ForeignKey(Journal, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    move = models.CharField(max_length=20, blank=True)
    happened = PartialDateField(null=True, blank=True)
    happened_from = models.DateField(null=True, blank=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    minutes = models.PositiveIntegerField(null=True, blank=True)
    words = models.TextField(blank=True)
    changes = models.JSONField(default=dict)
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["journal", "kind"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.happened or ''}".strip()


class PhotoQuerySet(models.QuerySet["Photo"]):
    def shown(self) -> "PhotoQuerySet":
        """Photos that the owner has not put away."""
        return self.filter(hidden_at=None)

    def put_away(self) -> "PhotoQuerySet":
        """Photos that the owner has put away: on no page, still in the book."""
        return self.exclude(hidden_at=None)

    def public(self) -> "PhotoQuerySet":
        """Photos that may stand on a public page, where their thing has one."""
        return self.shown().filter(is_public=True)


class Photo(models.Model):
    """A photo of one thing. The original is the owner's; pages show derived copies."""

    journal = models.ForeignKey(Journal, on_delete=models.PROTECT, related_name="photos")
    token = models.CharField(max_length=40, unique=True)
    extension = models.CharField(max_length=5)
    sha256 = models.CharField(max_length=64)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    caption = models.CharField(max_length=200, blank=True)
    is_public = models.BooleanField(default=False)
    added_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    hidden_at = models.DateTimeField(null=True, blank=True)

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["journal", "sha256"], name="record_photo_once")
        ]

    def __str__(self) -> str:
        return self.caption or self.token
