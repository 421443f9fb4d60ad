"""Coming in and going out: password, one-time link, a password of one's own."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.html import format_html
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from company.forms.sign_in import PasswordForm, SignInForm
from company.htmx import render
from company.services import sign_in as services

PASSWORD_BACKEND = "django.contrib.auth.backends.ModelBackend"


def way_on(request: HttpRequest) -> str:
    """Where the person wanted to go, if that is an address of this site; else the first page."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    hosts = {request.get_host()}
    is_ours = url_has_allowed_host_and_scheme(wanted, hosts, require_https=request.is_secure())
    return wanted if is_ours else "/"


@login_not_required
@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated:
        return redirect(way_on(request))
    is_sent = request.method == "POST"
    form = SignInForm(request, data=request.POST if is_sent else None)
    if is_sent and form.is_valid():
        login(request, form.get_user())
        return redirect(way_on(request))
    status = 422 if is_sent else 200
    context = {"form": form, "next": way_on(request)}
    return render(request, "company/sign_in.html", context=context, status=status)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def sign_out(request: HttpRequest) -> HttpResponse:
    """A look at the address signs nobody out; only the button does."""
    if request.method == "POST":
        logout(request)
        return redirect("company:sign_in")
    return render(request, "company/sign_out.html")


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def link(request: HttpRequest, token: str) -> HttpResponse:
    """A look does not use the link up, since programs that preview links look; the button does."""
    try:
        if request.method != "POST":
            context = {"comes_in": services.read_link(token=token).user}
            return render(request, "company/link.html", context=context)
        user = services.use_link(token=token)
    except services.LinkRefused as reason:
        return render(request, "company/link_used.html", context={"reason": reason}, status=410)
    login(request, user, backend=PASSWORD_BACKEND)
    if not user.has_usable_password():
        offer_password(request)
    return redirect("/")


def offer_password(request: HttpRequest) -> None:
    words = "You are in, and the link is used up. To come back on another machine,"
    address = reverse("company:password")
    messages.info(request, format_html('{} <a href="{}">set a password</a>.', words, address))


@sensitive_post_parameters("old", "password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    is_sent = request.method == "POST"
    form = PasswordForm(request.user, data=request.POST if is_sent else None)
    if is_sent and form.is_valid():
        try:
            user = services.set_password(user=request.user, password=form.cleaned_data["password"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            update_session_auth_hash(request, user)
            messages.success(request, f"From now on {user.login} signs in with this password.")
            return redirect("/")
    status = 422 if is_sent else 200
    return render(request, "company/password.html", context={"form": form}, status=status)
