"""An enquiry written as files is read again as it was, whatever house, bill, lots and claim it holds."""

from __future__ import annotations

import dataclasses
import io
import random
import zipfile
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from casework.full import COLUMN, claiming, column_enquiry
from gristwright.basics import Refused, Standing
from gristwright.cli.main import cli
from gristwright.files.casks_out import casks_table
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.csv_out import csv_bytes
from gristwright.files.jobs_in import read_enquiry
from gristwright.files.jobs_out import enquiry_files, known, zipped
from gristwright.files.ladder_in import read_casks
from gristwright.records.enquiry import Enquiry, Group, Limits
from gristwright.records.give_gain import ReleasePrices
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import CookerPlan, PlantRecord, Rest, Water
from gristwright.store.frozen import canonical, inputs_text
from scenario import enquiry, lots
from store.test_mapping import altered, full, mashed


def put(files: dict[str, bytes], folder: Path) -> Path:
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return folder


def back(asked: Enquiry, given: tuple[Lot, ...], folder: Path) -> tuple[Enquiry, tuple[Lot, ...]]:
    put(enquiry_files(asked, given), folder)
    read = read_lots(folder / "lots.csv").accepted() if given else ()
    return read_enquiry(folder / "enquiry.toml").accepted(), read


def texts(dice: random.Random) -> str:
    signs = ['"', "'", "\\", "ä", "ß", "é", "–", ",", ";", "#", "=", "[x]", "\n", "\t", "a b", "%"]
    return "x" + "".join(dice.choices(signs, k=8)) + "x"


def varied(seed: int) -> Enquiry:
    """The example with numbers to the last digit, and texts with what a file must escape."""
    dice = random.Random(seed)
    asked = full() if seed % 2 else enquiry()

    def other(value: float, part: float = 0.003) -> float:
        return value * (1.0 + part * dice.random())

    own = {name: texts(dice) for name in ("title", "customer", "adviser")}
    mash = {"kg_per_mash": other(2000.0), "wort_L_per_t": other(5000.0), "settled_mash_degC": other(63.0)}
    plant = asked.plant
    plant = dataclasses.replace(plant, name=texts(dice), tonnes_per_year=other(480.0))
    return dataclasses.replace(
        asked,
        **own,
        question=texts(dice) + "\r\n\r\nsecond line",
        invented=dice.random() < 0.5,
        plant=dataclasses.replace(plant, mash=dataclasses.replace(plant.mash, **({} if seed % 2 else mash))),
        present=dataclasses.replace(asked.present, name=texts(dice)),
        offered=tuple(
            dataclasses.replace(o, price_per_t=other(o.price_per_t), for_character=dice.choice([None, True, False]))
            for o in asked.offered
        ),
        groups=(Group(texts(dice), tuple(o.lot_id for o in asked.offered[1:]), dice.randrange(100), 9_973),),
        limits=Limits(other(350.0), None, other(6.0), 1.0 + 0.08 * dice.random()),
        record=PlantRecord(other(392.0), other(4.5), 46),
        release=ReleasePrices(cask_price=other(100.0), rent_per_cask_year=other(9.0)),
    )


@pytest.mark.parametrize("seed", range(12))
def test_a_varied_enquiry_is_read_as_it_was(seed: int, tmp_path: Path) -> None:
    asked = varied(seed)
    read, _ = back(asked, (), tmp_path)
    assert read == asked
    assert canonical(read) == canonical(asked)


COOKED = {"cook_degC": 96.123456789, "cooker": CookerPlan(cook_min=12.5, second_species=("rye", "wheat"))}
RESTS = {"rests": (Rest(52.1, 9.0), Rest(64.3, 31.0), Rest(70.0, 40.0)), "settled_mash_degC": 64.3}
FILTER = {"vessel": "filter", "plate_area_m2": 41.7, "usual_run_off_hours": 1.9, "mill_gap_mm": 0.4}
WATERS = {
    "waters": (Water("first", 3.71, 63.9), Water("second", 1.5, 75.0)),
    "calcium_mg_per_L": 61.0,
    "alkalinity_mg_per_L": 90.5,
}
HOUSES: dict[str, Enquiry] = {
    "as it is": enquiry(),
    "everything said": full(),
    "every field another": dataclasses.replace(
        changed := altered(full()),
        claim=full().claim,
        grid_parts=200,
        currency="CHF",
        plant=dataclasses.replace(changed.plant, country="FR"),
    ),
    "a claim": claiming(),
    "a column": column_enquiry(),
    "cooked": mashed(column_enquiry(), **COOKED),
    "rests": mashed(enquiry(), vessel="lauter", **RESTS),
    "a filter": mashed(enquiry(), **FILTER),
    "waters": mashed(enquiry(), **WATERS),
    "nothing more": dataclasses.replace(
        enquiry(), record=None, limits=Limits(), groups=(), categories=(), release=None, invented=False
    ),
}


@pytest.mark.parametrize("name", HOUSES)
def test_the_house_claim_and_prices_are_read_as_they_were(name: str, tmp_path: Path) -> None:
    read, _ = back(HOUSES[name], (), tmp_path)
    assert read == HOUSES[name]
    assert canonical(read) == canonical(HOUSES[name])


