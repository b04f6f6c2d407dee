"""Connections to the desk: none that is silent, slow or does not read stands in the owner's way. See docs/desk.md.

The server is waitress. By itself it turns newcomers away once so many connections are open, however idle those are, and
gives a request that comes byte by byte all the time there is. Here the stalest goes instead, and a request has an end.
"""

from __future__ import annotations

import math
import time
from contextlib import suppress
from socket import SHUT_RDWR
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

THREADS = 6
MOST_BODY_BYTES, MOST_HEAD_BYTES = 20_000_000, 65_536
# With more than this the stalest is given up for the newest.
MOST_CONNECTIONS = 150
# Requests sent on one connection before the first is answered; a browser sends one.
MOST_AT_ONCE = 4
LOOK_EVERY_S, REQUEST_S, IDLE_S = 5, 60, 120


class Caller(HTTPChannel):  # type: ignore[misc]
    """One connection: since when it has sent nothing whole, and since when what it sends is under way."""

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        self.stale_since = self.begun = time.monotonic()
        self.unread_since = math.inf

    def received(self, data: bytes) -> bool:
        """Take what was sent. One that sends many requests without reading an answer is closed."""
        before = self.request
        taken = bool(super().received(data))
        if self.request is not before:
            self.begun = time.monotonic()
        if len(self.requests) > MOST_AT_ONCE:
            self.give_up()
        return taken

    def service(self) -> None:
        """Answer one request, which may have waited long; from then on it may go stale again."""
        self.stale_since, self.last_activity = time.monotonic(), time.time()
        super().service()
        self.stale_since = time.monotonic()

    def give_up(self) -> None:
        """Hang up; the loop, which waits until it can write, then finds that it can and closes."""
        self.will_close = True
        with suppress(OSError):
            self.socket.shutdown(SHUT_RDWR)

    def too_slow(self, now: float) -> bool:
        """Whether a request has been under way for too long."""
        return self.request is not None and not self.requests and now - self.begun > REQUEST_S

    def unread(self, now: float) -> bool:
        """Whether an answer waits of which nothing was read for long; asked again and again."""
        waited = min(self.unread_since, now)
        self.unread_since = max(waited, self.last_activity) if self.total_outbufs_len else math.inf
        return now - self.unread_since > IDLE_S


class Door(TcpWSGIServer):  # type: ignore[misc]
    """The server; a full house lets the newest in."""

    channel_class = Caller

    def handle_accept(self) -> None:
        """Let one more in."""
        if len(self.active_channels) >= MOST_CONNECTIONS:
            idle = [one for one in self.active_channels.values() if not one.requests and not one.will_close]
            if idle:
                min(idle, key=lambda one: one.stale_since).give_up()
        super().handle_accept()

    def maintenance(self, now: float) -> None:
        """Give up what is idle, too slow or does not read."""
        super().maintenance(now)
        for one in self.active_channels.values():
            if one.too_slow(time.monotonic()) or one.unread(now):
                one.give_up()


def open_door(application: Any, host: str, port: int) -> Door:
    """The server of an application at an address, ready to run. Raises OSError when that is taken."""
    said = Adjustments(
        host=host, port=port, threads=THREADS, ident=None, max_request_body_size=MOST_BODY_BYTES,
        max_request_header_size=MOST_HEAD_BYTES, channel_timeout=IDLE_S, cleanup_interval=LOOK_EVERY_S,
        connection_limit=MOST_CONNECTIONS + 50,
    )  # fmt: skip
    hands = ThreadedTaskDispatcher()
    hands.set_thread_count(said.threads)
    return Door(application, map={}, dispatcher=hands, adj=said, sockinfo=said.listen[0])
