from django.apps import AppConfig
from django.db.backends.signals import connection_created


class KeepingConfig(AppConfig):
    name = "shop.keeping"

    def ready(self) -> None:
        """Look at every new database connection before it is used."""
        from shop.keeping import database

        connection_created.connect(
            database.set_up_connection, dispatch_uid="shop.keeping.set_up_connection"
        )
