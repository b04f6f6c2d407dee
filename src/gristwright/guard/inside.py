"""What runs inside the process of an engine: one request after the other, until the process that asks has ended."""

from __future__ import annotations

import base64
import importlib
import signal
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any

from gristwright.guard.frames import receive, send
from gristwright.guard.limits import LIMITED, Unlimited, allow_more_time, keep_data_within

Made = list[bytes]


def main(asked: Mapping[str, Any]) -> None:
    """Answer with `made` of the module asked for, under the limits asked for: memory in bytes, seconds a request."""
    # Ctrl+C is for the process that asks; this one ends when its input does.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if LIMITED:
        # Where a system sets no such limit, time alone is limited, by the process that asks.
        with suppress(Unlimited):
            keep_data_within(asked["memory"])
    made: Callable[[Mapping[str, Any]], Made] = importlib.import_module(asked["module"]).made
    while (request := receive(sys.stdin.buffer)) is not None:
        # Should the process that asks be killed meanwhile, this one does not count on for ever.
        allow_more_time(asked["seconds"])
        send(sys.stdout.buffer, _answer(made, request))


def _answer(made: Callable[[Mapping[str, Any]], Made], request: Mapping[str, Any]) -> dict[str, Any]:
    try:
        return {"made": [base64.b64encode(one).decode("ascii") for one in made(request)]}
    except Exception as error:
        return {"fault": " ".join(str(error).split())[:300] or type(error).__name__}
