"""The simulated mash behind the ledger: what a distiller expects of it, and that near bills are judged rightly."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from casework.recommend.test_search import GRAIN, MALT, asked
from gristwright.basics import Draws, Light
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.boards import distillers_boards
from gristwright.casework.bench.ledger import closure, values
from gristwright.casework.bench.setting_up import set_up
from gristwright.casework.recommend.demands import demands, fail_masks, reference_run
from gristwright.casework.recommend.front import Allowed, Front
from gristwright.casework.recommend.search import ranges
from gristwright.casework.recommend.work import COST_STEP
from gristwright.files.certificates.lots_in import read_lots
from gristwright.files.jobs_in import read_bill
from gristwright.flowsheet import mashing
from gristwright.numerics.grid import listed
from gristwright.numerics.weights import band
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Limits
from gristwright.records.plant import Rest, Sparge
from gristwright.stages.mash.laboratory import MashEffect
from gristwright.stages.mash.limits_simulation import left_problems
from house.places import EXAMPLES

MEMBERS = 256


@cache
def bench(name: str) -> tuple[Bench, Bill]:
    folder = EXAMPLES / name
    lots = read_lots(next(folder / f for f in ("lots.csv", "certificates.xlsx") if (folder / f).exists())).accepted()
    sheet = read_bill(folder / "bill.toml").accepted()
    assert sheet.cask is not None
    ids = {share.lot_id for share in sheet.bill.shares}
    chosen = [lot for lot in lots if lot.lot_id in ids]
    return set_up(chosen, sheet.prices, sheet.plant, sheet.cask, [], MEMBERS), sheet.bill


def effect(name: str, enzymes: dict[str, float] | None = None, boiled: bool = False, **plan: object) -> MashEffect:
    """The middle run of an example's bill in its house with another plan, or with other enzymes in its lots."""
    base, bill = bench(name)
    plant = replace(base.plant, wort_boiled=boiled, mash=replace(base.plant.mash, **plan))  # type: ignore[arg-type]
    draws: Draws = dict(base.middles)
    for ending, factor in (enzymes or {}).items():
        draws |= {key: factor * value for key, value in draws.items() if key.endswith(ending)}
    return mashing.effect(base.lots, plant, base.shares(bill), draws, mashing.usual_unopened(plant, draws))


def test_a_usual_mash_gives_what_the_laboratory_says() -> None:
    """Common practice: an infusion settled at 64 degC gets the predicted yield of a sound malt."""
    assert effect("all-malt-pot").factor[0] == pytest.approx(1.0, abs=0.015)


def test_a_hot_mash_leaves_dextrins_and_hardly_starch() -> None:
    """Muller 1991, J. Inst. Brew. 97:85: up to 80 degC extract hardly falls, fermentability much."""
    hot = [effect("all-malt-pot", settled_mash_degC=degC) for degC in (64.0, 68.0, 72.0, 76.0)]
    factors = [float(e.factor[0]) for e in hot]
    assert factors == sorted(factors, reverse=True) and factors[0] - factors[-1] > 0.2
    assert hot[1].dextrin[0] > 0.005 and hot[2].dextrin[0] > 0.02
    assert all(e.unconverted[0] < 0.01 for e in hot)


def test_a_cold_mash_leaves_starch_unopened() -> None:
    cold = effect("all-malt-pot", rests=(Rest(56.0, 60.0),), sparges=(Sparge(1.4, 56.0),))
    assert cold.unopened_pct[0] > 5.0 and cold.unopened_pct[0] > 0.5 * cold.starch_left_pct[0]


def test_uncooked_maize_hardly_converts() -> None:
    """Common practice: maize is cooked, for its starch opens well above any malt mash."""
    cooked, raw = effect("maize-rye-column"), effect("maize-rye-column", cook_degC=None, cooker=None, premalt_pct=0.0)
    assert cooked.converted[0] > 0.97 and raw.converted[0] < 0.5
    assert raw.unopened_pct[0] > 50.0


def test_weak_enzymes_leave_starch_and_ferment_less() -> None:
    strengths = (1.0, 0.3, 0.1)
    weak = [effect("maize-rye-column", enzymes={"diastatic_power": s, "dextrinising_units": s}) for s in strengths]
    left = [float(e.starch_left_pct[0]) for e in weak]
    assert left == sorted(left) and left[2] - left[0] > 2.0


