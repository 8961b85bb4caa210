"""Whether a request wants a whole page, or the part of it that htmx puts in place."""

from django.http import HttpRequest


def wants_fragment(request: HttpRequest) -> bool:
    """Return whether to answer with the part alone: not when the Back button brings a page back."""
    htmx = request.htmx  # type: ignore[attr-defined]
    return bool(htmx) and not htmx.history_restore_request
