from django.apps import AppConfig
from django.db.models.signals import post_migrate


class RecordConfig(AppConfig):
    name = "provenance.record"

    def ready(self) -> None:
        from provenance.record import ledger

        post_migrate.connect(ledger.seal_after_migrate, sender=self, dispatch_uid="record.ledger")
