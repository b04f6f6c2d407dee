"""Workbooks that would end the process, or eat its memory: read in a process of their own, refused in a sentence."""

from __future__ import annotations

import io
import json
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from files.certificates.make_certificates import sheet
from files.certificates.old_formats import compound, locked_workbook, old_workbook
from gristwright.basics import Problem, Refused
from gristwright.files import workbook, workbook_child
from gristwright.files.casks_in import read_casks
from gristwright.files.cells import Sheet
from gristwright.files.certificates.lots_in import read_lots
from gristwright.guard import limits

HOSTILE = Path(__file__).parent / "hostile"
ALONE = "Copy the rows that count into a new XLSX or CSV and send that."
SHEET = "xl/worksheets/sheet1.xml"
FAULTS = {
    "abort.xls": f"is damaged, or takes more than 1 GB of memory to read. {ALONE}",
    "shared_bomb.xlsx": f"is damaged, or takes more than 1 GB of memory to read. {ALONE}",
    "far_row_single.xlsx": "has a sheet of more than 200000 cells. Send the sheet with the lots alone.",
    "far_single_quote.xlsx": "has a sheet of more than 200000 cells. Send the sheet with the lots alone.",
    "merge_single.xlsx": "merges more than 200000 cells. Send the sheet with the lots alone.",
}


def read(path: Path) -> tuple[list[Sheet], list[Problem]]:
    problems: list[Problem] = []
    raw = path.read_bytes()
    return workbook.read_workbook(path.name, raw, raw.startswith(b"PK"), problems), problems