def test_a_grist_without_enzyme_or_uncooked_is_refused_with_the_reason() -> None:
    base, bill = bench("maize-rye-column")
    none = dict(base.middles) | {k: 0.0 * v for k, v in base.middles.items() if k.endswith(("power", "_units"))}
    nothing = mashing.effect(base.lots, base.plant, base.shares(bill), none, mashing.usual_unopened(base.plant, none))
    assert nothing.factor[0] < 0.05
    uncooked = replace(base.plant.mash, cook_degC=None, cooker=None, premalt_pct=0.0)
    (problem,) = left_problems(base.with_plant(replace(base.plant, mash=uncooked)).made(bill).wort)
    assert "never opens in this mash" in problem.what and "Cook" in problem.way_out
    assert left_problems(base.made(bill).wort) == []


def test_low_units_show_though_the_diastatic_power_is_enough() -> None:
    """Common practice: diastatic power does not make up for missing alpha-amylase."""
    little_alpha = effect("maize-rye-column", enzymes={"dextrinising_units": 0.1})
    little_beta = effect("maize-rye-column", enzymes={"diastatic_power": 0.1})
    whole = effect("maize-rye-column")
    assert little_alpha.starch_left_pct[0] > whole.starch_left_pct[0] + 1.0
    assert little_alpha.starch_left_pct[0] > little_beta.starch_left_pct[0]


def test_reversed_rests_ferment_less() -> None:
    out = Rest(78.0, 5.0)  # what follows, run-off and sparge, is the same then
    up, down = (Rest(62.0, 40.0), Rest(72.0, 20.0), out), (Rest(72.0, 20.0), Rest(62.0, 40.0), out)
    right, wrong = (effect("all-malt-pot", rests=rests) for rests in (up, down))
    # Unboiled, alpha-amylase makes up in the washback for most of what beta-amylase did not live to do.
    assert right.factor[0] > wrong.factor[0]
    right, wrong = (effect("all-malt-pot", boiled=True, rests=rests) for rests in (up, down))
    assert right.fermentable_pct[0] > wrong.fermentable_pct[0] + 5.0
    assert right.factor[0] > wrong.factor[0] + 0.05


def test_a_thick_mash_ferments_less() -> None:
    """De Schepper & Courtin 2022, Food Hydrocolloids 107745: direction only; their fall is a printed miss."""
    thin, thick = (effect("all-malt-pot", rests=(Rest(62.0, 60.0),), liquor_L_per_kg=r) for r in (5.0, 2.2))
    assert thick.starch_left_pct[0] > thin.starch_left_pct[0]


def test_rests_waters_and_a_whole_mash_make_their_programmes() -> None:
    base, bill = bench("all-malt-pot")
    shares, plant = base.shares(bill), base.plant
    waters = mashing.set_out(base.lots, plant, shares, base.middles).programme
    assert [d.goes_to for d in waters.draw_offs] == ["washback", "washback", "next mash"]
    rests = replace(plant, mash=replace(plant.mash, rests=(Rest(63.0, 30.0), Rest(72.0, 20.0)), liquor_L_per_kg=3.5))
    programme = mashing.set_out(base.lots, rests, shares, base.middles).programme
    assert [d.name for d in programme.draw_offs] == ["first wort", "first sparge"]
    assert programme.mashed_in_L_per_kg == 3.5
    grain, grain_bill = bench("maize-rye-column")
    ready = mashing.set_out(grain.lots, grain.plant, grain.shares(grain_bill), grain.middles)
    order = [sorted(key.split(",")[0] for key, _ in charge.grains) for charge in ready.programme.charges]
    assert order == [["HE-1", "MZ-1"], ["RY-1"], ["HE-1"]]
    assert sum(float(g.share[0]) for g in ready.grains) == pytest.approx(1.0)
    assert next(g for g in ready.grains if g.key == "HE-1, in the cooker").share[0] == pytest.approx(0.01)


@pytest.mark.parametrize("name", ["all-malt-pot", "maize-rye-column"])
def test_the_ledger_adds_up_with_the_simulated_mash(name: str) -> None:
    base, bill = bench(name)
    made = base.made(bill)
    assert closure(values(made, base.matured, base.bottled(made), base.draws)) < 1e-9
    published = base.new_make(base.shares(bill), base.draws)
    factor = base.house_effect(base.shares(bill), base.draws).factor
    potential = published.wash.lpa_per_t / base.draws["wash.alcohol_recovery"]
    assert made.wash.lpa_per_t == pytest.approx(potential * factor, rel=1e-9)


