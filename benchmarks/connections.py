"""What the owner waits for while others hold connections. Run: .venv/bin/python benchmarks/connections.py [MANY].

A desk on a folder of its own, as a person starts it. Of each kind so many connections (110 unless another number is
given) are held open while the owner loads the page of the bill ten times, each time on a new connection. Figures are of
one run on one machine; the limit is for a machine with nothing else to do.
"""

from __future__ import annotations

import contextlib
import socket
import sys
import tempfile
import threading
import time
import urllib.parse
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from browser.conftest import Desk
from browser.person import Person

HELD, LOADS, MOST_S = 110, 10, 3.0
HEAD = b"GET /enter/ HTTP/1.1\r\nHost: 127.0.0.1\r\n"
WHOLE = HEAD + b"\r\n"
# What each connection begins with, and what it sends every second from then on.
KINDS = {
    "nobody there": None,
    "open and say nothing": (b"", b""),
    "a byte of the head a second": (HEAD + b"X: ", b"x"),
    "a byte of the body a second": (HEAD.replace(b"GET", b"POST") + b"Content-Length: 20000000\r\n\r\n", b"x"),
    "a chunk without end a second": (
        HEAD.replace(b"GET", b"POST") + b"Transfer-Encoding: chunked\r\n\r\n",
        b"1\r\nx\r\n",
    ),
    "ask for the largest file, read nothing": (WHOLE.replace(b"/enter/", b"/static/made/vega.js"), b""),
    "ask once and stay": (WHOLE, b""),
    "ask again and again, read nothing": (WHOLE, WHOLE),
    "100,000 requests in one go": (WHOLE * 1000, WHOLE * 1000),
}


def call(address: str, first: bytes) -> socket.socket:
    """A connection on which something was sent."""
    where = urllib.parse.urlsplit(address)
    line = socket.create_connection((str(where.hostname), int(where.port or 0)), timeout=5)
    line.setblocking(False)
    with contextlib.suppress(OSError):
        line.send(first)
    return line


@contextlib.contextmanager
def held(address: str, count: int, first: bytes, then: bytes) -> Iterator[None]:
    """So many connections of one kind, each sending its part every second."""
    lines = [call(address, first) for _ in range(count)]
    over = threading.Event()

    def send() -> None:
        while then and not over.wait(1.0):
            for line in lines:
                with contextlib.suppress(OSError):
                    line.send(then)

    sender = threading.Thread(target=send)
    sender.start()
    yield
    over.set()
    sender.join()
    for line in lines:
        line.close()


def main(count: int) -> bool:
    """Print what the owner waited for beside each kind; whether the limit was held."""
    with tempfile.TemporaryDirectory(prefix="gristwright-benchmark-") as folder:
        desk = Desk(Path(folder)).open()
        owner = Person(desk.address)
        here = owner.begin()
        slowest = {}
        try:
            for kind, sent in KINDS.items():
                with held(desk.address, count, *sent) if sent else contextlib.nullcontext():
                    time.sleep(1.5)
                    slowest[kind] = max(timed(owner, here) for _ in range(LOADS))
                told = "held" if slowest[kind] <= MOST_S else "NOT HELD"
                print(f"{count:5} {kind:40} the owner waits {slowest[kind]:6.2f} s at most   {told}", flush=True)
        finally:
            desk.close()
    return all(waited <= MOST_S for waited in slowest.values())


def timed(owner: Person, here: str) -> float:
    """Seconds until the owner has the page."""
    start = time.perf_counter()
    assert "</html>" in owner.get(here)
    return time.perf_counter() - start


if __name__ == "__main__":
    raise SystemExit(0 if main(int(sys.argv[1]) if len(sys.argv) > 1 else HELD) else 1)
