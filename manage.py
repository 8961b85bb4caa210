#!/usr/bin/env python
"""Bolebook's commands: `start`, `backup`, `restore`, and Django's own."""

import os
import sys


def main() -> None:
    """Run the command on the line; what stops it before it begins is said in one sentence."""
    if sys.version_info < (3, 11):  # noqa: UP036 (a checkout can be run by any Python)
        sys.exit("Bolebook needs Python 3.11 or newer: start it with that.")
    try:
        from django.core.management import execute_from_command_line

        from shop.environment import WrongSetting
        from shop.keeping import arguments
    except ModuleNotFoundError as error:
        sys.exit(
            f'The package "{error.name}" is missing: install Bolebook into a virtual environment '
            "with pip, as the README shows, and start it with the Python of that environment."
        )
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    arguments.take_effect(sys.argv, os.environ)
    try:
        execute_from_command_line(sys.argv)
    except WrongSetting as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main()