def repacked(path: Path, changes: dict[str, tuple[str, str]]) -> None:
    """A workbook with a piece of some parts replaced."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name).decode() for name in package.namelist()}
    assert set(changes) <= set(parts)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in parts.items():
            old, new = changes.get(name, ("", ""))
            assert old in text
            package.writestr(name, text.replace(old, new, 1) if old else text)


@pytest.mark.parametrize("name", FAULTS)
def test_a_hostile_workbook_is_refused_in_one_sentence(name: str) -> None:
    reading = read_lots(HOSTILE / name)
    assert reading.value is None
    assert [problem.sentence() for problem in reading.problems] == [f"{name}: {FAULTS[name]}"]


def test_a_hostile_ledger_of_casks_is_refused_in_one_sentence() -> None:
    (problem,) = read_casks(HOSTILE / "shared_bomb.xlsx").problems
    assert problem.sentence() == f"shared_bomb.xlsx: {FAULTS['shared_bomb.xlsx']}"


def test_an_infinite_figure_is_a_fault_of_its_cell() -> None:
    reading = read_lots(HOSTILE / "inf.xlsx")
    told = [problem.sentence() for problem in reading.problems if not problem.warning]
    assert told == [
        "inf.xlsx, sheet S, cell F2: 'inf' is no figure that can be counted with. "
        "Format the cell as a number and type the figure again. Leave it empty if not measured."
    ]


@pytest.mark.parametrize("text", ["1e999", "-1e999", "nan", "inf"])
def test_no_number_beyond_all_numbers_comes_out_of_a_workbook(tmp_path: Path, text: str) -> None:
    path = tmp_path / "own.xlsx"
    sheet(path, [["Lot", "Crop", "Diastatic power [degWK]"], ["A", 2025, 261.5]])
    repacked(path, {SHEET: ("261.5", text)})
    (found,), _ = read(path)
    assert found.cells[1][2].number is None
    assert "is no figure" in found.cells[1][2].fault


def loaded_by_child(raw: bytes) -> tuple[set[str], dict[str, object]]:
    """What the process that reads a workbook has loaded when it ends, and its answer."""
    code = (
        "import runpy, sys\n"
        f"sys.argv = ['child', {workbook.asked(True)!r}]\n"
        f"runpy.run_path({workbook_child.__file__!r}, run_name='__main__')\n"
        "print(*sorted(sys.modules), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-I", "-c", code], input=raw, capture_output=True, check=True)
    return set(done.stderr.decode().split()), json.loads(done.stdout)


def test_the_process_that_reads_loads_one_library_and_nothing_of_ours_but_limits(tmp_path: Path) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A"]])
    modules, answer = loaded_by_child((tmp_path / "own.xlsx").read_bytes())
    assert [told["name"] for told in answer["sheets"]] == ["Sheet1"]  # type: ignore[index,attr-defined]
    assert "python_calamine" in modules
    heavy = {"numpy", "scipy", "django", "openpyxl", "click", "lxml"}
    assert not {name for name in modules if name.partition(".")[0] in heavy}
    ours = {name for name in modules if name.partition(".")[0] == "gristwright"}
    assert ours == {"gristwright", "gristwright.guard", "gristwright.guard.limits"}


def test_a_process_that_takes_too_long_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A"]])
    monkeypatch.setattr(workbook, "MOST_SECONDS", 0.0)
    with pytest.raises(Refused) as refused:
        read(tmp_path / "own.xlsx")
    assert str(refused.value) == f"own.xlsx: takes more than 0 seconds to read. {ALONE}"


def test_a_process_that_counts_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "PROGRAM", ["-c", f"{limits_of_child()}while True: pass"])
    with pytest.raises(Refused, match=r"takes more than 20 seconds to read"):
        workbook.read_workbook("own.xlsx", b"PK", True, [])


def limits_of_child(seconds: int = 1) -> str:
    """The beginning of a program under the limits of the process that reads."""
    return f"import runpy; own = runpy.run_path({limits.__file__!r}); own['keep_within'](10**9, {seconds}, 10**6)\n"


@pytest.mark.parametrize(
    "program",
    [
        "raise SystemExit(3)",
        "import os; os.abort()",
        "print('{')",
        "print('[]')",
        "import sys; sys.stdout.write('x' * 10)",
        "pass",
    ],
)
def test_a_process_that_dies_or_babbles_is_one_sentence(monkeypatch: pytest.MonkeyPatch, program: str) -> None:
    monkeypatch.setattr(workbook, "PROGRAM", ["-c", program])
    with pytest.raises(Refused) as refused:
        workbook.read_workbook("own.xlsx", b"PK", True, [])
    assert str(refused.value) == f"own.xlsx: {FAULTS['abort.xls']}"


def test_memory_time_and_output_of_the_process_are_limited() -> None:
    code = limits_of_child(7) + (
        "import resource as r\n"
        "print([r.getrlimit(k)[0] for k in (r.RLIMIT_AS, r.RLIMIT_CPU, r.RLIMIT_FSIZE, r.RLIMIT_CORE)])"
    )
    done = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[1000000000, 7, 1000000, 0]"
    assert (workbook_child.MOST_MEMORY_BYTES, workbook.MOST_SECONDS) == (1_000_000_000, 20.0)


def test_more_text_than_is_taken_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A" * 3000]])
    monkeypatch.setattr(workbook, "MOST_ANSWER_BYTES", 2000)
    with pytest.raises(Refused, match=r"own.xlsx: holds more than 0.002 MB of text\. Copy the rows"):
        read(tmp_path / "own.xlsx")


def test_a_text_longer_than_a_cell_can_be_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "own.xlsx"
    sheet(path, [["Lot", "stand-in"], ["A", 1]])
    repacked(path, {SHEET: ("stand-in", "x" * 40_000)})
    with pytest.raises(Refused, match=r"holds a cell of more than 32767 letters"):
        read(path)


def test_a_system_that_sets_no_limits_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A"]])
    monkeypatch.setattr(workbook, "LIMITED", False)
    with pytest.raises(Refused, match=r"own.xlsx: .* cannot limit .* Save the sheet as CSV"):
        read(tmp_path / "own.xlsx")


def test_a_process_that_cannot_be_started_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A"]])
    monkeypatch.setattr(sys, "executable", str(tmp_path / "nowhere"))
    with pytest.raises(Refused, match=r"own.xlsx: could not be read: .* Save the sheet as CSV"):
        read(tmp_path / "own.xlsx")


# What else somebody may send.


def test_of_many_sheets_the_first_are_read_and_the_rest_is_told(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "own.xlsx")
    for number in range(200):
        book.add_worksheet(f"S{number}").write(0, 0, "Lot")
    book.close()
    sheets, problems = read(tmp_path / "own.xlsx")
    assert [found.name for found in sheets] == [f"S{number}" for number in range(50)]
    (problem,) = problems
    assert problem.warning
    assert problem.sentence() == "own.xlsx: has 200 sheets; only the first 50 are read. Send those with lots alone."


def test_sheets_are_limited_together_too(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "own.xlsx")
    for number in range(3):
        own = book.add_worksheet(f"S{number}")
        own.write(0, 0, "Lot")
        own.write(999, 199, "far")
    book.close()
    with pytest.raises(Refused, match=r"own.xlsx: has more than 500000 cells in all its sheets"):
        read(tmp_path / "own.xlsx")


def swollen(said: int, real: int) -> bytes:
    """A zip whose sheet says one size and unpacks to another."""
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", "<workbook/>")
        package.writestr(SHEET, b" " * real)
    return raw.getvalue().replace(struct.pack("<I", real), struct.pack("<I", said))


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("bomb.xlsx", swollen(60_000_000, 60_000_000), "unpacks to more than 20 MB"),
        ("lying.xlsx", swollen(1000, 60_000_000), "is damaged or not a workbook"),
        ("locked.xlsx", locked_workbook(), "is protected by a password"),
        ("letter.xls", b"%PDF-1.7\n1 0 obj\n", "is a PDF, not a table"),
        ("nothing.xlsx", b"", "is empty"),
        ("table.xlsx", b"lot,material\nA,pale\n", "is neither a workbook nor named as a text table"),
        ("zip.xls", b"PK\x03\x04", "is damaged or not a workbook"),
        ("old.xls", compound({"WordDocument": b""}), "is an old office file, but no workbook"),
        ("stump.xls", compound({"Workbook": b"\x09\x08"}), "is damaged"),
    ],
)
def test_what_is_no_workbook_is_refused_in_one_sentence(tmp_path: Path, name: str, raw: bytes, said: str) -> None:
    (tmp_path / name).write_bytes(raw)
    (problem,) = read_lots(tmp_path / name).problems
    assert said in problem.sentence()
    assert name in problem.address.words
    assert problem.way_out


def test_a_part_that_is_there_twice_is_refused(tmp_path: Path) -> None:
    """One library might read the first and measure the second."""
    path = tmp_path / "own.xlsx"
    sheet(path, [["Lot"], ["A"]])
    with zipfile.ZipFile(path, "a") as package:
        package.writestr(SHEET.upper(), "<worksheet/>")
    with pytest.raises(Refused, match="damaged"):
        read(path)


# What the values alone do not show.


def test_an_old_workbook_is_read_in_the_same_process(tmp_path: Path) -> None:
    (tmp_path / "own.xls").write_bytes(old_workbook([["Lot", "Moisture"], ["A", 4.6]]))
    (found,), problems = read(tmp_path / "own.xls")
    assert [[cell.text for cell in row] for row in found.cells] == [["Lot", "Moisture"], ["A", "4.6"]]
    assert found.cells[1][1].number == 4.6
    assert problems == []


def test_marks_are_seen_however_the_xml_is_written(tmp_path: Path) -> None:
    """Single quotes, prefixes and cells that do not say where they stand."""
    path = tmp_path / "own.xlsx"
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write(0, 0, "Lot")
    own.write_number(1, 1, 0.046, book.add_format({"num_format": '0.0"%"%'}))
    own.write_formula(1, 2, "=1+1", None, "")
    own.merge_range("D1:E2", "once")
    own.write(1, 5, "end")
    book.close()
    with zipfile.ZipFile(path) as package:
        xml = package.read(SHEET).decode()
    quoted = xml.replace('r="B2"', "r='B2'").replace('ref="D1:E2"', "ref='D1:E2'").replace(' r="C2"', "")
    assert quoted != xml
    repacked(path, {SHEET: (xml, quoted)})
    (found,), _ = read(path)
    assert (found.cells[1][1].number, found.cells[1][1].unit) == (4.6, "%")
    assert found.cells[1][2].fault == "holds a formula whose value was never computed"
    assert [found.cells[r][c].copied for r, c in ((0, 3), (0, 4), (1, 3), (1, 4))] == [False, True, True, True]
    assert found.cells[1][4].text == "once"


def test_a_rule_of_a_format_is_no_formula_of_a_cell(tmp_path: Path) -> None:
    path = tmp_path / "own.xlsx"
    book = xlsxwriter.Workbook(path)
    own = book.add_worksheet("CoA")
    own.write(0, 0, "Lot")
    own.write(1, 0, "A")
    own.conditional_format("A1:A2", {"type": "data_bar", "data_bar_2010": True})
    own.data_validation("A2", {"validate": "list", "source": ["A", "B"]})
    book.close()
    (found,), _ = read(path)
    assert not any(cell.fault for row in found.cells for cell in row)


def test_hidden_sheets_and_sheets_of_charts_are_left_out(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Seen"
    book["Seen"]["A1"] = "Lot"
    book.create_chartsheet("Drawn")
    for name, state in (("Hidden", "hidden"), ("Deep", "veryHidden")):
        book.create_sheet(name)["A1"] = "Lot"
        book[name].sheet_state = state
    book.save(tmp_path / "own.xlsx")
    sheets, problems = read(tmp_path / "own.xlsx")
    assert [found.name for found in sheets] == ["Seen"]
    assert [problem.address.words for problem in problems] == ["own.xlsx, sheet Hidden", "own.xlsx, sheet Deep"]


def test_the_wait_for_a_turn_has_an_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet(tmp_path / "own.xlsx", [["Lot"], ["A"]])
    monkeypatch.setattr(workbook, "MOST_WAIT_S", 0.1)
    with workbook._TURNS, workbook._TURNS, pytest.raises(Refused) as refused:
        read(tmp_path / "own.xlsx")
    assert "others took more than 0.1 seconds. Send it again in a minute." in str(refused.value)
    assert read(tmp_path / "own.xlsx")[0]
