"""The commands on casks, run on the invented stock: what is printed, what is written, what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from gristwright.cli.main import cli

HOUSE = Path(__file__).parents[2] / "examples" / "cask-stock"
COMMON = ("--climate", str(HOUSE / "store.csv"), "--on", "2026-11-25", "--draws", "64")


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["cask", *words])


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The casks of two fills with the leakers in them, and one line that cannot be."""
    path = tmp_path_factory.mktemp("casks") / "casks.csv"
    head, *lines = (HOUSE / "casks.csv").read_text(encoding="utf-8").splitlines()
    kept = [text for text in lines if "RY-19-0" in text or ",MK-14-01" in text or ",MK-14-02" in text]
    kept = [text for text in kept if "PP-001" not in text]
    path.write_text("\n".join([head, *kept, "2026-10-01,RY-19-001,gauged,250,62,20,weighed"]) + "\n", encoding="utf-8")
    return str(path)


def test_forecast(small: str, tmp_path: Path) -> None:
    rates = str(HOUSE / "rates.csv")
    done = run(
        "forecast", small, *COMMON, "--years", "3", "--rates", rates, "--abv", "46", "--chart", "--out", str(tmp_path)
    )
    assert done.exit_code == 0, done.output
    assert "68 casks on 2026-11-25" in done.output
    assert "gone, EUR" in done.output
    assert "Set aside: casks.csv, row" in done.output
    assert "250 L does not fit RY-19-001" in done.output
    assert (tmp_path / "stock.svg").read_text(encoding="utf-8").startswith("<svg")
    assert max(len(text) for text in done.output.splitlines()) <= 100


def test_forecast_as_data(small: str) -> None:
    done = run("forecast", small, *COMMON, "--years", "2", "--value-per-lpa", "10", "--json")
    found = json.loads(done.stdout)
    assert found["format"] == "gristwright.stock_forecast/1"
    assert len(found["rla_L"]) == 3
    assert len(found["by_cask"]) == 68
    assert found["money"][1]["middle"] == pytest.approx(10.0 * found["evaporated_L"][1]["middle"])
    assert all(assumption["standing"] for assumption in found["assumptions"])


def test_regauge_finds_the_two_leakers(small: str) -> None:
    done = run("regauge", small, *COMMON)
    assert done.exit_code == 0, done.output
    assert "2 of 68 casks may leak" in done.output
    assert "RY-19-032" in done.output
    assert "MK-14-018" in done.output
    found = json.loads(run("regauge", small, *COMMON, "--json").stdout)
    assert sum(cask["leaking"] > 0.5 for cask in found["casks"]) == 2
    assert [store["store"] for store in found["stores"]] == ["Hill store", "Low store"]


def test_vat(small: str) -> None:
    words = ("vat", small, *COMMON, "--litres", "500", "--abv", "46", "--youngest", "7")
    done = run(*words)
    assert done.exit_code == 0, done.output
    assert "casks for 500 L at 46 %vol" in done.output
    found = json.loads(run(*words, "--json").stdout)
    assert found["chance"] >= 0.9
    assert found["currency"] == "litres of pure alcohol"


def test_fill_for() -> None:
    words = ("fill-for", "--bottles", "20000", "--abv", "46", "--year", "2035", "--on", "2026-11-25")
    done = run(*words, "--climate", "cool humid store")
    assert done.exit_code == 0, done.output
    assert "6440 L of pure alcohol in the bottles" in done.output
    assert "butt" in done.output
    found = json.loads(run(*words, "--climate", "12 degC 75 %", "--kind", "barrel", "--json").stdout)["answers"]
    assert [row["kind"] for row in found] == ["barrel"]
    several = run(*words, "--climate", str(HOUSE / "store.csv"))
    assert several.exit_code == 2
    assert "Name one with --store: Hill store, Low store." in several.output


def test_fill_for_learns_from_a_ledger(small: str) -> None:
    words = ("fill-for", "--bottles", "20000", "--abv", "46", "--year", "2035", "--kind", "barrel", *COMMON[:4])
    plain = run(*words, "--store", "Low store")
    assert "Losses are drawn from the wide prior of any store: no ledger" in " ".join(plain.output.split())
    done = run(*words, "--store", "Low store", "--ledger", small)
    assert done.exit_code == 0, done.output
    assert "regauged casks of oak in Low store: loss over" in " ".join(done.output.split())
    several = run(*words, "--ledger", small)
    assert several.exit_code == 2
    assert "Name one with --store: Hill store, Low store." in several.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("forecast", "--abv", "146"), "strength 146 %vol is outside 30 to 95 %vol"),
        (("forecast", "--abv", "46", "--bottle-l", "0"), "0 L is outside 0.02 to 5 L"),
        (("forecast", "--value-per-lpa", "-5"), "-5 a litre is below 0"),
        (("regauge", "--multiple", "1"), "is not above 1"),
        (("vat", "--litres", "-1", "--abv", "46"), "-1 L is not above 0"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_a_sentence(small: str, words: tuple[str, ...], said: str) -> None:
    done = run(words[0], small, *COMMON, *words[1:])
    assert done.exit_code == 2
    assert said in done.output


def test_statement(small: str, tmp_path: Path) -> None:
    done = run("statement", small, "MK-14-018", *COMMON, "--out", str(tmp_path), "--invented")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "cask-MK-14-018.pdf").read_bytes().startswith(b"%PDF")
    view = json.loads((tmp_path / "cask-MK-14-018.json").read_text(encoding="utf-8"))
    assert view["format"] == "gristwright.cask_statement/1"
    assert view["notes"]["invented"] == "Invented example"
    assert view["next_gauge"]["why"].startswith("it leaks")
    assert any("excise" in text for text in view["cautions"])
    assert run("statement", small, "MK-99", *COMMON, "--out", str(tmp_path)).exit_code == 2


def test_a_missing_ledger_is_refused_in_a_sentence(tmp_path: Path) -> None:
    done = run("forecast", str(tmp_path / "no.csv"), *COMMON)
    assert done.exit_code == 2
    assert "is not there." in done.output


SMALL = "date,cask,what,litres,abv_pct,degC,method,store,spirit,kind,wood,capacity_L,fill_number,charred"


def test_the_terminal_says_floor_and_small_cask_as_the_page_does(tmp_path: Path) -> None:
    """A 20 L cask in a damp loft: the year under the floor, where it runs dry, and why no wood is told."""
    path = tmp_path / "casks.csv"
    line = "2024-03-01,S-1,filled,19,58,18,weighed,loft,single malt,,american oak,20,1,yes"
    path.write_text(f"{SMALL}\n{line}\n", encoding="utf-8")
    words = ("--climate", "12 degC 85 %", "--on", "2026-11-25", "--draws", "64", "--years", "60")
    done = run("statement", str(path), "S-1", *words, "--out", str(tmp_path))
    assert done.exit_code == 0, done.output
    said, page = " ".join(done.output.split()), json.loads((tmp_path / "cask-S-1.json").read_text("utf-8"))
    assert page["floor"] in said and "Strength falls under the floor of 40 %vol" in page["floor"]
    assert page["humidity"] in said
    assert page["no_markers"] in said and "20 L is below 100 L" in said
    assert "nan" not in said and "dry" in said
