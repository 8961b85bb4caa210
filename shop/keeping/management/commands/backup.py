"""`manage.py backup FILE`: the whole book in one file, also while the shop is open."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from shop.keeping import database, folder
from shop.keeping.archive import ArchiveRefused
from shop.keeping.backup import back_up
from shop.keeping.plain_command import PlainCommand


class Command(PlainCommand):
    """Write a backup and read it again."""

    help = "Write database and photos to FILE (a zip archive), and check it by reading it again."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take FILE and `--portable`."""
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument(
            "--portable", action="store_true", help="records that PostgreSQL takes in as well"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the backup, and say what is in it."""
        data: Path = settings.DATA
        if folder.kind_of(data) is None:
            raise ArchiveRefused(f"{data} holds no book: name the folder with --data.")
        database.check_reachable()
        file: Path = options["file"].absolute()
        manifest = back_up(file, data, at=datetime.now(UTC), portable=options["portable"])
        rows, photos = sum(manifest.counts.values()), len(manifest.files) - 1
        self.say(f"{file}: {rows} rows, {photos} photos, read again and sound.")
        self.say("The secret key is not in it: a restored shop makes its own.")
        if manifest.missing:
            self.say(
                f"{len(manifest.missing)} photos that the book names are not in its folder: "
                "look for them in older backups."
            )
