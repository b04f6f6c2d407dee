"""Connections that are silent, slow, greedy or malformed do not stop the desk; real sockets, a small application."""

from __future__ import annotations

import contextlib
import math
import socket
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import pytest

from gristwright.workbench import connections
from gristwright.workbench.connections import IDLE_S, Caller, Door, open_door

# Waits end at once when the desk answers; this is how long one that does not is waited for.
GUARD_S = 20.0
GOOD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
# More than the system takes in for somebody who does not read.
LARGE = 15_000_000


def answering(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
    """Reads what was sent, and answers in short, or at length where that is asked."""
    sent = environ["wsgi.input"].read()
    start("200 OK", [("Content-Type", "text/plain")])
    return [b"x" * LARGE] if environ["PATH_INFO"] == "/large" else [f"{len(sent)} sent".encode()]


@pytest.fixture
def door(monkeypatch: pytest.MonkeyPatch) -> Iterator[Door]:
    """The server of the desk with short limits, so that a test need not wait for the long ones."""
    monkeypatch.setattr(connections, "MOST_CONNECTIONS", 12)
    monkeypatch.setattr(connections, "LOOK_EVERY_S", 0.1)
    opened = open_door(answering, "127.0.0.1", 0)
    opened.adj.asyncore_loop_timeout = 0.05
    stop = threading.Event()

    def run() -> None:
        while not stop.is_set():
            opened.asyncore.loop(timeout=0.05, map=opened._map, count=1)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    yield opened
    stop.set()
    thread.join(GUARD_S)
    opened.task_dispatcher.shutdown(timeout=1)
    for channel in list(opened.active_channels.values()):
        channel.handle_close()
    opened.close()


def call(door: Door, sent: bytes = b"") -> socket.socket:
    """A connection on which something was sent and nothing read."""
    line = socket.create_connection(("127.0.0.1", int(door.effective_port)), timeout=GUARD_S)
    if sent:
        line.sendall(sent)
    return line


@contextlib.contextmanager
def calls(door: Door, count: int, sent: bytes = b"") -> Iterator[list[socket.socket]]:
    """So many of them, hung up at the end."""
    with contextlib.ExitStack() as held:
        yield [held.enter_context(call(door, sent)) for _ in range(count)]


def heard(line: socket.socket) -> bytes:
    """What comes on a connection until it is closed."""
    pieces = []
    with contextlib.suppress(ConnectionResetError):
        while piece := line.recv(65_536):
            pieces.append(piece)
    return b"".join(pieces)


def lives(door: Door) -> bool:
    """Whether the owner is answered."""
    with call(door, GOOD) as line:
        return line.recv(200).startswith(b"HTTP/1.1 200")


def closed(line: socket.socket) -> bool:
    with contextlib.suppress(ConnectionResetError):
        return line.recv(1) == b""
    return True


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"G",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n",
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 900\r\n\r\nx",
    ],
    ids=["silent", "a letter", "half a head", "half a body"],
)
def test_more_half_connections_than_there_is_room_for_let_the_owner_in(door: Door, sent: bytes) -> None:
    with calls(door, 40, sent) as lines:
        assert all(lives(door) for _ in range(3))
        assert closed(lines[0])


def test_the_newest_is_not_the_one_that_is_given_up(door: Door) -> None:
    with calls(door, 6), call(door, GOOD[:-2]) as owner, calls(door, 5):
        owner.sendall(b"\r\n")
        assert owner.recv(200).startswith(b"HTTP/1.1 200")
        with calls(door, 6):
            owner.sendall(GOOD)
            assert owner.recv(200).startswith(b"HTTP/1.1 200")


def test_a_request_that_comes_byte_by_byte_ends(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "REQUEST_S", 0.5)
    with call(door, b"GET / HTTP/1.1\r\nX: ") as line, contextlib.suppress(ConnectionError):
        end = time.monotonic() + GUARD_S
        while time.monotonic() < end:
            line.sendall(b"x")
            time.sleep(0.05)
        pytest.fail("it never ended")
    assert lives(door)


def test_an_answer_that_nobody_reads_is_given_up(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "IDLE_S", 0.5)
    with calls(door, 8, GOOD.replace(b"/ ", b"/large ", 1)) as lines:
        assert lives(door)
        end = time.monotonic() + GUARD_S
        while waiting(door) and time.monotonic() < end:
            time.sleep(0.05)
        assert not waiting(door)
        assert len(heard(lines[0])) < LARGE


