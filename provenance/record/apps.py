from django import forms
from django.apps import AppConfig
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models.signals import post_migrate


class RecordConfig(AppConfig):
    name = "provenance.record"

    def ready(self) -> None:
        # What an empty field says in every form of the book, unless the form knows better words.
        forms.Field.default_error_messages["required"] = "Fill this in."
        forms.ChoiceField.default_error_messages["required"] = "Choose one."
        MaxValueValidator.message = "Enter %(limit_value)s or less."
        MinValueValidator.message = "Enter %(limit_value)s or more."

        from provenance.record import ledger

        post_migrate.connect(ledger.seal_after_migrate, sender=self, dispatch_uid="record.ledger")
