"""A request as it reaches the pages behind the door: its owner is known, and whether htmx asks. See docs/desk.md."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails


class DeskRequest(HttpRequest):
    """What the middleware adds to a request; no object is ever made of this class."""

    user: User
    htmx: HtmxDetails
