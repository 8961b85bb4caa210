"""What every answer goes through: a limit, secure cookies, privacy by default, the shop's clock."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import resolve_url
from django.utils import timezone
from django.utils.cache import add_never_cache_headers, patch_vary_headers
from django.utils.http import url_has_allowed_host_and_scheme

from provenance.maker.models import Shop

Answer = Callable[[HttpRequest], HttpResponseBase]


class SecureCookies:
    """Mark every cookie Secure when the page came over HTTPS, and only then.

    A setting could not: the same shop is used over HTTPS and on a plain local network, where
    browsers silently drop secure cookies.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if request.is_secure():
            for morsel in response.cookies.values():
                morsel["secure"] = True
        return response


class NotTooMuch:
    """Refuse a form that is too large, unread, with the page that says what to do.

    The web server's own limit is twice this one: its answer is bare, and comes while the browser
    still sends, which then shows a broken connection in its place.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdecimal() and int(length) > settings.FORM_MAX_BYTES:
            raise RequestDataTooBig("The form is larger than FORM_MAX_BYTES.")
        return self.get_response(request)


class PrivateUnlessSaid:
    """Ask for the owner on every page not marked `login_not_required`, and let no cache keep it."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if getattr(request, "is_private", False):
            add_never_cache_headers(response)
            patch_vary_headers(response, ["HX-Request"])
        return response

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Let the view answer, or send a stranger to the sign-in page."""
        # The mark that Django's `login_not_required` decorator leaves on a view.
        is_private = getattr(view, "login_required", True)
        request.is_private = is_private  # type: ignore[attr-defined]
        if request.user.is_authenticated or not is_private:
            return None
        return _to_sign_in(request)


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    """Redirect to the sign-in page; a fragment's browser goes there whole, not in a table cell."""
    sign_in = redirect_to_login(_page_of(request), resolve_url("maker:sign_in"))
    if request.headers.get("HX-Request") == "true":
        return HttpResponse(status=204, headers={"HX-Redirect": sign_in["Location"]})
    return sign_in


def _page_of(request: HttpRequest) -> str:
    """Return the page to come back to: where a fragment was asked for, or a form was sent from."""
    if request.headers.get("HX-Request") == "true":
        page = request.headers.get("HX-Current-URL", "")
    elif request.method in ("GET", "HEAD"):
        return request.get_full_path()
    else:
        page = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(page, allowed_hosts={request.get_host()}):
        return resolve_url("/")
    parts = urlsplit(page)
    return parts.path + (f"?{parts.query}" if parts.query else "")


class ShopClock:
    """Show every moment in the shop's own time zone."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with timezone.override(Shop.current().zone):
            return self.get_response(request)