def test_an_answer_that_was_long_in_the_making_has_all_its_time_to_be_read() -> None:
    """Its connection was silent for as long as it took; counted from there it was hung up on in the middle."""
    one = object.__new__(Caller)
    one.last_activity, one.total_outbufs_len, one.unread_since = 0.0, 9, math.inf
    assert [one.unread(now) for now in (500.0, 500.0 + IDLE_S, 501.0 + IDLE_S)] == [False, False, True]
    one.last_activity = 500.0 + IDLE_S
    assert not one.unread(501.0 + IDLE_S)
    one.total_outbufs_len = 0
    assert not one.unread(9_999.0)


def waiting(door: Door) -> bool:
    """Whether an answer waits to be read."""
    return any(one.total_outbufs_len for one in list(door.active_channels.values()))


def test_many_requests_at_once_that_nobody_reads_hold_no_hands(door: Door) -> None:
    with calls(door, 8, GOOD.replace(b"/ ", b"/large ", 1) * 100):
        assert all(lives(door) for _ in range(3))


def test_a_few_requests_at_once_are_all_answered(door: Door) -> None:
    with call(door, GOOD * 3 + GOOD.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n")) as line:
        assert heard(line).count(b"HTTP/1.1 200 OK") == 4


HEAD = b"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\n"
BODY = b"GET /large HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"GET /\r\n\r\n", b""),
        (b"\x16\x03\x01\x02\x00" + b"\x00" * 300 + b"\r\n\r\n", b"400"),
        (b"GET / HTTP/9.9\r\n\r\n", b""),
        (b"GET  / HTTP/1.1\r\n\r\n", b""),
        (HEAD + b"X: " + b"x" * 1_000_000 + b"\r\n\r\n", b"431"),
        (b"GET /" + b"x" * 1_000_000 + b" HTTP/1.1\r\n\r\n", b"431"),
        (HEAD + b"".join(b"X-%d: x\r\n" % n for n in range(20_000)) + b"\r\n", b"431"),
        (HEAD + b"Content-Length: 21000000\r\n\r\n", b"413"),
        (HEAD + b"Content-Length: -1\r\n\r\n", b"400"),
        (HEAD + b"Content-Length: +5\r\n\r\nhello", b"400"),
        (HEAD + b"Content-Length: 5\r\nContent-Length: 6\r\n\r\nhello!", b"400"),
        (HEAD + b"Content-Length: " + b"9" * 4000 + b"\r\n\r\n", b"4"),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n", b"400"),
        (HEAD + b"Transfer-Encoding: chunked\r\n\r\n-5\r\nhello\r\n0\r\n\r\n", b"400"),
        (HEAD + b"Transfer-Encoding: xchunked\r\n\r\n", b"501"),
        (HEAD + b"Transfer-Encoding: chunked, identity\r\n\r\n", b"501"),
        (HEAD + b"Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n", b"400"),
        (HEAD + b"Content-Length : 5\r\n\r\nhello", b"400"),
        (HEAD + b" folded: x\r\n\r\n", b""),
        (HEAD + b"X: a\rb\r\n\r\n", b"400"),
        (HEAD + b"X\x00: a\r\n\r\n", b"400"),
    ],
)
def test_what_is_no_request_is_answered_or_closed_and_nothing_behind_it_is_served(
    door: Door, sent: bytes, status: bytes
) -> None:
    with call(door) as line:
        with contextlib.suppress(OSError):
            line.sendall(sent)
            line.shutdown(socket.SHUT_WR)
        said = heard(line)
    if status and said:
        assert said.split(b" ", 2)[1].startswith(status), said[:200]
    assert lives(door)


@pytest.mark.parametrize(
    "head",
    [
        b"Content-Length: %d\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n" % len(BODY),
        b"Transfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n0\r\n\r\n",
        b"Content-Length: 0\r\nTransfer-Encoding:\x0bchunked\r\n\r\n",
        b"Content-Length: 0\r\nContent-Length: %d\r\n\r\n" % len(BODY),
    ],
)
def test_a_request_that_says_its_length_twice_smuggles_no_other(door: Door, head: bytes) -> None:
    """What follows is a request of its own or part of the body; never both, and no third."""
    with call(door, HEAD + head + BODY) as line:
        line.shutdown(socket.SHUT_WR)
        said = heard(line)
    assert said.count(b"HTTP/1.") <= 2
    assert lives(door)


@pytest.mark.parametrize("chunk", [b"1\r\nx\r\n", b"1;" + b"x" * 8000, b"1000\r\n" + b"x" * 4096 + b"\r\n"])
def test_a_body_in_chunks_without_end_ends(door: Door, chunk: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    door.adj.max_request_body_size = 200_000
    with call(door, HEAD + b"Transfer-Encoding: chunked\r\n\r\n") as line, contextlib.suppress(ConnectionError):
        for _ in range(20_000_000 // len(chunk)):
            line.sendall(chunk)
        pytest.fail("it never ended")
    assert lives(door)
