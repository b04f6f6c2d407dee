"""Changes one after the other: what is read and what is written from it stand in one transaction. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from functools import wraps

from django.db import OperationalError, transaction
from django.http import HttpRequest, HttpResponse

# How often a turn is waited for; each time as long as the settings say.
TRIES = 3


@contextmanager
def turn() -> Iterator[None]:
    """A transaction that may write from its beginning (as the settings have it): rows read inside are the newest."""
    with ExitStack() as begun:
        for left in reversed(range(TRIES)):
            try:
                begun.enter_context(transaction.atomic())
                break
            except OperationalError:
                if not left:
                    raise
        yield


def in_turn(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """A view whose changes are a turn, from the first row it reads; to look takes none."""

    @wraps(view)
    def taken(request: HttpRequest, *args: object, **named: object) -> HttpResponse:
        with turn() if request.method == "POST" else nullcontext():
            return view(request, *args, **named)

    return taken
