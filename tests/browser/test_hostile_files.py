"""Files made to break the desk are sent to one that runs: it says a sentence to each and stays open."""

from __future__ import annotations

import html
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
