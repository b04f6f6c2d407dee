"""The two streams of a command may be full or closed: told in a sentence, without a traceback. See docs/commands.md."""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
from collections.abc import Callable, Iterator
from typing import Any

OUTPUT_LOST = 3
REASONS = {
    errno.EPIPE: "whoever read it has closed it",
    errno.EBADF: "it is closed",
    errno.ENOSPC: "there is no room left on its disk",
    errno.EDQUOT: "your share of its disk is used up",
    errno.EFBIG: "the file it goes to may not grow larger",
}


class OutputLost(Exception):
    """The standard output takes no more; the text says why."""


class Stream:
    """A standard stream that says so when it takes no more, or is silent about it when nobody could hear."""

    def __init__(self, stream: Any, must: bool) -> None:
        self.stream, self.must = stream, must
        self.lost = "" if stream is not None else REASONS[errno.EBADF]

    def write(self, text: str) -> int:
        """Write a text. Raises OutputLost where it must be read and cannot be."""
        if isinstance(getattr(self.stream, "buffer", None), io.RawIOBase):
            # An unbuffered stream writes as much as it can and says how much that was, which nobody asks.
            left = text.encode(self.stream.encoding, self.stream.errors)
            while left:
                left = left[self._do(self.stream.buffer.write, left) or len(left) :]
        elif text != "" and self.stream is not None:
            self._do(self.stream.write, text)
        else:
            self._do(len, text)
        return len(text)

    def flush(self) -> None:
        """Bring it out. Raises OutputLost where it must be read and cannot be."""
        if self.stream is not None:
            self._do(self.stream.flush)

    def _do(self, what: Callable[..., int | None], *given: str | bytes) -> int | None:
        """Once lost, lost: what comes later would stand after a gap."""
        if not self.lost:
            try:
                return what(*given)
            except OSError as error:
                self.lost = REASONS.get(error.errno or 0, error.strerror or str(error))
                _into_nothing(self.stream)
        if self.lost and self.must:
            raise OutputLost(self.lost)
        return None

    def isatty(self) -> bool:
        """Whether a person looks on."""
        return self.stream is not None and bool(self.stream.isatty())

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


@contextlib.contextmanager
def told_streams() -> Iterator[None]:
    """Both standard streams watched, and as they were afterwards. Raises OutputLost, at the latest when it ends."""
    before = sys.stdout, sys.stderr
    if None in before:
        _fill_closed()
    sys.stdout, sys.stderr = Stream(before[0], must=True), Stream(before[1], must=False)
    try:
        yield
        if before[0] is not None:
            sys.stdout.flush()
    finally:
        sys.stderr.flush()
        sys.stdout, sys.stderr = before


def _fill_closed() -> None:
    """Nothing that is opened later may take the number of a closed standard stream and be written into."""
    while True:
        handle = os.open(os.devnull, os.O_RDWR)
        if handle > 2:
            os.close(handle)
            return


def _into_nothing(stream: Any) -> None:
    """What a stream still holds goes nowhere, or the interpreter stumbles over it when it ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        number = stream.fileno()
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, number)
        os.close(nothing)
