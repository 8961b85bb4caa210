"""Ways in and out of the book, and the shop's profile."""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseRedirect,
)
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from provenance.maker import doors
from provenance.maker.forms import NewPasswordForm, ProfileForm, SetUpForm, SignInForm
from provenance.maker.models import Shop, User
from provenance.maker.own_addresses import own_address

BACKEND = "django.contrib.auth.backends.ModelBackend"


@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Let the owner in, and send them where they were going."""
    if request.user.is_authenticated:
        return HttpResponseRedirect(_onward(request))
    form = SignInForm(request, data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        return HttpResponseRedirect(_onward(request))
    page = {"form": form, "next": _onward(request), "has_owner": User.objects.exists()}
    return render(request, "maker/sign_in.html", page)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Let the owner out."""
    logout(request)
    return redirect("maker:sign_in")


@login_not_required
@never_cache
@sensitive_post_parameters("password", "password_again")
@require_http_methods(["GET", "POST"])
def set_up(request: HttpRequest, token: str) -> HttpResponse:
    """Name the shop and its first owner: works once, by the link printed at the start."""
    if User.objects.exists() or not doors.opens(doors.SET_UP, token):
        return render(request, "maker/link_used.html", status=410)
    form = SetUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            owner = doors.set_up(
                token,
                profile=form.profile(),
                name=typed["username"],
                password=typed["password"],
            )
        except doors.DoorClosed:
            return render(request, "maker/link_used.html", status=410)
        login(request, owner, backend=BACKEND)
        return redirect(settings.LOGIN_REDIRECT_URL)
    return render(request, "maker/set_up.html", {"form": form})


@login_not_required
@never_cache
@require_GET
def demo_door(request: HttpRequest, token: str) -> HttpResponse:
    """Sign a visitor of the invented shop in; there is no such door in a real one."""
    if not settings.DEMO:
        raise Http404
    turner = User.objects.filter(is_active=True).order_by("pk").first()
    if turner is None or not doors.opens(doors.DEMO, token):
        return render(request, "maker/link_used.html", status=410)
    login(request, turner, backend=BACKEND)
    return redirect(settings.LOGIN_REDIRECT_URL)


@require_http_methods(["GET", "POST"])
def profile(request: HttpRequest) -> HttpResponse:
    """Show the shop's profile, or write it anew."""
    form = ProfileForm(request.POST or None, instance=Shop.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The shop's profile is written.")
        return redirect("maker:profile")
    page = {"form": form, "overriding_url": settings.PUBLIC_URL}
    return render(request, "maker/profile.html", page)


@sensitive_post_parameters("old_password", "new_password1", "new_password2")
@require_http_methods(["GET", "POST"])
def change_password(request: HttpRequest) -> HttpResponse:
    """Change the owner's password; every other browser that was signed in is signed out."""
    assert isinstance(request.user, User)  # noqa: S101 (strangers never get here)
    form = NewPasswordForm(request.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        form.save()
        update_session_auth_hash(request, form.user)
        messages.success(request, "Your password is changed. Other browsers are signed out.")
        return redirect("maker:profile")
    return render(request, "maker/change_password.html", {"form": form})


@never_cache
def locked_out(
    request: HttpRequest, response: HttpResponseBase | None, credentials: dict[str, Any] | None
) -> HttpResponse:
    """Answer an address that guessed too often; django-axes calls this."""
    wait: timedelta = settings.AXES_COOLOFF_TIME
    page = {"minutes": int(wait.total_seconds()) // 60}
    answer = render(request, "maker/locked_out.html", page, status=429)
    answer["Retry-After"] = str(int(wait.total_seconds()))
    return answer


def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose secret is missing or old; Django's CSRF protection calls this."""
    return render(request, "maker/form_expired.html", status=403)


def _onward(request: HttpRequest) -> str:
    """Return where to go after signing in: `next` if it is an address of ours, else the bench."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    return own_address(request, wanted) or resolve_url(settings.LOGIN_REDIRECT_URL)
