"""Who is at the desk: the first start, signing in and out, light or dark."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import get_user_model, login, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from gristwright.workbench.desk_request import DeskRequest
from gristwright.workbench.forms import OwnerForm
from gristwright.workbench.look import COOKIE, THEMES
from gristwright.workbench.password_form import EnterForm, PasswordForm

YEAR_S = 365 * 24 * 3600


def has_owner() -> bool:
    """Whether somebody has made the desk their own."""
    return bool(get_user_model().objects.exists())


@login_not_required
def begin(request: HttpRequest) -> HttpResponse:
    """Make the owner; possible once."""
    if has_owner():
        return redirect("enter")
    form = OwnerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            owner = None if has_owner() else form.save()
        if owner is None:
            return redirect("enter")
        login(request, owner, backend="django.contrib.auth.backends.ModelBackend")
        return redirect("enquiries")
    return render(request, "desk/begin.html", {"form": form}, status=200 if form.is_valid() or not form.errors else 422)


@method_decorator(login_not_required, name="dispatch")
class Enter(LoginView):
    """Sign in with name and password."""

    template_name = "desk/enter.html"
    authentication_form = EnterForm
    redirect_authenticated_user = True

    def get(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """The form, or the first start when the desk has no owner yet."""
        return super().get(request, *args, **kwargs) if has_owner() else redirect("begin")


def change_password(request: DeskRequest) -> HttpResponse:
    """Another password; this browser stays in, every other one has to come in again."""
    form = PasswordForm(request.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        update_session_auth_hash(request, form.save())
        messages.success(request, "The password was changed.")
        return redirect("enquiries")
    return render(request, "desk/password.html", {"form": form}, status=422 if form.errors else 200)


@login_not_required
def standing(request: HttpRequest) -> JsonResponse:
    """Who is signed in, and the token that the forms of this browser carry now: asked before a form is sent."""
    return JsonResponse({"user": request.user.get_username(), "token": get_token(request), "enter": reverse("enter")})


@login_not_required
@require_POST
def choose_theme(request: HttpRequest) -> HttpResponse:
    """Light, dark, or as the system has it; kept in this browser."""
    back = request.POST.get("back", "")
    # Without its stroke it would be taken for the name of a page.
    safe = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
    response = redirect(back if safe else "enquiries")
    chosen = request.POST.get("theme", "")
    if chosen in THEMES:
        response.set_cookie(COOKIE, chosen, max_age=YEAR_S, samesite="Strict", httponly=True)
    return response