def analyses(*more: Analysis) -> tuple[Analysis, ...]:
    return (Analysis("moisture_pct", 4.123456789012345, "%", "", "own, at 105 °C"), *more)


STRANGE = (
    Lot("A 1 – ä", "pale_distilling_malt", 'Süß & "Söhne"', "=1+2", 2025, analyses(), certificate="ab" * 32),
    Lot(
        "R,1",
        "raw_rye",
        "",
        "",
        None,
        analyses(Analysis("total_nitrogen_dry_pct", 1.3000000000000003, "%", "dry", "other")),
    ),
)


def as_kept(lot: Lot, certificate: str) -> Lot:
    return dataclasses.replace(known(lot), certificate=certificate)


@pytest.mark.parametrize(
    "given",
    [lots(), STRANGE, read_lots(COLUMN / "certificates.xlsx").accepted()],
    ids=["example", "strange", "workbook"],
)
def test_lots_are_read_as_they_were(given: tuple[Lot, ...], tmp_path: Path) -> None:
    _, read = back(enquiry(), given, tmp_path)
    assert [known(lot) for lot in read] == [known(lot) for lot in given]
    assert [now.certificate for now in read if now.certificate] == [
        was.certificate or now.certificate for was, now in zip(given, read, strict=True)
    ]
    assert {one.standing for lot in read for one in lot.analyses} == {Standing.MEASURED}


def test_what_was_read_once_is_the_same_to_the_letter_from_then_on(tmp_path: Path) -> None:
    asked, given = back(claiming(), lots(), tmp_path)
    again = back(asked, given, tmp_path)
    assert inputs_text(*again) == inputs_text(asked, given)


def test_files_out_of_a_csv_of_our_own_give_the_inputs_they_came_from(tmp_path: Path) -> None:
    assert inputs_text(*back(enquiry(), lots(), tmp_path)) == inputs_text(enquiry(), lots())


def test_the_command_line_reads_them(tmp_path: Path) -> None:
    put(enquiry_files(enquiry(), lots()), tmp_path)
    bill = [str(tmp_path / "bill.toml"), "--lots", str(tmp_path / "lots.csv")]
    done = CliRunner().invoke(cli, ["run", *bill, "--members", "8"])
    assert done.exit_code == 0, done.output
    assert "EUR" in done.output


def test_prices_that_are_all_nothing_are_read_as_they_were(tmp_path: Path) -> None:
    asked = dataclasses.replace(enquiry(), release=ReleasePrices())
    assert back(asked, lots(), tmp_path)[0].release == ReleasePrices()


def test_one_enquiry_gives_one_zip() -> None:
    first, second = (zipped(enquiry_files(enquiry(), lots())) for _ in range(2))
    assert first == second
    assert zipfile.ZipFile(io.BytesIO(first)).namelist() == ["enquiry.toml", "plant.toml", "bill.toml", "lots.csv"]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"customer": ""}, "question.*customer.*is not text"),
        ({"title": "bell \x07"}, "title"),
        ({"offered": ()}, "no material is offered"),
    ],
)
def test_what_could_not_be_read_again_is_refused_with_its_place(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused, match=said):
        enquiry_files(dataclasses.replace(enquiry(), **changed), lots())


STRANGE_CASKS = '''# Invented.
cask;age [months];wood;fill;store;entry_abv;capacity;Gallic acid [mg/L];colour [AU];Toffee note [1 - 9.5, malt];assessor

K 1;40;Quercus alba;1;"cool, humid";63,55;200;12,125;0,31;4;"Ä. ""X"""

K 1;41;;;;;;;0,33;;
K-2;84;Quercus alba;1;"cool, humid";63,55;200;17;;8;B
K-3;100;Quercus alba;1;"cool, humid";63,55;200;19,0001;0,5;8;B
'''


def test_casks_of_a_strange_table_are_read_as_they_were(tmp_path: Path) -> None:
    (tmp_path / "odd.csv").write_text(STRANGE_CASKS, encoding="utf-8")
    before = read_casks(tmp_path / "odd.csv").accepted()
    assert len(before.samples) == 4
    assert len(before.scores) == 3
    (tmp_path / "again").mkdir()
    (tmp_path / "again" / "odd.csv").write_bytes(csv_bytes(casks_table(before)))
    assert read_casks(tmp_path / "again" / "odd.csv").accepted() == before


def test_casks_that_came_in_workbooks_of_one_name_go_into_two_tables(tmp_path: Path) -> None:
    asked = claiming()
    assert asked.claim is not None
    named = {name: dataclasses.replace(getattr(asked.claim, name), file="casks.xlsx") for name in ("ladder", "arms")}
    files = enquiry_files(dataclasses.replace(asked, claim=dataclasses.replace(asked.claim, **named)), ())
    assert {"ladder.csv", "arms.csv"} <= files.keys()
    read = read_enquiry(put(files, tmp_path) / "enquiry.toml").accepted()
    assert read.claim is not None
    assert read.claim.ladder.samples == asked.claim.ladder.samples
