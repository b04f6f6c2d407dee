"""An engine that draws, in a process of its own: what breaks, swells or hangs there is one sentence here.

It starts when it is first asked, stays for the next request, and one that broke is followed by a new one.
"""

from __future__ import annotations

import atexit
import base64
import json
import os
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import IO, Any

from gristwright.basics import Problem, Refused
from gristwright.guard.frames import Babble, receive, send

MOST_MEMORY_BYTES = 2_500_000_000
START = (
    "import json, sys; asked = json.loads(sys.argv[1]); sys.path[:] = asked['path'];"
    " from gristwright.guard.inside import main; main(asked)"
)


class Engine:
    """The process that answers with `made` of a module, to one request at a time, whatever thread asks."""

    def __init__(self, module: str, what: str, way_out: str, seconds: float) -> None:
        self.module, self.what, self.way_out, self.seconds = module, what, way_out, seconds
        self.memory = MOST_MEMORY_BYTES
        self.process: subprocess.Popen[bytes] | None = None
        self._turn = threading.Lock()
        self._strange: list[subprocess.Popen[bytes]] = []
        atexit.register(self.close)
        if hasattr(os, "register_at_fork"):
            os.register_at_fork(after_in_child=self._forget)

    def ask(self, request: Mapping[str, Any]) -> list[bytes]:
        """What the module made of a request of plain values. Raises Refused when it broke, took too long or failed."""
        seconds = self.seconds  # one limit from the wait to the answer, whatever is set meanwhile
        if not self._turn.acquire(timeout=seconds):
            raise self._refused(f"waited {seconds:g} seconds for others to be drawn before it")
        try:
            return self._made(self._answer(request, seconds))
        finally:
            self._turn.release()

    def close(self) -> None:
        """End the process; it holds nothing that is missed."""
        process, self.process = self.process, None
        if process is None:
            return
        # By force, for a thread may still listen to it.
        process.kill()
        process.wait()
        for stream in _streams(process):
            # What was still to be written has no reader.
            with suppress(OSError):
                stream.close()

    def _answer(self, request: Mapping[str, Any], seconds: float) -> dict[str, Any]:
        """One message out and one in, with the end of the process when its time is over."""
        process = self._running()
        to, back = _streams(process)
        late = threading.Event()
        timer = threading.Timer(seconds, _end, (process, late))
        timer.daemon = True
        timer.start()
        answer = None
        try:
            with suppress(OSError, Babble):
                send(to, request)
                answer = receive(back)
        finally:
            timer.cancel()
            if answer is None or late.is_set():
                self.close()
        if answer is None:
            why = f"it takes more than {seconds:g} seconds" if late.is_set() else "its engine broke off"
            raise self._refused(why)
        return answer

    def _made(self, answer: Mapping[str, Any]) -> list[bytes]:
        if "fault" in answer:
            raise self._refused(str(answer["fault"]))
        return [base64.b64decode(one) for one in answer["made"]]

    def _running(self) -> subprocess.Popen[bytes]:
        if self.process is not None and self.process.poll() is not None:
            self.close()
        if self.process is None:
            self.process = self._started()
        return self.process

    def _started(self) -> subprocess.Popen[bytes]:
        asked = {"path": sys.path, "module": self.module, "memory": self.memory, "seconds": self.seconds}
        try:
            return subprocess.Popen(
                [sys.executable, "-I", "-c", START, json.dumps(asked)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=os.environ | {"RUST_BACKTRACE": "0"},
            )
        except OSError as error:
            raise self._refused(f"its engine could not be started: {error.strerror}") from None

    def _refused(self, why: str) -> Refused:
        return Refused([Problem("", f"{self.what} could not be drawn ({why}).", self.way_out)])

    def _forget(self) -> None:
        """A process that was split off has no engine yet: the one it knows of answers to another."""
        if self.process is not None:
            self._strange.append(self.process)
            self.process.returncode = 0
        self.process, self._turn = None, threading.Lock()


def _streams(process: subprocess.Popen[bytes]) -> tuple[IO[bytes], IO[bytes]]:
    """Where the process listens and where it speaks."""
    assert process.stdin is not None
    assert process.stdout is not None
    return process.stdin, process.stdout


def _end(process: subprocess.Popen[bytes], late: threading.Event) -> None:
    late.set()
    process.kill()
