"""Where a page may send the browser on to: to addresses of this shop, never to another site."""

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme


def own_address(request: HttpRequest, wanted: str) -> str:
    """Return `wanted` if it is a path of this shop, such as "/pieces/?page=2"; else ''."""
    is_ours = wanted.startswith("/") and url_has_allowed_host_and_scheme(
        wanted, allowed_hosts=None, require_https=request.is_secure()
    )
    return wanted if is_ours else ""
