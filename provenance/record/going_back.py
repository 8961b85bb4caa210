"""Where a small form sends the owner after it has done its work: back to the page it stood on."""

from django.http import HttpRequest, HttpResponseRedirect
from django.shortcuts import redirect, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme


def back(request: HttpRequest, otherwise: str = "/") -> HttpResponseRedirect:
    """Redirect to the form's `next` if it is an address of ours, else to `otherwise`."""
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(wanted if is_ours and wanted.startswith("/") else resolve_url(otherwise))
