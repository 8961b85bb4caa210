"""The pages behind the code on a foot: read by anyone, without signing in, script or cookie."""

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import DisallowedHost
from django.http import Http404, HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.cache import add_never_cache_headers, patch_cache_control
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.public import pages
from provenance.record.album import store
from provenance.record.models import Photo
from provenance.record.numbers import NotANumber, Number
from provenance.record.photos import PhotoMissing, PhotoRefused

DAY_SECONDS = 24 * 60 * 60


def _is_owner(request: HttpRequest) -> bool:
    return bool(request.user.is_authenticated)


def _answer(request: HttpRequest, template: str, context: dict[str, object]) -> HttpResponse:
    """Render for a stranger (briefly kept by caches) or for the owner (kept by none)."""
    response = render(request, template, context)
    if _is_owner(request):
        add_never_cache_headers(response)
    else:
        patch_cache_control(response, public=True, max_age=300)
    return response


def _number(text: str, kind: str) -> Number:
    try:
        number = Number.parse(text)
    except NotANumber as error:
        raise Http404 from error
    if number.kind != kind:
        raise Http404
    return number


@require_safe
@login_not_required
def home(request: HttpRequest) -> HttpResponse:
    """Ask a stranger for the number on the foot."""
    return _answer(request, "public/home.html", {"is_owner": _is_owner(request)})


@require_safe
@login_not_required
def find(request: HttpRequest) -> HttpResponse:
    """Send a stranger from a number to its page; a slip of the pen is said in a sentence."""
    text = request.GET.get("number", "").strip()
    if not text:
        return redirect("public:home")
    try:
        number = Number.parse(text)
    except NotANumber as error:
        context = {"typed": text[:60], "error": str(error), "is_owner": _is_owner(request)}
        return render(request, "public/home.html", context)
    return redirect(f"public:{number.kind}", number.code)


@require_safe
@login_not_required
def piece(request: HttpRequest, code: str) -> HttpResponse:
    """Tell one piece's story. The owner sees it before it is published, too."""
    number = _number(code, "piece")
    if code.upper() != number.code:
        return HttpResponsePermanentRedirect(reverse("public:piece", args=[number.code]))
    found = pages.piece_page(number, Shop.current(), unpublished_too=_is_owner(request))
    if found is None:
        raise Http404
    return _answer(request, "public/piece.html", {**found, "is_owner": _is_owner(request)})


@require_safe
@login_not_required
def tree(request: HttpRequest, code: str) -> HttpResponse:
    """Tell one tree's story, with the pieces of it that have a page."""
    number = _number(code, "tree")
    if code.upper() != number.code:
        return HttpResponsePermanentRedirect(reverse("public:tree", args=[number.code]))
    page = request.GET.get("page", "")
    found = pages.tree_page(number, unpublished_too=_is_owner(request), page=page)
    if found is None:
        raise Http404
    return _answer(request, "public/tree.html", {**found, "is_owner": _is_owner(request)})


@require_safe
@login_not_required
def photo(request: HttpRequest, token: str, width: str) -> HttpResponse:
    """Send a derived photo, which carries nothing but the picture: to strangers only where it
    stands on a public page."""
    picture = Photo.objects.shown().filter(token=token).first()
    if picture is None:
        raise Http404
    is_public = pages.is_on_public_page(picture)
    if not (is_public or _is_owner(request)):
        raise Http404
    try:
        content = store().derived_path(picture.token, int(width)).read_bytes()
    except (PhotoMissing, PhotoRefused) as error:
        raise Http404 from error
    response = HttpResponse(content, content_type="image/webp")
    patch_cache_control(response, **({"public": True} if is_public else {"private": True}))
    patch_cache_control(response, max_age=DAY_SECONDS)
    return response


@login_not_required
def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """The same page for a number that never was and one that is not published."""
    return render(request, "public/not_found.html", status=404)


@login_not_required
def refused(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say that a page is not for this person."""
    return render(request, "public/refused.html", status=403)


@login_not_required
def not_taken(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say why a request was not taken: it holds too much, or asks for a name not ours.

    Without the request: to ask it for its host would refuse it once more.
    """
    page = {"is_strange_host": isinstance(exception, DisallowedHost)}
    return HttpResponse(render_to_string("public/not_taken.html", page), status=400)


@login_not_required
def broken(request: HttpRequest) -> HttpResponse:
    """Say that something broke, without asking the database for anything."""
    return HttpResponse(render_to_string("public/broken.html"), status=500)
