"""A house that cooks raw grain and distils the whole mash: what must hold whatever its numbers are."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from gristwright import casework
from gristwright.basics import Draws, FloatArray
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.ledger import closure, values
from gristwright.casework.bench.setting_up import set_up
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import BillSheet
from gristwright.records.lot import Lot
from house.places import EXAMPLES

HOUSE = EXAMPLES / "maize-rye-column"
MEMBERS = 512
# Litres of alcohol from a kilogram of anhydrous starch: 0.56825 g/g (stoichiometry) over 0.789239 kg/L.
STARCH_L_PER_KG = 0.56825 / 0.789239


@cache
def lots() -> tuple[Lot, ...]:
    return read_lots(HOUSE / "certificates.xlsx").accepted()


@cache
def sheet() -> BillSheet:
    return read_bill(HOUSE / "bill.toml").accepted()


def bench(cook_degC: float | None = 110.0) -> Bench:
    plan = sheet()
    assert plan.cask is not None
    plant = replace(plan.plant, mash=replace(plan.plant.mash, cook_degC=cook_degC))
    chosen = [lot for lot in lots() if lot.lot_id != "RM-1"]
    return set_up(chosen, plan.prices, plant, plan.cask, [], MEMBERS)


def shares(maize: float, rye: float, malt: float) -> FloatArray:
    # A bench has its lots in the order of their names: HE-1, MZ-1, RY-1.
    return np.array([malt, maize, rye])


def psy(on: Bench, grist: FloatArray, draws: Draws) -> FloatArray:
    return on.new_make(grist, draws).grist.psy_lpa_per_t


def test_the_ledger_closes_on_every_draw() -> None:
    on = bench()
    made = on.new_make(on.shares(sheet().bill), on.draws)
    assert closure(values(made, on.matured, on.bottled(made), on.draws)) < 1e-9
    assert casework.forecast(sheet(), lots(), members=MEMBERS).result.litres.closure < 1e-9


def test_the_wash_is_spirit_and_losses() -> None:
    on = bench()
    made = on.new_make(on.shares(sheet().bill), on.draws)
    lost = made.spirit.pot_ale_lpa_per_t + made.spirit.handling_lpa_per_t
    assert made.spirit.lpa_per_t + lost == pytest.approx(made.wash.lpa_per_t, rel=1e-9)


def test_raw_grain_never_goes_through_the_malt_figure() -> None:
    """6.06 L/t is a figure of malt (Bringhurst et al. 1996, J. Inst. Brew. 102:433-437); raw grain has its starch."""
    on, grist = bench(), shares(0.7, 0.2, 0.1)
    malt = 6.06 * 0.1 * on.draws["lot.HE-1.extract_asis_pct"] * on.draws["lot.HE-1.fermentability_pct"] / 100.0
    nothing = dict.fromkeys(("grist.raw_efficiency_maize", "grist.raw_efficiency_rye"), np.zeros(MEMBERS))
    assert psy(on, grist, {**on.draws, **nothing}) == pytest.approx(malt, rel=1e-12)
    # The published drop of maize from 142 to 85 degC (Green et al. 2015), 32 degrees of it at 110 degC.
    cooked = 1.0 - (463.7 - 441.7) / 463.7 * 32.0 / 57.0
    raw = 0.0
    for lot, share, efficiency in (("MZ-1", 0.7, cooked * on.draws["grist.raw_efficiency_maize"]),
                                   ("RY-1", 0.2, on.draws["grist.raw_efficiency_rye"])):  # fmt: skip
        asis = on.draws[f"lot.{lot}.starch_dry_pct"] * (1.0 - on.draws[f"lot.{lot}.moisture_pct"] / 100.0)
        raw = raw + share * 10.0 * STARCH_L_PER_KG * asis * efficiency
    assert psy(on, grist, on.draws) == pytest.approx(malt + raw, rel=1e-9)


@pytest.mark.parametrize("field", ["extract_asis_pct", "fermentability_pct"])
def test_extract_and_fermentability_of_raw_grain_give_no_alcohol(field: str) -> None:
    on, grist = bench(), shares(0.7, 0.2, 0.1)
    other = {**on.draws, f"lot.MZ-1.{field}": on.draws[f"lot.MZ-1.{field}"] * 0.5 + 10.0}
    assert psy(on, grist, other) == pytest.approx(psy(on, grist, on.draws), rel=1e-12)


def test_more_maize_lowers_diastatic_power_on_every_draw() -> None:
    on = bench()
    power = [
        on.new_make(shares(0.8 - malt, 0.2, malt), on.draws).grist.diastatic_power_degLintner
        for malt in (0.16, 0.12, 0.08, 0.04, 0.0)
    ]
    assert all(np.all(less < more) for more, less in pairwise(power))
    assert np.all(power[-1] == 0.0)


def test_a_hotter_cooker_gives_more_from_maize_and_no_more_from_rye() -> None:
    grains = {"maize": shares(1.0, 0.0, 0.0), "rye": shares(0.0, 1.0, 0.0)}
    found = {
        name: [psy(bench(degC), grist, bench(degC).draws) for degC in (85.0, 110.0, 142.0)]
        for name, grist in grains.items()
    }
    assert np.all(np.diff(found["maize"], axis=0) > 0.0)
    assert np.all(np.diff(found["rye"], axis=0) == 0.0)
    # The published ends (Green et al. 2015, J. Inst. Brew. 121:332) set the slope, so this is no validation.
    assert found["maize"][0] / found["maize"][2] == pytest.approx(441.7 / 463.7, rel=1e-9)


def test_no_grain_gives_more_than_its_starch_at_theory() -> None:
    on = bench(142.0)
    made = on.new_make(shares(1.0, 0.0, 0.0), on.draws).grist
    assert np.all(made.psy_lpa_per_t < made.theory_lpa_per_t)
    assert made.psy_lpa_per_t + made.raw_lost_lpa_per_t == pytest.approx(made.theory_lpa_per_t, rel=1e-12)


def test_the_ledger_has_a_stillage_line_and_none_of_a_tun_or_pots() -> None:
    keys = {row.key for row in casework.forecast(sheet(), lots(), members=MEMBERS).result.litres.rows}
    assert {"stillage", "raw_grain"} <= keys
    assert not {"draff", "pot_ale", "spent_lees"} & keys


def test_a_bill_of_malt_alone_has_no_raw_grain_line_and_costs_its_malt() -> None:
    alone = replace(sheet(), bill=Bill("malt", (Share("HE-1", 10_000),)))
    result = casework.forecast(alone, lots(), members=MEMBERS).result
    assert "raw_grain" not in {row.key for row in result.litres.rows}
    made = result.figures
    assert made["cost_per_lpa"].band.middle == pytest.approx(640.0 / made["lpa_per_t"].band.middle, rel=0.005)
    assert "gelatinisation" not in {board.key for board in result.boards}


def test_boards_of_the_tun_do_not_speak_where_nothing_is_run_off() -> None:
    boards = {board.key for board in casework.forecast(sheet(), lots(), members=MEMBERS).result.boards}
    assert "bed" not in boards and "charge" not in boards
    assert {"enzymes", "gelatinisation", "foam"} <= boards
