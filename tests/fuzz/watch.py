"""What is looked at while a case runs: time, memory, what it leaves behind, and what counts as a finding."""

from __future__ import annotations

import gc
import json
import os
import re
import resource
import shutil
import signal
import tempfile
import threading
import time
import traceback
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

# Of the processor, which other programs on the machine do not use up; the clock is looked at for what only waits.
MOST_SECONDS = 10.0
CLOCK_TIMES = 9.0
MOST_MEGABYTES = 2_000
PACKAGE = "gristwright"
# Kinds of findings without a place that have as many causes as sentences, the values in them apart.
TOLD_APART = ("accepted, and cannot be read back",)
QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"|[\d.]+")
# Folders that the process keeps until it ends: the fonts of charts.
KEPT = ("gristwright-font-",)
# Shown on a terminal or in a sentence they move the cursor, turn the text round or end it.
TURNING = {*map(chr, range(0x202A, 0x202F)), *map(chr, range(0x2066, 0x206A))}
LONGEST_SENTENCE = 3000


class Found(Exception):
    """Something that must not happen: what kind of thing, and what was seen."""

    def __init__(self, kind: str, what: str) -> None:
        self.kind, self.what = kind, what
        super().__init__(f"{kind}: {what}")


class TooSlow(BaseException):
    """A case took longer than it may; no handler of the product may swallow it."""


@dataclass(frozen=True)
class Seen:
    """One case run: how it ended, the processor's time [s], the most memory [MB], the finding where there is one."""

    ended: str
    seconds: float
    megabytes: float
    finding: Finding | None = None


@dataclass(frozen=True)
class Finding:
    """A finding: its kind, where the product stood, what was seen, and the traceback."""

    kind: str
    place: str
    what: str
    trace: str

    @property
    def name(self) -> str:
        """What findings of one cause share."""
        if self.place:
            return f"{self.kind} at {self.place}"
        return f"{self.kind}: {re.sub(QUOTED, '#', self.what)[:60]}" if self.kind in TOLD_APART else self.kind


def watched(run: Callable[[], str], seconds: float = MOST_SECONDS, megabytes: float = MOST_MEGABYTES) -> Seen:
    """Run a case under the limits and look at what it leaves behind."""
    forget_peak()
    there = set(os.listdir(tempfile.gettempdir()))
    began = time.process_time()
    finding = None
    ended = "finding"
    try:
        with limited(seconds):
            ended = run()
    except Found as found:
        finding = Finding(found.kind, _place(found), found.what, traceback.format_exc())
    except TooSlow as slow:
        finding = Finding(
            "too slow",
            _place(slow),
            f"more than {seconds:g} s of the processor, or {CLOCK_TIMES * seconds:g} s",
            traceback.format_exc(),
        )
    except (Exception, SystemExit) as fault:
        said = f"{type(fault).__name__}: {fault}"[:300]
        finding = Finding(f"crash, {type(fault).__name__}", _place(fault), said, traceback.format_exc())
    took, peak = time.process_time() - began, peak_megabytes()
    left = left_behind(there)
    if finding is None and peak > megabytes:
        gc.collect()
        finding = Finding("too much memory", "", f"{peak:.0f} MB, more than {megabytes:g} MB", "")
    if finding is None and left:
        finding = Finding("left behind", "", ", ".join(re.sub(r"[a-z0-9_]{8}$", "", name) for name in left), "")
    return Seen("finding" if finding else ended, took, peak, finding)


@contextmanager
def limited(seconds: float) -> Iterator[None]:
    """Raise TooSlow inside after so many seconds; only the main thread can be told."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def late(_: int, __: FrameType | None) -> None:
        # Once more, should a handler in between have swallowed the first.
        signal.setitimer(signal.ITIMER_PROF, 1.0)
        raise TooSlow

    timers = (
        (signal.ITIMER_PROF, signal.SIGPROF, seconds),
        (signal.ITIMER_REAL, signal.SIGALRM, CLOCK_TIMES * seconds),
    )
    before = [signal.signal(number, late) for _, number, _ in timers]
    for timer, _, length in timers:
        signal.setitimer(timer, length)
    try:
        yield
    finally:
        for (timer, number, _), handler in zip(timers, before, strict=True):
            signal.setitimer(timer, 0.0)
            signal.signal(number, handler)


def forget_peak() -> None:
    """Begin to count the largest memory anew, where the system can (Linux)."""
    try:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    except OSError:
        return


def peak_megabytes() -> float:
    """The largest resident memory since it was last forgotten, or since the start where the system cannot forget."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii")
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024.0  # type: ignore[index]


def left_behind(there: set[str]) -> list[str]:
    """Names in the folder for temporary files that were not there before, taken away."""
    folder = Path(tempfile.gettempdir())
    names = [name for name in sorted(set(os.listdir(folder)) - there) if not name.startswith(KEPT)]
    for path in (folder / name for name in names):
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    return names


def _place(fault: BaseException) -> str:
    """The line of the product where it happened; none where none was on the way."""
    frames = [f for f in traceback.extract_tb(fault.__traceback__) if f"/src/{PACKAGE}/" in f.filename]
    if not frames:
        return ""
    last = frames[-1]
    return f"{last.filename.rpartition(f'/src/{PACKAGE}/')[2]}:{last.lineno} {last.name}"


# What is said, and what is handed over


def odd_characters(text: str, plain: str = "\n\t") -> list[str]:
    """Characters that no terminal may be sent, by code point."""
    odd = {c for c in text if c in TURNING or (unicodedata.category(c) in ("Cc", "Cs") and c not in plain)}
    return sorted(f"U+{ord(c):04X}" for c in odd)


def look_at_sentence(sentence: str) -> None:
    """Raise Found for a sentence that is none. Who shows it has to make odd characters harmless."""
    if len(sentence) > LONGEST_SENTENCE:
        raise Found("a sentence without end", f"{len(sentence)} characters: {sentence[:120]!r}")
    if not sentence.strip() or re.search(r"Traceback|Errno|<class|object at 0x|__[a-z]+__", sentence):
        raise Found("a sentence that is none", repr(sentence[:200]))


def strict_json(text: str) -> Any:
    """JSON as the standard has it. Raises Found for what is none, and for NaN or an infinity in it."""

    def no_number(word: str) -> float:
        raise Found("JSON with no number", word)

    try:
        return json.loads(text, parse_constant=no_number)
    except ValueError as error:
        raise Found("no JSON", f"{error}: {text[:100]!r}") from None
