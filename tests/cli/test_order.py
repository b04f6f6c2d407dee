"""`gristwright order` end to end: the terminal, paper, JSON, two languages, a brewer's."""

from __future__ import annotations

import io
import json
from pathlib import Path

from click.testing import CliRunner, Result
from pypdf import PdfReader

from gristwright.cli.main import cli
from gristwright.documents.speech import speech
from gristwright.records.said import unkept
from house.places import EXAMPLES
from scenario import FOLDER

LAUTER = EXAMPLES / "lauter-rests-sparge"
BEER = EXAMPLES / "strong-raw-barley-beer"


def order(folder: Path, *words: str) -> Result:
    bill, lots = str(folder / "bill.toml"), str(folder / "lots.csv")
    return CliRunner().invoke(cli, ["order", bill, "--lots", lots, "--members", "8", *words])


def test_the_terminal_has_liquors_with_their_temperatures() -> None:
    done = order(LAUTER)
    assert done.exit_code == 0, done.output
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    text = " ".join(done.stdout.split())
    for words in ("7680 55.0 52.0", "5280 78.0 76.4", "Stand 45 min", "of wort.", "The bed is stuck", "scald at once"):
        assert words in text


def test_german_is_german() -> None:
    done = order(LAUTER, "--language", "de")
    text = " ".join(done.stdout.split())
    assert done.exit_code == 0, done.output
    for words in ("Sudhaus-Auftrag", "7680 55,0 52,0", "Läuterbottich", "Glattwasser", "Vorderwürze", "Münchner Malz"):
        assert words in text
    assert not [word for word in ("liquor", "washback", " the ", " and ") if word in text]


def test_paper_and_data_say_the_same(tmp_path: Path) -> None:
    paper, data = tmp_path / "new" / "order.pdf", tmp_path / "new" / "order.json"
    for path in (paper, data):
        assert order(FOLDER, "--language", "de", "--out", str(path)).exit_code == 0
    made = json.loads(data.read_text(encoding="utf-8"))
    assert (made["format"], made["language"]) == ("gristwright.order/1", "de")
    reader = PdfReader(io.BytesIO(paper.read_bytes()))
    assert reader.root_object["/MarkInfo"]["/Marked"] and reader.root_object["/Lang"] == "de"
    text = "".join("".join(one.extract_text() for one in reader.pages).split())
    told = [step["what"] for step in made["order"]["steps"]] + made["order"]["cautions"]
    assert [one for one in told if "".join(one.split()) not in text.replace("\u00ad", "")] == []
    again = [speech("en").say(unkept(step["said"][0])) for step in made["order"]["steps"]]
    assert again[0] == "Mash in the whole grist with the liquor"


def test_the_same_order_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = (tmp_path / name for name in ("a.pdf", "b.pdf"))
    for path in (first, second):
        assert order(LAUTER, "--out", str(path), "--paper", "letter").exit_code == 0
    assert first.read_bytes() == second.read_bytes()


def test_a_brewer_is_ordered_as_far_as_the_kettle() -> None:
    done = order(BEER)
    assert done.exit_code == 0, done.output
    assert "Kettle full: this order ends here" in " ".join(done.stdout.split())


def test_another_ending_is_refused() -> None:
    done = order(LAUTER, "--out", "order.txt")
    assert done.exit_code == 2 and "End it on .pdf or .json" in done.stderr
