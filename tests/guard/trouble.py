"""A module for an engine that does what an engine should not."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping


def made(request: Mapping[str, str]) -> list[bytes]:
    """Say a text, or make the trouble asked for."""
    match request["do"]:
        case "say":
            return [request["text"].encode()]
        case "fail":
            raise ValueError(request["text"])
        case "abort":
            os.abort()
        case "leave":
            raise SystemExit(0)
        case "babble":
            sys.stdout.write("Warning: something\n")
            sys.stdout.flush()
            return [b""]
        case "swell":
            return [bytearray(20_000_000_000)]
    while True:
        pass
