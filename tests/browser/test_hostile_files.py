"""Files made to break the desk are sent to one that runs: it says a sentence to each and stays open."""

from __future__ import annotations

import html
import threading
import time
import urllib.error
from pathlib import Path

import pytest

from browser.conftest import Desk
from browser.person import Person
from files.certificates import make_refused
from files.certificates.old_formats import locked_workbook
from files.test_workbook import FAULTS, HOSTILE, swollen

MADE = {
    "bomb.xlsx": (swollen(60_000_000, 60_000_000), "unpacks to more than 20 MB"),
    "lying.xlsx": (swollen(1000, 60_000_000), "is damaged or not a workbook"),
    "locked.xlsx": (locked_workbook(), "is protected by a password"),
    "letter.xls": (b"%PDF-1.7\n1 0 obj\n", "is a PDF, not a table"),
    "table.xlsx": (b"lot,material\nA,pale\n", "is neither a workbook nor named as a text table"),
}


@pytest.fixture(scope="module")
def person(desk: Desk) -> Person:
    found = Person(desk.address)
    found.begin()
    return found


def sent(person: Person, desk: Desk, name: str, content: bytes) -> str:
    """What the desk says to a file; it is the same process before and after, and gives its other pages."""
    assert desk.process is not None
    person.get(f"{person.here}certificates/")
    said = html.unescape(person.send_file(f"{person.here}certificates/send/", name, content))
    assert desk.process.poll() is None
    assert "The bill being tried" in person.get(person.here)
    return said


@pytest.mark.parametrize("name", FAULTS)
def test_a_hostile_workbook_leaves_the_desk_open(person: Person, desk: Desk, name: str) -> None:
    said = sent(person, desk, name, (HOSTILE / name).read_bytes())
    assert FAULTS[name].partition(".")[0] in said


@pytest.mark.parametrize("name", MADE)
def test_what_is_no_workbook_leaves_the_desk_open(person: Person, desk: Desk, name: str) -> None:
    content, wanted = MADE[name]
    assert wanted in sent(person, desk, name, content)


def test_an_infinite_figure_is_shown_as_a_fault(person: Person, desk: Desk) -> None:
    said = sent(person, desk, "inf.xlsx", (HOSTILE / "inf.xlsx").read_bytes())
    assert "'inf' is no figure that can be counted with" in said


def test_a_text_with_one_wide_line_leaves_the_desk_open(person: Person, desk: Desk, tmp_path: Path) -> None:
    make_refused.one_wide_line(tmp_path / "wide.csv")
    said = sent(person, desk, "wide.csv", (tmp_path / "wide.csv").read_bytes())
    assert "has more than 200000 cells" in said


def test_other_pages_are_answered_while_many_hostile_files_wait(person: Person, desk: Desk) -> None:
    """Twelve at a time, of which three are taken in; the rest is told at once to come again."""
    raw = (HOSTILE / "shared_bomb.xlsx").read_bytes()
    where = f"{person.here}certificates/"
    person.get(where)
    told: list[str] = []

    def send(window: Person) -> None:
        try:
            told.append(html.unescape(window.send_file(f"{where}send/", "shared_bomb.xlsx", raw)))
        except urllib.error.HTTPError as busy:
            told.append(busy.read().decode() if busy.code == 503 else f"{busy.code}")

    windows = [threading.Thread(target=send, args=(person.another(),)) for _ in range(12)]
    for window in windows:
        window.start()
    taken, looker = [], person.another()
    while any(window.is_alive() for window in windows):
        start = time.monotonic()
        assert 'aria-label="Desk"' in looker.get(where)
        taken.append(time.monotonic() - start)
    for window in windows:
        window.join()
    print(f"{len(taken)} pages meanwhile, the slowest after {max(taken):.2f} s")
    # A second on a machine with nothing else to do; here only that it waits for no file to be through.
    assert max(taken) < 15
    sentences = ("is reading three. What you sent was not read", "is damaged, or takes more", "seconds to read")
    assert [said for said in told if not any(words in said for words in sentences)] == []
    assert any(sentences[0] in said for said in told)
    assert desk.process is not None
    assert desk.process.poll() is None
