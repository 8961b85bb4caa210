"""The shop's own profile, and the people who may open the book."""

import zoneinfo

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models

from provenance.maker import currencies


class User(AbstractUser):
    """Somebody who may open the book: usually one person, the owner."""

    class Meta:
        db_table = "maker_user"


def check_time_zone(name: str) -> None:
    """Raise `ValidationError` unless `name` is a zone of the IANA database."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError("Choose a time zone from the list, for example Europe/Lisbon.")


def check_currency(code: str) -> None:
    """Raise `ValidationError` unless `code` is a currency of ISO 4217 that is money today."""
    if code not in currencies.codes():
        raise ValidationError("Choose a currency from the list, for example EUR.")


class Shop(models.Model):
    """The one shop whose book this is."""

    class LengthUnit(models.TextChoices):
        MILLIMETRE = "mm", "millimetres"
        INCH = "in", "inches"

    class MassUnit(models.TextChoices):
        GRAM = "g", "grams"
        KILOGRAM = "kg", "kilograms"
        OUNCE = "oz", "ounces"
        POUND = "lb", "pounds and ounces"

    class Paper(models.TextChoices):
        LETTER = "letter", "Letter"
        A4 = "a4", "A4"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=80)
    place = models.CharField(max_length=80, blank=True)
    public_words = models.TextField(blank=True, max_length=2000)
    public_contact = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=3, default="USD", validators=[check_currency])
    length_unit = models.CharField(
        max_length=2, choices=LengthUnit.choices, default=LengthUnit.MILLIMETRE
    )
    mass_unit = models.CharField(max_length=2, choices=MassUnit.choices, default=MassUnit.GRAM)
    paper = models.CharField(max_length=6, choices=Paper.choices, default=Paper.A4)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    public_url = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="maker_one_shop"),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> "Shop":
        """Return the shop, or an unsaved nameless one before it is set up. One query."""
        return cls.objects.filter(pk=1).first() or cls(name="")

    @property
    def public_address(self) -> str:
        """The origin that printed codes lead to: `PUBLIC_URL`, else the profile's, else ''."""
        return (settings.PUBLIC_URL or self.public_url).rstrip("/")

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The shop's time zone."""
        return zoneinfo.ZoneInfo(self.time_zone)


class Jaws(models.Model):
    """A set of chuck jaws: the tenons that it grips, from the smallest to the largest circle."""

    name = models.CharField(max_length=80, unique=True)
    smallest_mm = models.PositiveIntegerField()
    largest_mm = models.PositiveIntegerField()

    class Meta:
        ordering = ["smallest_mm", "name"]
        verbose_name_plural = "jaws"
        constraints = [
            models.CheckConstraint(
                name="maker_jaws_open",
                condition=models.Q(smallest_mm__gt=0, largest_mm__gt=models.F("smallest_mm")),
            )
        ]

    def __str__(self) -> str:
        return self.name