def test_what_was_simulated_is_kept_and_the_same_again() -> None:
    base, bill = bench("all-malt-pot")
    shares = base.shares(bill)
    first = base.house_effect(shares, base.draws)
    assert base.house_effect(shares.copy(), base.draws) is first
    again = mashing.effect(
        base.lots, base.plant, shares, base.draws, mashing.usual_unopened(base.plant, base.draws), None, base.middles
    )
    assert np.array_equal(again.factor, first.mash.factor)


def test_half_the_step_gives_the_same_effect(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("all-malt-pot", "maize-rye-column"):
        base, bill = bench(name)
        shares = base.shares(bill)
        whole = mashing.effect(
            base.lots,
            base.plant,
            shares,
            base.draws,
            mashing.usual_unopened(base.plant, base.draws),
            None,
            base.middles,
        )
        monkeypatch.setattr(mashing, "EFFECT_STEP_S", 0.5 * mashing.EFFECT_STEP_S)
        half = mashing.effect(
            base.lots,
            base.plant,
            shares,
            base.draws,
            mashing.usual_unopened(base.plant, base.draws),
            None,
            base.middles,
        )
        monkeypatch.undo()
        assert np.max(np.abs(half.factor - whole.factor)) < 1e-3


def test_a_near_bill_is_judged_nearly_as_its_own_mash() -> None:
    """The mash of a near bill is the known one's moved by the ratio of two reference runs: its band within 1 L/t."""
    for house in (MALT, GRAIN):
        base, enquiry = asked(house, 500)
        shares = list(enquiry.present.shares)
        other = next(b.lot.lot_id for b in base.lots if b.lot.lot_id not in {s.lot_id for s in shares})
        moved = (replace(shares[0], parts=shares[0].parts - 500), *shares[1:], Share(other, 500))
        bill = Bill("moved", moved)
        near, own = base.made_near(bill, enquiry.present), base.made(bill)
        ends = [band(made.spirit.lpa_per_t, base.weights) for made in (near, own)]
        apart = [abs(getattr(ends[0], end) - getattr(ends[1], end)) for end in ("low", "middle", "high")]
        assert max(apart) < 1.0


@pytest.mark.parametrize(("house", "step"), [(MALT, 500), (GRAIN, 200)], ids=str)
def test_no_bill_far_from_the_front_is_cheapest_once_mashed(house: tuple[str, str], step: int) -> None:
    """A small grid mashed whole on the reference run: the bills kept near the front hold the cheapest of each set."""
    base, enquiry = asked(house, step)
    rows = listed(WHOLE // step, ranges(base, enquiry)).astype(np.int64) * step
    ref = reference_run(base, enquiry, rows)
    front = Front.of(base, enquiry, Allowed.of(ref, fail_masks(demands(base, enquiry, ref)), len(rows)))
    sets = front.sets()[:8]
    assert sets
    near = front.mashed(base, sets)
    for special in sets:
        own = front.rows(special)
        every = base.mash_ahead(front.bills.parts[own] / WHOLE)
        cost = front.bills.cost[own] / every.factor
        converts = (every.mash.starch_left_pct <= 5.0) & (every.mash.mash_left_pct <= 10.0)
        assert near.bills.cost[near.rows(special)].min() <= cost[converts].min() + COST_STEP


def test_boards_speak_of_the_simulated_mash() -> None:
    base, bill = bench("all-malt-pot")
    hot = base.with_plant(replace(base.plant, mash=replace(base.plant.mash, settled_mash_degC=72.0)))
    found = {b.key: b for b in distillers_boards(hot, bill, hot.made(bill), Limits(), ())}
    assert found["dextrin"].light is Light.RED and "cooler" in found["dextrin"].remedy
    assert {b.key for b in distillers_boards(base, bill, base.made(bill), Limits(), ())} >= {"starch", "dextrin"}


def test_a_plan_without_a_simulated_mash_is_the_published_balance() -> None:
    base, bill = bench("all-malt-pot")
    made = base.new_make(base.shares(bill), base.draws)
    assert made.wort.starch_left_pct is None
    assert np.all(made.wort.unconverted_lpa_per_t == 0.0) and np.all(made.wort.dextrin_lpa_per_t == 0.0)
    boards = {b.key for b in distillers_boards(base, bill, made, Limits(), ())}
    assert "starch" not in boards and "dextrin" not in boards
