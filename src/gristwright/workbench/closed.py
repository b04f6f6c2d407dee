"""The first gate: what is foreign is turned away, and every answer forbids what is not from here. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden, HttpResponseNotAllowed

POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)

METHODS = ("GET", "HEAD", "POST")
# What a browser says of a form that another page sent, be it one of another program on this machine.
FOREIGN = ("cross-site", "same-site")
SENT_ELSEWHERE = "This form was not sent from the desk, so nothing was done. Open the desk and send it there.\n"


class ClosedDoors:
    """Asks for host, method and sender before anything is served, and writes the content security policy."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request from this machine; any other host raises DisallowedHost, which is a 400."""
        request.get_host()
        response = self._turned_away(request) or self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    @staticmethod
    def _turned_away(request: HttpRequest) -> HttpResponse | None:
        """What is answered to a request that no page here makes."""
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        if request.method == "POST" and request.headers.get("Sec-Fetch-Site") in FOREIGN:
            return HttpResponseForbidden(SENT_ELSEWHERE, content_type="text/plain; charset=utf-8")
        return None
