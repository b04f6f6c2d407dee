"""Files that are more than anyone writes end in one sentence with the place, and soon."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from files.odd_values import EXAMPLES, OWN, READS
from gristwright.basics import Problem, Refused
from gristwright.cli.main import main
from gristwright.quantities.units import parse_number, parse_quantity

BILL = 'format = "gristwright.bill/2"\n'
CASK = "2020-03-12,C-1,filled,247.6,63.5,20,metered,Low store,row 1,,new spirit,hogshead,oak,250,2,yes,bourbon,25,{}"
TOO_MUCH = {
    "brackets in brackets": ("bill.toml", BILL + "x = " + "[" * 5_000, "more than 20 deep"),
    "tables in tables": ("bill.toml", BILL + "x = " + "{a = " * 5_000, "more than 20 deep"),
    "lists that the parser takes": ("bill.toml", BILL + f"x = {'[' * 40}{']' * 40}", "more than 20 deep"),
    "a name of many parts": ("bill.toml", BILL + "a." * 4_000 + "b = 1", "line 2: has 4000 points in one line"),
    "a heading of many parts": ("bill.toml", BILL + f"[{'a.' * 200}b]", "line 2: has 200 points in one line"),
    "5,000 digits": ("bill.toml", BILL + f"x = {'9' * 5_000}", "line 2: holds a number of 5000 digits"),
    "digits of sixteen": ("bill.toml", BILL + f"x = 0x{'f' * 5_000}", "x: is a number of about 60"),
    "many fields": ("bill.toml", BILL + "".join(f"a{n} = 1\n" for n in range(9_000)), "has 9000 fields we do not know"),
    "a long name": ("bill.toml", BILL + f"{'a' * 400} = 1", "is a name of 400 characters"),
    "marks over a letter": ("bill.toml", BILL + f'x = "a{chr(0x315) * 30_000}"', "is a text of 30001 characters"),
    "a format of a small two": ("bill.toml", 'format = "gristwright.bill/²"', "is no format we know"),
    "a format of 5,000 digits": ("bill.toml", f'format = "gristwright.bill/{"9" * 290}"', "is no format we know"),
    "lots": ("lots.toml", 'format = "gristwright.lots/2"\n' + "[[lots]]\n" * 2_001, "lots: holds 2001 lots"),
    "words of a map": (
        "map.toml",
        'format = "gristwright.map/1"\n[materials]\n' + "".join(f'w{n} = "z"\n' for n in range(1_001)),
        "materials: has 1001 words",
    ),
    "a cell without an end": ("casks.csv", CASK.format('"' + "x" * 140_000), "row 1 has a cell|row 1: has a cell"),
    "a rate without an end": (
        "rates.csv",
        "from_years,value_per_lpa,currency\n0," + "9" * 140_000 + ",EUR\n",
        "row 2: has a cell of more than 32767 characters",
    ),
    "a climate without an end": ("climate.csv", "store,month,degC\n" + "x" * 40_000, "row 2: has a cell of more"),
}


@pytest.mark.parametrize(("name", "text", "said"), TOO_MUCH.values(), ids=TOO_MUCH)
def test_what_is_too_much_is_refused_at_its_place(name: str, text: str, said: str, tmp_path: Path) -> None:
    shutil.copytree(OWN, tmp_path / "own")
    (tmp_path / "own" / name).write_text(text, encoding="utf-8")
    with pytest.raises(Refused, match=said):
        READS[name](tmp_path / "own" / name).accepted()


@pytest.mark.parametrize("value", ["1e308", "-1e308", "1e-320", "9" * 5_000, "inf", "nan", "٣", "1_000", "²"])
def test_a_number_that_nothing_can_be_is_none(value: str) -> None:
    with pytest.raises(Refused):
        parse_number(value)
    with pytest.raises(Refused):
        parse_quantity(f"{value} degC")


def test_nothing_has_no_minus_before_it() -> None:
    assert str(parse_number("-0.0")) == "0.0"


def test_a_sentence_stays_one_that_can_be_read() -> None:
    problem = Problem("place", f"{'x' * 100_000!r} is not text.", "Write it.")
    assert len(problem.sentence()) < 1_000
    assert problem.what.endswith("is not text.")


def test_a_table_whose_lines_end_in_cr_is_read(tmp_path: Path) -> None:
    text = (OWN / "climate.csv").read_text(encoding="utf-8")
    (tmp_path / "climate.csv").write_bytes(text.replace("\n", "\r").encode())
    assert READS["climate.csv"](tmp_path / "climate.csv").accepted().keys() == {"Low store"}


@pytest.mark.parametrize(
    "command",
    [
        "ageing claim ladder.csv arms.csv --claim 3:5-" + "9" * 400,
        "ageing claim ladder.csv arms.csv --claim " + " " * 50_000,
        "ageing claim /dev/zero arms.csv --claim 3:5",
        "vary bill.toml --lots lots.csv --over mash.settled_mash_degC=1e308:1e308:1e-320",
        "vary bill.toml --lots lots.csv --over mash.rests.².minutes=5",
        "convert 1e308 degP SG",
        "convert " + "1" * 5_000 + " degP SG",
        "convert 12 " + "x" * 100_000 + " SG",
        "gauge density --abv " + "9" * 500,
        "cask forecast casks.csv --climate climate.csv --on 9999-12-31",
        "cask forecast casks.csv --climate climate.csv --on 0001-01-01",
        "cask forecast /dev/full --climate climate.csv",
        "law bill.toml --lots lots.csv --on 9999-12-31",
        "check /dev/zero --lots lots.csv",
        "lots " + "a" * 5_000,
        "x" * 100_000,
    ],
    ids=lambda command: command[:60],
)
def test_what_is_typed_ends_in_a_sentence(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(OWN, tmp_path / "own")
    shutil.copy(EXAMPLES / "all-malt-pot" / "lots.csv", tmp_path / "own")
    monkeypatch.chdir(tmp_path / "own")
    monkeypatch.setenv("GRISTWRIGHT_HOME", str(tmp_path / "home"))
    assert main(command.split(" ")) == 2
    assert 0 < len(capsys.readouterr().err) < 3_000
