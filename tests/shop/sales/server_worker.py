"""Serves the shop as `manage.py start` does, again and again: once for each line it is given.

Called with the port. The program is read once; what serves is a fork of it that has opened nothing
yet. Its number is printed; it serves until somebody kills it.
"""

import os
import sys

import django

django.setup()

from django.conf import settings  # noqa: E402 -- Django must be set up first
from django.core.wsgi import get_wsgi_application  # noqa: E402
from django.urls import get_resolver  # noqa: E402

from shop.keeping import folder, network  # noqa: E402
from shop.keeping.serving import Server  # noqa: E402


def main(port: int) -> None:
    """Fork a server for each line, once the one before is dead."""
    number = 0
    application = get_wsgi_application()
    assert get_resolver().url_patterns
    for _ in sys.stdin:
        if number:
            os.waitpid(number, 0)
        number = os.fork()
        if number == 0:
            with folder.held(settings.DATA), network.listen(network.HERE, port) as listener:
                Server(application, listener).run()
            os._exit(0)
        sys.stdout.write(f"{number}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]))
