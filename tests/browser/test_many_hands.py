"""Fifty people at one certificate: what each of them mended is kept, and all of it is told."""

from __future__ import annotations

import html
import io
import re
import urllib.parse
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
import xlsxwriter

from browser import writers
from browser.conftest import Desk
from browser.person import Person

HANDS, DOZEN = 50, 12
HEAD = ("lot", "material", "moisture [%]", "diastatic power [degWK]")
ROWS = [(f"L-{n}", "pale_distilling_malt", 4.6, f"{200 + n}B") for n in range(HANDS)]
INPUT = re.compile(r'<input[^>]*\bname="([^"]+)"[^>]*\bvalue="([^"]*)"')


def as_text() -> bytes:
    return "\n".join(",".join(map(str, row)) for row in (HEAD, *ROWS)).encode()


def as_book() -> bytes:
    raw = io.BytesIO()
    with xlsxwriter.Workbook(raw) as book:
        own = book.add_worksheet("Lots")
        for number, row in enumerate((HEAD, *ROWS)):
            own.write_row(number, 0, row)
    return raw.getvalue()


@pytest.mark.parametrize(("name", "content"), [("many.csv", as_text()), ("many.xlsx", as_book())])
def test_every_one_of_fifty_menders_keeps_the_change(tmp_path_factory, name: str, content: bytes) -> None:
    desk = Desk(tmp_path_factory.mktemp("many")).open()
    try:
        _mend_all_at_once(Person(desk.address), name, content)
    finally:
        desk.close()


def _mend_all_at_once(person: Person, name: str, content: bytes) -> None:
    here = person.begin()
    person.get(f"{here}certificates/")
    page = person.send_file(f"{here}certificates/send/", name, content)
    file = urllib.parse.urlsplit(person.at).path
    # What a browser sends: every cell of the form, and each person changes one of them.
    form = {html.unescape(key): html.unescape(text) for key, text in INPUT.findall(page)}
    form = {key: text for key, text in form.items() if key.startswith(("cell.", "was."))}
    cells = sorted(key for key in form if key.startswith("cell."))
    assert len(cells) == HANDS
    gate = Barrier(HANDS)

    def mend(cell: str) -> None:
        window = person.another()
        gate.wait()
        window.send(f"{file}mend/", **{**form, cell: form[cell].rstrip("B")})

    with ThreadPoolExecutor(HANDS) as hands:
        list(hands.map(mend, cells))
    page = person.get(file)
    assert not INPUT.findall(page.partition("<main")[2].partition("cell.")[2])
    assert f"{HANDS} cells mended here" in page
    told = html.unescape(person.get(f"{here}changes/"))
    assert told.count("mended") == HANDS
    taken = person.get(f"{file}file/") if name.endswith(".csv") else "".join(row[3].rstrip("B") for row in ROWS)
    assert all(row[3] not in taken and row[3].rstrip("B") in taken for row in ROWS)


def test_what_a_dozen_save_at_the_same_moment_is_kept_or_told(tmp_path_factory) -> None:
    desk = Desk(tmp_path_factory.mktemp("dozen")).open()
    try:
        person = Person(desk.address)
        here = person.begin()
        assert writers.menders(person, here, DOZEN) == DOZEN
        assert writers.lots(person, here, DOZEN) == DOZEN
        assert writers.prices(person, here, DOZEN) == DOZEN
        assert writers.one_field(person, here, DOZEN) == (1, DOZEN - 1)
        assert writers.searches(person, DOZEN) == 1
    finally:
        desk.close()
