"""The table of lots: in every document, printed and as data, each lot with all that it is known by."""

from __future__ import annotations

import dataclasses
import io
import json
from functools import cache

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from casework.full import answered_in_full
from gristwright.casework.trade.specify import specify
from gristwright.cli.main import cli
from gristwright.documents.data import as_data
from gristwright.documents.dossier import dossier_pages
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.dossier_view import DossierView, dossier_view
from gristwright.documents.lots import HEADS, lots_view
from gristwright.documents.recommendation import recommendation_pdf
from gristwright.documents.specification import specification_pages, specification_view
from gristwright.documents.view import recommendation_view
from gristwright.records.lot import LotIdentity
from gristwright.records.order import Dossier
from scenario import FOLDER, answered, lots, sheet

KINDS = {
    "pale_distilling_malt": "Pale distilling malt",
    "caramel_malt_medium": "Caramel malt",
    "caramel_malt_dark": "Dark caramel malt",
}


def row(name: str) -> tuple[str, ...]:
    """What a line of the table says of a lot of the example, read off its certificates."""
    lot = next(lot for lot in lots() if lot.lot_id == name)
    return (name, lot.supplier, lot.lot_number, str(lot.crop), KINDS[lot.material], lot.certificate[:12])


def pages(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]


def holds(text: str, name: str) -> bool:
    """Whether a text says all of a lot in the order of the table."""
    at = 0
    for part in row(name):
        at = text.find(part, at)
        if at < 0:
            return False
    return True


@cache
def dossier() -> tuple[Dossier, DossierView]:
    made = answered_in_full()
    return made, dossier_view(made)


def test_every_part_of_an_identity_stands_in_a_row() -> None:
    known = LotIdentity("A Maltings", "24-1", 2025, "pale_distilling_malt", "ab" * 32)
    (line,) = lots_view({"PD-1": known}).rows
    assert len(HEADS) == 1 + len(LotIdentity._fields)
    for name, value in known._asdict().items():
        assert str(value) in map(str, vars(line).values()), name
    assert line.certificate == "ab" * 6


def test_what_is_not_said_stays_empty_and_an_unknown_type_as_it_is() -> None:
    (line,) = lots_view({"X": LotIdentity(material="nobody's malt")}).rows
    assert as_data(line) == {
        "lot": "X", "supplier": "", "lot_number": "", "crop": "", "type": "nobody's malt", "material": "nobody's malt",
        "certificate": "", "sha256": "",
    }  # fmt: skip


def test_the_recommendation_prints_it() -> None:
    view = recommendation_view(answered())
    text = " ".join(pages(recommendation_pdf(view, answered().present.ledger)))
    named = [line.lot for line in view.advice.lots_table.rows]
    bills = (view.advice.present, *(offer.bill for offer in view.advice.offers))
    in_bills = {share.key for bill in bills for share in bill.shares}
    assert set(named) == in_bills
    assert [name for name in named if not holds(text.split("The lots")[1], name)] == []


def test_the_dossier_and_its_order_print_it() -> None:
    made, view = dossier()
    told = pages(dossier_pages(made, view)[0])
    order = next(text for text in told if "Mash-house order:" in text)
    weighed = [line.lot for line in view.order.weighings]
    assert [line.lot for line in view.order.lots_table.rows] == weighed
    assert [name for name in weighed if not holds(order.split("See that these are the lots")[1], name)] == []
    before = told[: told.index(order)]
    assert [name for name in weighed if not holds(" ".join(before).split("The lots")[1], name)] == []


def test_the_page_of_the_dossier_shows_it_twice() -> None:
    made, view = dossier()
    text = dossier_html(view, made.recommendation)
    for part in ('id="lots"', 'id="order"'):
        table = text.split(part)[1]
        assert [name for name in ("PD-1", "CM-120") if not holds(table, name)] == []
    assert view.advice.lots_table.rows[0].sha256 in text


def test_the_specification_prints_it() -> None:
    view = specification_view(specify(sheet(), lots(), 3.2, members=128))
    (text,) = pages(specification_pages(view)[0])
    assert [line.lot for line in view.lots_table.rows] == ["PD-1"]
    assert holds(text.split("The lots the certificates were of")[1], "PD-1")


BILL, LOTS = str(FOLDER / "bill.toml"), str(FOLDER / "lots.csv")


@pytest.mark.parametrize(
    "command",
    [
        ("check", BILL, "--lots", LOTS),
        ("run", BILL, "--lots", LOTS, "--members", "8"),
        ("run", BILL, "--lots", LOTS, "--members", "8", "--stage", "mash"),
        ("law", BILL, "--lots", LOTS),
        ("vary", BILL, "--lots", LOTS, "--members", "8", "--over", "mash.settled_degC=63,65"),
        ("lots", "compare", "PD-1", "PD-2", "--bill", BILL, "--lots", LOTS, "--members", "8"),
    ],
    ids=lambda command: " ".join(word for word in command if not word.startswith(("/", "-")))[:20],
)
def test_the_terminal_gives_it_as_data(command: tuple[str, ...]) -> None:
    done = CliRunner().invoke(cli, [*command, "--json"])
    assert done.exit_code == 0, done.output
    rows = json.loads(done.stdout)["lots_table"]["rows"]
    assert tuple(rows[0].values())[:5] == row("PD-1")[:5]
    assert rows[0]["certificate"] == row("PD-1")[5]
    assert rows[0]["sha256"] == lots()[0].certificate


def test_what_lots_read_prints_has_every_part_too() -> None:
    done = CliRunner().invoke(cli, ["lots", LOTS, "--json"])
    told = json.loads(done.stdout)["lots"][0]
    assert {name: told[name] for name in LotIdentity._fields} == lots()[0].identity._asdict()
    assert {field.name for field in dataclasses.fields(lots()[0])} - set(told) == {"lot_id", "analyses"}
