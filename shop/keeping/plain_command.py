"""Commands that fail in one plain sentence."""

import os
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from provenance.record.errors import RecordError
from shop.keeping import arguments
from shop.keeping.network import CannotListen


class PlainCommand(BaseCommand):
    """A command of ours: `--data` and `--demo`, and one sentence on stderr when it cannot."""

    requires_system_checks = []

    def create_parser(self, prog_name: str, subcommand: str, **options: Any) -> CommandParser:
        """Take no shortened arguments: `shop.keeping.arguments` knows only the whole ones."""
        return super().create_parser(prog_name, subcommand, allow_abbrev=False, **options)

    def add_arguments(self, parser: CommandParser) -> None:
        """Offer what every command of ours takes."""
        arguments.add_data_arguments(parser)

    def execute(self, *args: Any, **options: Any) -> str | None:
        """Run the command; a `RecordError` ends it with its sentence and exit code 1."""
        os.umask(0o077)  # whatever a command of ours writes is for its owner alone
        try:
            return super().execute(*args, **options)
        except (RecordError, CannotListen) as error:
            raise SystemExit(str(error)) from error
        except KeyboardInterrupt as error:
            raise SystemExit("Broken off: nothing is half done, start it again.") from error

    def say(self, words: str) -> None:
        """Print a line now, also into a pipe."""
        self.stdout.write(words)
        self.stdout.flush()
