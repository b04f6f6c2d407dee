"""The way back to the page that was being filled in, after somebody had to sign in or a form was too old."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus
from urllib.parse import urlencode, urlsplit

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import is_valid_path, reverse
from django.utils.http import url_has_allowed_host_and_scheme


def page_of(request: HttpRequest) -> str:
    """The page that a request was sent from; nothing where it was none of this desk."""
    came = request.headers.get("referer", "")
    safe = url_has_allowed_host_and_scheme(came, allowed_hosts={request.get_host()})
    return urlsplit(came).path if came and safe else ""


def page_above(path: str) -> str:
    """The nearest address above one that the desk knows."""
    above = path.rstrip("/").rpartition("/")[0] + "/"
    return above if above == "/" or is_valid_path(above) else page_above(above)


class AskWho(LoginRequiredMiddleware):
    """Asks who is at the desk. What was sent leads back to the page it was typed on: there it can be sent again."""

    def handle_no_permission(self, request: HttpRequest, view_func: object) -> HttpResponse:  # type: ignore[override]
        """The page to sign in on."""
        sent = request.method == "POST"
        after = {"next": page_of(request) or reverse("enquiries") if sent else request.get_full_path()}
        return redirect(f"{reverse('enter')}?{urlencode(after | ({'unsaved': '1'} if sent else {}))}")


class LeadUp:
    """An address that only takes what is sent is no page: opened or loaded again, it leads to the page above it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The answer, or where nothing is shown the nearest page that is."""
        response = self.get_response(request)
        shown = request.method != "GET" or response.status_code != HTTPStatus.METHOD_NOT_ALLOWED
        return response if shown else redirect(page_above(request.path))


def too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose token is not the present one: nothing was saved, and here is the way back."""
    return render(request, "403_csrf.html", {"back": page_of(request)}, status=403)
