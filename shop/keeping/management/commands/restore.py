"""`manage.py restore FILE`: a backup brought back into an empty folder."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from shop.keeping.plain_command import PlainCommand
from shop.keeping.restore import restore


class Command(PlainCommand):
    """Bring a backup back."""

    help = "Bring the backup in FILE back, into an empty data folder."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take FILE."""
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore, and say what came back."""
        data: Path = settings.DATA
        manifest = restore(options["file"].absolute(), data, demo=settings.DEMO)
        rows, photos = sum(manifest.counts.values()), len(manifest.files) - 1
        self.say(f"{data}: {rows} rows and {photos} photos are back, as of {manifest.made_at}.")
        self.say("Start it with: manage.py start --data " + str(data))
