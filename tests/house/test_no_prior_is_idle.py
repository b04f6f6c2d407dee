"""Every parameter moves a figure of some house: one that moves none is not read, and says less than it seems to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from gristwright import casework
from gristwright.basics import Assumption
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Analysis, Lot
from gristwright.records.plant import Plant, Rest
from gristwright.reference import priors
from gristwright.stages.cask import leak, model, wood
from houses import LOTS, bill, brewhouse, sheet, tun, whole_mash

MEMBERS = 256
# Read, and moving no figure of a bill: the malt behind the plant's average weighs draws; the depth of a bed is told in
# words and cancels in hours; what a heating surface bears moves the chance of a board, and is told in words.
OF_NO_FIGURE = {"grist.past_lots_spread_lpa_per_t", "grist.bed_L_per_kg", "grist.scorch_kW_per_m2"}
# A search over many bills takes these before each is fermented; furfural is told where the wash itself is shown.
OF_NO_FIGURE |= {"wash.alcohol_recovery", "wash.attenuation_of_limit", "wash.furfural_per_g_h"}
# Extracts of three routes: each is read where a certificate states that one.
ROUTES = (("FINE", "extract_fine_dry_pct", 81.0), ("COARSE", "extract_coarse_dry_pct", 79.5),
          ("FINER", "extract_07mm_dry_pct", 80.0))  # fmt: skip
UNITS = (Analysis("alpha_amylase_U_per_g", 120.0, "U/g"), Analysis("beta_amylase_U_per_g", 400.0, "U/g"))


def lots() -> tuple[Lot, ...]:
    routes = [
        Lot(name, "pale_distilling_malt", analyses=(Analysis(field, value, "%"),)) for name, field, value in ROUTES
    ]
    return (*LOTS, *routes, Lot("UNITS", "pale_distilling_malt", analyses=UNITS), Lot("RR-1", "raw_rye"))


def watered(plant: Plant, **mash: object) -> Plant:
    return replace(plant, mash=replace(plant.mash, **mash))  # type: ignore[arg-type]


def houses() -> Iterator[tuple[BillSheet, Plant]]:
    for vessel in ("tun", "lauter", "filter"):
        plant = tun(vessel)
        yield sheet(bill(FINE=40, COARSE=30, FINER=30), plant), plant
    stated = tun(usual_run_off_hours=5.0)
    yield sheet(bill(UNITS=60, RM_1=40), stated), stated
    rested = watered(tun("lauter"), rests=(Rest(42.0, 20.0), Rest(64.0, 60.0)), mill_gap_mm=0.4)
    yield sheet(bill(PD_1=60, RM_1=40), rested), rested
    thinned = replace(watered(tun("filter"), gum_enzyme="added"), enzymes="added microbial")
    yield sheet(bill(PD_1=60, RM_1=40), thinned), thinned
    tight = replace(
        tun(), washbacks=replace(tun().washbacks, set_degC=28.0, cooling="jacket", cooling_m2=1.0, room_degC=18.0)
    )
    yield sheet(bill(PD_1=100), tight), tight
    hard = watered(tun(), alkalinity_mg_per_L=150.0, calcium_mg_per_L=60.0)
    yield sheet(bill(PD_1=80, RW_1=20), hard), hard
    cooked = watered(whole_mash(), backset_pct=25.0)
    yield sheet(bill(MZ_1=50, RW_1=15, RB_1=10, RR_1=10, HE_1=15), cooked), cooked
    column = whole_mash()
    yield sheet(bill(MZ_1=40, RM_1=40, HE_1=20), column), column
    yield sheet(bill(PD_1=70, RB_1=30), brewhouse()), brewhouse()


def names_of(given: BillSheet, plant: Plant) -> set[str]:
    follow = casework.brew if plant.wort_boiled else casework.forecast
    made = follow(given, lots(), members=MEMBERS)
    of_week = made.capacity.assumptions if made.capacity else ()
    found: set[Assumption] = {*made.assumptions, *of_week}
    return {assumption.name for assumption in found}


@pytest.fixture(scope="module")
def moving() -> set[str]:
    return set().union(*(names_of(given, plant) for given, plant in houses()))


@pytest.mark.parametrize("room", ["grist", "mash", "wash", "still", "cask", "bottle"])
def test_every_parameter_of_a_room_moves_a_figure_of_some_house(room: str, moving: set[str]) -> None:
    known = {prior.name for prior in priors(room)} - OF_NO_FIGURE
    # A stock of casks reads leaks and what the wood gives, and lists all of them.
    of_stock = {*leak.RESTS_ON, *wood.RESTS_ON, *model.RESTS_ON} if room == "cask" else set()
    assert known - moving - of_stock == set()
