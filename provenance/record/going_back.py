"""Where a small form sends the owner after it has done its work: back to the page it stood on."""

from django.http import HttpRequest, HttpResponseRedirect
from django.shortcuts import resolve_url

from provenance.maker.own_addresses import own_address


def back(request: HttpRequest, otherwise: str = "/") -> HttpResponseRedirect:
    """Redirect to the form's `next` if it is an address of ours, else to `otherwise`."""
    wanted = own_address(request, request.POST.get("next", ""))
    return HttpResponseRedirect(wanted or resolve_url(otherwise))
