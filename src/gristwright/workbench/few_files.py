"""So many files are taken in at a time: whoever sends more is told at once, and the other pages go on."""

from __future__ import annotations

import threading
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

# Of the server's six threads; a file may take twenty seconds and more.
MOST_AT_ONCE = 3
BUSY = 503


class FewFiles:
    """Counts the forms with files that are being answered, and turns away what is too many."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.places = threading.BoundedSemaphore(MOST_AT_ONCE)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or say that other files are being read; nothing of this one was read then."""
        if request.method != "POST" or request.content_type != "multipart/form-data":
            return self.get_response(request)
        if not self.places.acquire(blocking=False):
            return render(request, "desk/busy.html", status=BUSY)
        try:
            return self.get_response(request)
        finally:
            self.places.release()
