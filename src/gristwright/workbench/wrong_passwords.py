"""Wrong passwords, counted together, and the lock that ends whatever the clock does. See docs/desk.md."""

from __future__ import annotations

from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from axes.utils import reset
from django.http import HttpRequest

ONE_PLACE = "127.0.0.1"


def one_place(_: HttpRequest) -> str:
    """Where every request counts as coming from: this machine, by whatever address or header it says so."""
    return ONE_PLACE


class OneLock(AxesDatabaseHandler):  # type: ignore[misc]
    """The lock of the desk. What was tried in a future that a clock set back has taken away was tried now."""

    def get_user_attempts(self, request: Any, credentials: dict[str, Any] | None = None) -> list[Any]:
        """Those that count; a lock from the future ends as long after now as any other."""
        now = request.axes_attempt_time
        AccessAttempt.objects.filter(attempt_time__gt=now).update(attempt_time=now)
        found: list[Any] = super().get_user_attempts(request, credentials)
        return found


def forget() -> bool:
    """Forget every wrong password; whether there was one."""
    return bool(reset())
