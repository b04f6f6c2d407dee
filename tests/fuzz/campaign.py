"""A run of the fuzz command: batches of drawn cases part by part until the time is over, and the table at its end."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, Verbosity, given, settings
from hypothesis import seed as seeded
from hypothesis import strategies as st
from hypothesis.errors import HypothesisException

from fuzz import findings
from fuzz.watch import Finding, Seen, watched

# Cases of one batch, and how long a finding may take to be made smaller [s].
BATCH = 40
MOST_SHRINKING_S = 20.0


@dataclass(frozen=True)
class Part:
    """A part of the product under attack: how its cases are drawn, and how one is run in an empty folder."""

    name: str
    kind: str
    cases: Callable[[], st.SearchStrategy[Any]]
    run: Callable[[Any, Path], str]
    # Cases of a batch, fewer where one takes long.
    batch: int = BATCH
    seconds: float = 10.0


@dataclass
class Counts:
    """What became of the cases of one kind."""

    ended: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0
    slowest: float = 0.0
    megabytes: float = 0.0
    findings: int = 0
    slowest_case: Any = None

    @property
    def cases(self) -> int:
        """How many were run."""
        return sum(self.ended.values())

    def add(self, seen: Seen, case: Any) -> None:
        """One more case."""
        self.ended[seen.ended] += 1
        self.seconds += seen.seconds
        if seen.seconds > self.slowest:
            self.slowest_case = case
        self.slowest = max(self.slowest, seen.seconds)
        self.megabytes = max(self.megabytes, seen.megabytes)


class _Again(Exception):
    """Tells hypothesis that a case is a finding not seen before."""


@dataclass
class Campaign:
    """One run: what to attack, from which seed, where findings go; afterwards what was seen."""

    parts: Sequence[Part]
    seed: int
    folder: Path
    say: Callable[[str], None]
    work: Path
    counts: dict[str, Counts] = field(default_factory=dict)
    known: dict[str, Path] = field(default_factory=dict)
    drawn: dict[str, st.SearchStrategy[Any]] = field(default_factory=dict)

    def for_seconds(self, seconds: float) -> None:
        """Batch after batch, every part in its turn, until the time is over; what is set up first does not count."""
        self.drawn = {part.name: part.cases() for part in self.parts}
        began = time.monotonic()
        number = 0
        while number == 0 or time.monotonic() - began < seconds:
            self.batch(self.parts[number % len(self.parts)], number, lambda: time.monotonic() - began > seconds)
            number += 1

    def for_batches(self, number: int) -> None:
        """So many batches, the same ones for one seed."""
        for one in range(number):
            self.batch(self.parts[one % len(self.parts)], one, lambda: False)

    def batch(self, part: Part, number: int, over: Callable[[], bool]) -> None:
        """Draw and run the cases of a batch; a finding of a new cause is made small and written down."""
        smallest: dict[str, tuple[Any, Finding]] = {}
        shrinking: list[float] = []

        def one(case: Any) -> None:
            if over() or (shrinking and time.monotonic() - shrinking[0] > MOST_SHRINKING_S):
                return
            seen = self._run(part, case, counted=not shrinking)
            name = f"{part.kind}: {seen.finding.name}" if seen.finding else ""
            if seen.finding is None or name in self.known or (smallest and name not in smallest):
                return
            smallest[name] = (case, seen.finding)
            shrinking[:] = shrinking or [time.monotonic()]
            raise _Again

        drawn = given(self.drawn[part.name] if part.name in self.drawn else part.cases())(one)
        run = seeded(self.seed * 1_000_003 + number)(_settings(part.batch)(drawn))
        # Not one that fails twice alike is a finding all the same: it was written down as it was seen.
        with contextlib.suppress(_Again, HypothesisException, BaseExceptionGroup), _quiet():
            run()
        for name, (case, finding) in smallest.items():
            path = findings.write(self.folder, part.name, case, finding, self.seed, number)
            self.known[name] = path
            self.counts[part.kind].findings += 1
            self.say(f"FOUND {name}\n      {finding.what[:200]}\n      {path}")

    def _run(self, part: Part, case: Any, counted: bool) -> Seen:
        folder = Path(tempfile.mkdtemp(prefix="case-", dir=self.work))
        try:
            seen = watched(lambda: part.run(case, folder), part.seconds)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        if counted:
            self.counts.setdefault(part.kind, Counts()).add(seen, case)
        return seen

    def table(self) -> Iterator[str]:
        """What was run and seen, a line a kind and one for all."""
        head = ("kind", "cases", "accepted", "refused", "other", "findings", "slowest s", "largest MB", "cases/s")
        rows = [_row(kind, counts) for kind, counts in self.counts.items()]
        whole = Counts()
        for counts in self.counts.values():
            whole.ended.update(counts.ended)
            whole.seconds += counts.seconds
            whole.slowest = max(whole.slowest, counts.slowest)
            whole.megabytes = max(whole.megabytes, counts.megabytes)
            whole.findings += counts.findings
        rows.append(_row("all", whole))
        widths = [max(len(row[k]) for row in (head, *rows)) for k in range(len(head))]
        for row in (head, *rows):
            yield "  ".join(
                cell.ljust(w) if k == 0 else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, widths, strict=True))
            )


def slowest(counts: dict[str, Counts]) -> Iterator[str]:
    """The slowest case of each kind, shortened."""
    for kind, one in counts.items():
        yield f"slowest {kind}, {one.slowest:.2f} s: {str(one.slowest_case)[:240]}"


def _row(kind: str, counts: Counts) -> tuple[str, ...]:
    usual = ("accepted", "refused")
    other = sum(n for ended, n in counts.ended.items() if ended not in (*usual, "finding"))
    rate = counts.cases / counts.seconds if counts.seconds else 0.0
    numbers = (counts.cases, *(counts.ended[name] for name in usual), other, counts.findings)
    return (kind, *map(str, numbers), f"{counts.slowest:.2f}", f"{counts.megabytes:.0f}", f"{rate:.1f}")


def _settings(examples: int) -> Any:
    return settings(
        max_examples=examples,
        database=None,
        deadline=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
        verbosity=Verbosity.quiet,
        report_multiple_bugs=False,
    )


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Hypothesis prints what failed; here it is written down instead."""
    import io

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        yield
