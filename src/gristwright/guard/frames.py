"""How two processes talk through a pipe: a mark, a length, one JSON object. Bytes inside stand in base 64."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

MARK = b"gristwr1"
MOST_BYTES = 200_000_000


class Babble(Exception):
    """What came through the pipe is no message of ours."""


def send(stream: IO[bytes], message: Mapping[str, Any]) -> None:
    """Write one message. Raises OSError when nobody reads."""
    said = json.dumps(message).encode("ascii")
    stream.write(MARK + len(said).to_bytes(8, "big") + said)
    stream.flush()


def receive(stream: IO[bytes]) -> dict[str, Any] | None:
    """Read one message; None when the other side has ended. Raises Babble."""
    head = stream.read(len(MARK) + 8)
    if not head:
        return None
    length = int.from_bytes(head[len(MARK) :], "big")
    if not head.startswith(MARK) or length > MOST_BYTES:
        raise Babble
    said = stream.read(length)
    try:
        message = json.loads(said) if len(said) == length else None
    except ValueError:
        message = None
    if not isinstance(message, dict):
        raise Babble
    return message
