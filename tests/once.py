"""What takes long and comes out the same each time, worked out once for all processes of a test run."""

from __future__ import annotations

import fcntl
import functools
import os
import pickle
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


def once(worked_out: Callable[P, T], beside: tuple[str, ...] = ("tick",)) -> Callable[P, T]:
    """The same function, whose answers lie on the shelf of the run under what was asked, save the arguments `beside`.

    What was asked has to show itself whole in its `repr`. Who finds an answer under way waits for it.
    """

    @functools.wraps(worked_out)
    def found(*args: P.args, **kwargs: P.kwargs) -> T:
        counted = {name: value for name, value in kwargs.items() if name not in beside}
        asked = repr((worked_out.__module__, worked_out.__qualname__, args, sorted(counted.items())))
        return _kept(sha256(asked.encode()).hexdigest(), lambda: worked_out(*args, **kwargs))

    return found


@functools.cache
def _shelf() -> Path:
    """A folder of the run, made and taken away by its first process (desk_settings)."""
    return Path(os.environ["GRISTWRIGHT_TEST_SHELF"])


_here: dict[str, object] = {}


def _kept(name: str, work: Callable[[], T]) -> T:
    if name not in _here:
        with (_shelf() / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            book = _shelf() / f"{name}.pickle"
            if not book.exists():
                made = pickle.dumps(work())
                book.write_bytes(made)
            _here[name] = pickle.loads(book.read_bytes())
    return _here[name]  # type: ignore[return-value]
