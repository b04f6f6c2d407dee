"""The desk as a program: one data folder, one server on this machine, one worker. See docs/desk.md."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from gristwright.basics import Address, Problem, Refused
from gristwright.files.writing import tidy, unwritable
from gristwright.workbench import home, made_static
from gristwright.workbench.worker import set_up

HOST = "127.0.0.1"
GRACE_S = 5


def serve(port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve until stopped. Raises Refused when the folder or the port is taken by another."""
    os.umask(0o077)
    with only_desk(home.folder()):
        kept = _open_data(say)
        server = _server(port)
        address = f"http://{HOST}:{server.effective_port}/"
        if kept:
            say(f"The desk's data were brought up to date. As they were before: {kept}")
        say(f"The desk is open at {address}\nIts data is in {home.folder()}\nStop it with Ctrl+C.")
        with Worker():
            signal.signal(signal.SIGTERM, _leave)
            if browser:
                threading.Timer(0.5, webbrowser.open, [address]).start()
            server.run()
        _interrupted()


def _leave(*_: object) -> None:
    raise SystemExit(0)


@contextmanager
def only_desk(folder: Path) -> Iterator[None]:
    """Hold the data folder: two desks on one folder would each call the other's jobs cut short."""
    with _lock_file(folder / "desk.lock") as file:
        if not _locked(file):
            what = "is in use by a desk that is open already."
            way_out = f"Use that one, or set {home.VARIABLE} to another folder."
            raise Refused([Problem(Address(str(folder)), what, way_out)])
        yield


def is_open(folder: Path) -> bool:
    """Whether a desk holds the data folder now; it looked at the data when it was opened."""
    with _lock_file(folder / "desk.lock") as file:
        return not _locked(file)


def _lock_file(path: Path) -> IO[str]:
    """The file that is locked, made if need be; nothing of what a link or a pipe of that name leads to is touched."""
    how = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        return os.fdopen(os.open(path, how, 0o600), "w", encoding="ascii")
    except OSError as error:
        raise unwritable(path, error) from error


def _locked(file: IO[str]) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _open_data(say: Callable[[str], None]) -> Path | None:
    """The data looked at, closed to others and brought up to date; the copy made before. Raises Refused."""
    here = home.folder()
    try:
        tidy(here)
        anew = home.key_to_be_made_anew(here)
        set_up()
        refuse_unfit(here)
        for told in (*anew, *home.closed_to_others(here)):
            say(told)
        made_static.lay_out(home.static())
    except OSError as error:
        raise unwritable(here, error) from error
    from gristwright.store.trouble import told_as_refusal

    with told_as_refusal():
        kept = _prepare()
        home.begun(here)
    return kept


def refuse_unfit(here: Path) -> None:
    """Raise Refused for data that this release cannot open as they are. Django is set up; writes nothing."""
    from gristwright.store import before_opening
    from gristwright.store.upkeep import known_steps

    copies = list(here.glob(home.COPIES))
    before_opening.refuse_unfit(here / home.DATABASE, home.was_used(here), known_steps(), copies)


def _prepare() -> Path | None:
    """Bring the data up to date, and say of jobs that were running that they were cut short; the copy made."""
    from gristwright.store.upkeep import bring_up_to_date
    from gristwright.workbench.issued import freeze_earlier

    kept = bring_up_to_date()
    freeze_earlier()
    _interrupt()
    return kept


def _interrupt() -> None:
    from gristwright.workbench.jobs import interrupt_running

    interrupt_running()


def _interrupted() -> bool:
    """Say of running jobs that they were cut short; False where that cannot be written now."""
    from django.db import DatabaseError, connection

    try:
        _interrupt()
    except DatabaseError:
        connection.close_if_unusable_or_obsolete()
        return False
    return True


def _server(port: int) -> Any:
    from django.core.wsgi import get_wsgi_application

    from gristwright.workbench.connections import open_door

    try:
        return open_door(get_wsgi_application(), HOST, port)
    except OSError as error:
        what = f"cannot be used ({error.strerror})."
        raise Refused([Problem(f"port {port}", what, "Give another one with --port, or 0 for any free one.")]) from None


class Worker:
    """The worker process: started, started again when it dies, ended with the desk."""

    def __init__(self) -> None:
        self.leaving = threading.Event()
        self.process = self._start()
        self.keeper = threading.Thread(target=self._keep, daemon=True)

    def __enter__(self) -> Worker:
        self.keeper.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.leaving.set()
        assert self.process.stdin is not None
        self.process.stdin.close()
        try:
            self.process.wait(GRACE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()

    def _start(self) -> subprocess.Popen[bytes]:
        return subprocess.Popen([sys.executable, "-m", "gristwright.workbench.worker"], stdin=subprocess.PIPE)

    def _keep(self) -> None:
        """A worker that dies takes its job with it; the next one goes on with what waits."""
        while True:
            self.process.wait()
            if self.leaving.wait(0.5):
                return
            # With no room to write that down the next worker still begins; it says so of what it finds running.
            _interrupted()
            try:
                self.process = self._start()
            except OSError:
                continue
