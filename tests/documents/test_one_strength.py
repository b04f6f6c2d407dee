"""One wort has one strength: in every table of a document, of the command line and of the forecast of the same bill."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html import unescape

import pytest

from gristwright.casework.beer import brew
from gristwright.casework.mash_house.mash_run import mash_run
from gristwright.casework.recommend.dossier import dossier
from gristwright.documents.dossier_html import dossier_html
from gristwright.documents.dossier_view import dossier_view
from gristwright.quantities.gravity import sg_from_degP
from gristwright.records.lot import Lot
from gristwright.records.mash_trials import MashRun
from gristwright.records.order import Dossier
from gristwright.records.plant import Decoction, Plant, Rest, Sparge
from houses import LOTS, bill, brewhouse, enquiry, sheet, tun, whole_mash

RESTS = (Rest(52.0, 10.0), Rest(63.0, 40.0), Rest(72.0, 20.0), Rest(78.0, 5.0))
SPARGES = (Sparge(1.2, 78.0), Sparge(0.8, 78.0))
HOUSES: dict[str, Plant] = {
    "lauter tun": tun("lauter", rests=RESTS, liquor_L_per_kg=3.2, sparges=SPARGES),
    "mash filter": tun("filter", rests=RESTS[1:], sparges=(Sparge(2.0, 78.0),)),
    "rye on the grain": whole_mash(cook=None, rests=(Rest(45.0, 30.0), Rest(63.0, 60.0))),
}
DECOCTED = brewhouse(
    rests=(Rest(50.0, 10.0), Rest(64.0, 30.0), Rest(75.0, 10.0)),
    liquor_L_per_kg=3.8,
    decoctions=(Decoction(1, 15.0), Decoction(2, 10.0)),
)
MUNICH = (*LOTS, Lot("MU-1", "munich_malt"))


@cache
def answered(house: str) -> Dossier:
    main, other = ("RM-1", "CR-1") if house.startswith("rye") else ("PD-1", "CM-1")
    today = bill(**{main: 100.0})
    asked = enquiry(today, HOUSES[house], {main: (90.0, 100.0), other: (0.0, 10.0)})
    return dossier(asked, LOTS, members=128)


def tables(page: str) -> list[list[list[str]]]:
    """Cells of every table of a page, rows by rows."""
    bare = re.sub(r"<svg.*?</svg>", "", page, flags=re.S)

    def cells(row: str) -> list[str]:
        found = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, flags=re.S)
        return [re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", cell))).strip() for cell in found]

    whole = re.findall(r"<table.*?</table>", bare, flags=re.S)
    return [[cells(row) for row in re.findall(r"<tr.*?</tr>", table, flags=re.S)] for table in whole]


def number(cell: str) -> float:
    return float(cell.split()[0].replace(" ", ""))


@pytest.mark.parametrize("house", HOUSES)
def test_every_table_of_a_dossier_says_the_one_strength(house: str) -> None:
    made = answered(house)
    page = dossier_html(dossier_view(made), made.recommendation)
    trial = made.mash.run.bill
    result = next(
        (offer.result for offer in made.recommendation.offers if offer.result.bill.name == trial),
        made.recommendation.present,
    )
    degP = result.figures["original_gravity_degP"].band.middle
    sg = result.figures["original_gravity_sg"].band.middle
    said_degP, said_sg, worts = [], [], {}
    for table in tables(page):
        head = table[0]
        for row in table[1:]:
            if len(row) > 2 and row[0] == "Original extract" and row[1] == "°P":
                said_degP.append([number(cell) for cell in row[2:] if re.match(r"\d", cell)])
            if row[0] == "Original gravity" and row[1] == "SG":
                said_sg.append([number(cell) for cell in row[2:] if re.match(r"\d", cell)])
            if row[0] == "Original gravity SG":
                said_sg.append([number(row[1])])
            if "°P" in head and "L/t" in head:
                worts[row[0]] = (row[1], number(row[head.index("L/t")]), number(row[head.index("°P")]))
    assert said_degP and all(round(degP, 1) in found for found in said_degP)
    assert len(said_sg) > 1 and all(round(sg, 4) in found for found in said_sg)
    into = [(litres, strength) for goes_to, litres, strength in worts.values() if goes_to == "washback"]
    grams = sum(litres * strength * float(sg_from_degP(strength)) for litres, strength in into)
    litres = sum(litres for litres, _ in into)
    assert litres == pytest.approx(HOUSES[house].mash.wort_L_per_t, abs=2.0)
    assert grams / litres == pytest.approx(degP * sg, rel=0.006)  # one place behind the point, middles of each


@pytest.mark.parametrize("house", HOUSES)
def test_the_words_of_the_worts_follow_the_vessel(house: str) -> None:
    names = [wort.name for wort in answered(house).mash.run.worts]
    assert (
        names
        == {
            "lauter tun": ["first wort", "first sparge", "second sparge"],
            "mash filter": ["first wort", "first sparge"],
            "rye on the grain": ["whole mash"],
        }[house]
    )


@cache
def mashed(decoctions: bool = True) -> MashRun:
    plant = DECOCTED if decoctions else replace(DECOCTED, mash=replace(DECOCTED.mash, decoctions=()))
    return mash_run(sheet(bill(MU_1=100.0), plant), MUNICH, members=128)


def test_a_brewer_s_forecast_and_his_mash_say_the_one_strength() -> None:
    forecast = brew(sheet(bill(MU_1=100.0), DECOCTED), MUNICH, members=128)
    figures = {figure.key: figure.band for figure in mashed().figures}
    for key in ("original_gravity_degP", "original_gravity_sg"):
        assert figures[key] == forecast.result.figures[key].band


def test_the_course_ends_with_the_wort_that_is_drawn() -> None:
    run = mashed()
    assert run.courses["wort_g_per_100g"][-1].middle == pytest.approx(run.worts[-1].degP.middle, rel=1e-6)
    before = [k for k, minute in enumerate(run.times_min) if minute < run.worts[0].at_min][-1]
    assert run.courses["wort_g_per_100g"][before].middle == pytest.approx(run.worts[0].degP.middle, rel=0.002)


def test_a_double_decoction_of_munich_malt_converts_by_what_enzymes_are_left() -> None:
    """Common practice: dark beers are made so; the boiled parts lose their enzymes, the mash still turns its starch."""
    boiled, jacket = mashed(), mashed(decoctions=False)
    end = {name: {f.key: f.band.middle for f in run.figures} for name, run in (("d", boiled), ("j", jacket))}
    assert end["d"]["unconverted_pct"] < 3.0
    out = [k for k, minute in enumerate(boiled.times_min) if minute <= 85.0][-1]
    assert boiled.courses["alpha_alive"][out].middle < 0.8
    assert end["d"]["heating_MJ_per_t"] == pytest.approx(end["j"]["heating_MJ_per_t"], rel=0.01)
