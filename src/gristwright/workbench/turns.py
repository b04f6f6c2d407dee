"""Changes one after the other: what is read and what is written from it stand in one transaction. See docs/desk.md."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from functools import wraps

from django.db import OperationalError, models, transaction
from django.http import HttpRequest, HttpResponse

from gristwright.basics import Problem, Refused, at

# How often a turn is waited for; each time as long as the settings say.
TRIES = 3
# Behind others of this process; after that it is told that the desk is busy.
LONGEST_S = 60.0
_line = threading.Lock()


@contextmanager
def turn() -> Iterator[None]:
    """A transaction that may write from its beginning (as the settings have it): rows read inside are the newest.

    Raises OperationalError when it never comes. A turn inside a turn is part of it.
    """
    within = transaction.get_connection().in_atomic_block
    with ExitStack() as begun:
        begun.enter_context(nullcontext() if within else _in_line())
        for left in reversed(range(TRIES)):
            try:
                begun.enter_context(transaction.atomic())
                break
            except OperationalError:
                if not left:
                    raise
        yield


@contextmanager
def _in_line() -> Iterator[None]:
    """One after the other: SQLite lets whoever asks next go first, so that one of several could wait for ever."""
    if not _line.acquire(timeout=LONGEST_S):
        raise OperationalError("database is locked by others at this desk")
    try:
        yield
    finally:
        _line.release()


def in_turn(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """A view whose changes are a turn, from the first row it reads; to look takes none."""

    @wraps(view)
    def taken(request: HttpRequest, *args: object, **named: object) -> HttpResponse:
        with turn() if request.method == "POST" else nullcontext():
            return view(request, *args, **named)

    return taken


def refuse_if_gone(row: models.Model) -> None:
    """Raise Refused for a row that somebody deleted since it was read; asked inside a turn."""
    if not type(row)._default_manager.filter(pk=row.pk).exists():
        name = str(row._meta.verbose_name)
        raise Refused([Problem(at(name), "was deleted meanwhile.", "Nothing was done; go back to the enquiries.")])
