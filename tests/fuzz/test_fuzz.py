"""A short, seeded run of the fuzz command; the long one is `make fuzz` (docs/reliability.md)."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from fuzz import hostile, parts, terminal, watch
from fuzz.campaign import Campaign

SEED = 1


@pytest.fixture
def own_temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Other tests of this process leave nothing where this one looks for what was left behind."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    monkeypatch.setenv("TMPDIR", str(folder))


@pytest.mark.parametrize(("over", "batches"), [("reader", 4), ("record", 1), ("command", 2)])
def test_nothing_that_is_read_or_typed_breaks_it(over: str, batches: int, tmp_path: Path, own_temporary: None) -> None:
    _attacked(over, batches, tmp_path)


def test_nothing_that_is_sent_to_the_desk_breaks_it(db: None, tmp_path: Path, own_temporary: None) -> None:
    _attacked("form", 1, tmp_path)


def _attacked(over: str, batches: int, folder: Path) -> None:
    """A few batches of short parts; every finding is told with the file that runs it again."""
    said: list[str] = []
    small = tuple(part for part in parts.SHORT if over in (part.name, part.kind))
    campaign = Campaign(small, SEED, folder / "found", said.append, folder)
    campaign.for_batches(batches * len(small))
    assert said == []
    assert sum(counts.cases for counts in campaign.counts.values()) >= 0.8 * batches * sum(part.batch for part in small)


def test_every_command_is_attacked() -> None:
    lines = [words for _, words in (*terminal.LINES, *terminal.READ, *terminal.DRAWN)]
    assert [path for path in terminal.commands() if not any(line[: len(path)] == path for line in lines)] == []


@pytest.mark.parametrize("what", hostile.EDITS)
def test_the_same_edit_makes_the_same_file(what: str) -> None:
    content = b"a,b,c\n1,2,3\nx = 4\n"
    edits = [(what, 2, 1, ("7", 1))]
    assert hostile.spoilt(content, edits, b"other\n") == hostile.spoilt(content, edits, b"other\n")


def _writes_aside() -> str:
    (Path(tempfile.gettempdir()) / "left").write_text("x", encoding="ascii")
    return "accepted"


def _never_ends() -> str:
    while True:
        os.getpid()


@pytest.mark.parametrize(
    ("run", "kind"),
    [(_writes_aside, "left behind"), (_never_ends, "too slow"), (lambda: 1 / 0, "crash, ZeroDivisionError")],
)
def test_what_must_not_happen_is_found(run: object, kind: str, own_temporary: None) -> None:
    seen = watch.watched(run, seconds=0.2)  # type: ignore[arg-type]
    assert seen.finding is not None and seen.finding.kind == kind
    assert watch.watched(lambda: "accepted").finding is None
