"""The adviser's job on the invented scenario: what must hold whatever its numbers are."""

import dataclasses

import numpy as np
import pytest

from gristwright import casework
from gristwright.basics import Refused, Verdict
from gristwright.casework.bench import influence
from gristwright.casework.bench.anchor import anchor
from gristwright.casework.bench.ledger import closure, values
from gristwright.casework.bench.setting_up import set_up
from gristwright.numerics.weights import band
from gristwright.records.bill import Bill, Share
from gristwright.records.enquiry import Limits
from gristwright.records.plant import PlantRecord
from scenario import MEMBERS, answered, enquiry, lots


def bench_of(record=True):
    asked = enquiry()
    prices = {o.lot_id: o.price_per_t for o in asked.offered}
    made = set_up(lots(), prices, asked.plant, asked.cask, [], MEMBERS)
    return anchor(made, asked.present, asked.record if record else None)[0]


def middle(figure) -> float:
    return figure.band.middle


def test_the_ledger_adds_up_on_every_draw():
    bench = bench_of()
    made = bench.new_make(bench.shares(enquiry().present), bench.draws)
    assert closure(values(made, bench.matured, bench.bottled(made), bench.draws)) < 1e-9
    assert answered().present.litres.closure < 1e-9


def test_the_reference_run_adds_up_as_printed():
    rows = {row.key: row for row in answered().present.litres.rows}
    losses = sum(row.reference for row in rows.values() if row.kind == "loss")
    assert rows["carbohydrate"].reference - losses == pytest.approx(rows["bottle"].reference, rel=1e-9)


def test_the_present_bill_comes_out_where_the_plant_runs():
    record = enquiry().record
    got = answered().present.figures["lpa_per_t"].band
    assert abs(got.middle - record.mean_lpa_per_t) < 1.0
    assert answered().anchor.before.width > 1.5 * got.width


def test_without_a_record_it_says_literature_only():
    asked = dataclasses.replace(enquiry(), record=None)
    answer = casework.advise(asked, lots(), members=MEMBERS)
    assert not answer.anchor.used
    assert "Literature only" in answer.anchor.sentence


def test_a_record_nobody_could_reach_is_refused():
    asked = dataclasses.replace(enquiry(), record=PlantRecord(440.0, 2.0, 100))
    with pytest.raises(Refused, match="440 L/t"):
        casework.advise(asked, lots(), members=MEMBERS)


def test_differences_are_paired_and_narrower_than_unpaired():
    bench = bench_of(record=False)
    offer = Bill("o", (Share("PD-1", 9500), Share("CM-120", 500)))
    now = bench.new_make(bench.shares(enquiry().present), bench.draws).spirit.lpa_per_t
    then = bench.new_make(bench.shares(offer), bench.draws).spirit.lpa_per_t
    paired = band(then - now, bench.weights).width
    unpaired = np.hypot(band(then, bench.weights).width, band(now, bench.weights).width)
    assert paired < 0.5 * unpaired


def test_a_bill_against_itself_is_no_difference():
    bench = bench_of()
    assert np.all(influence.change(bench, enquiry().present, enquiry().present) == 0.0)


def test_more_caramel_malt_gives_up_more():
    by_share = {}
    for offer in answered().offers:
        shares = {s.lot_id: s.parts for s in offer.result.bill.shares}
        if set(shares) == {"PD-1", "CM-120"}:
            by_share[shares["CM-120"]] = middle(offer.changes["lpa_per_t"])
    assert len(by_share) >= 2
    ordered = [by_share[key] for key in sorted(by_share)]
    assert ordered == sorted(ordered, reverse=True)
    assert ordered[0] < 0


def test_offers_keep_every_demand():
    asked = enquiry()
    most = {o.lot_id: o.most_parts for o in asked.offered}
    for offer in answered().offers:
        shares = {s.lot_id: s.parts for s in offer.result.bill.shares}
        assert sum(shares.values()) == 10_000
        assert all(parts <= most[lot] and parts % asked.grid_parts == 0 for lot, parts in shares.items())
        special = sum(shares.get(lot, 0) for lot in asked.groups[0].lot_ids)
        assert 500 <= special <= 1500
        assert all(answer.verdict is Verdict.PASS for answer in offer.result.law)
    assert 1 <= len(answered().offers) <= 5


def test_no_offer_is_beaten_by_one_with_the_same_special_malts():
    offers = answered().offers
    for one in offers:
        for other in offers:
            if one is not other and _special(one) == _special(other):
                assert not (
                    middle(other.changes["lpa_per_t"]) >= middle(one.changes["lpa_per_t"])
                    and middle(other.changes["cost_per_lpa"]) <= middle(one.changes["cost_per_lpa"])
                )


def _special(offer):
    return {(s.lot_id, s.parts) for s in offer.result.bill.shares if s.lot_id.startswith("CM")}


def test_the_same_input_and_seed_give_the_same_answer():
    again = casework.advise(enquiry(), lots(), members=MEMBERS)
    assert again == answered()


def test_another_seed_moves_the_answer_only_within_its_band():
    other = casework.advise(enquiry(), lots(), members=MEMBERS, seed=7)
    for ours, theirs in zip(answered().offers, other.offers, strict=True):
        one, two = ours.changes["lpa_per_t"].band, theirs.changes["lpa_per_t"].band
        assert abs(one.middle - two.middle) < 0.2 * one.width


def test_every_figure_rests_on_listed_assumptions():
    answer = answered()
    known = {assumption.name for assumption in answer.assumptions}
    for result in (answer.present, *(offer.result for offer in answer.offers)):
        for figure in result.figures.values():
            assert figure.rests_on
            assert set(figure.rests_on) <= known, figure.key
        for row in result.litres.rows:
            assert set(row.rests_on) <= known, row.key
    for assumption in answer.assumptions:
        assert assumption.source
        assert assumption.band.low <= assumption.band.middle <= assumption.band.high


def test_measuring_what_is_named_narrows_the_answer():
    named = answered().measure_next
    assert named
    assert named[0].assumption.endswith("fermentability_pct")
    assert all(item.by > 0 and item.how for item in named)


def test_nothing_is_promised_of_caramel():
    answer = answered()
    verdicts = {one.marker: one.passes for one in answer.markers}
    assert verdicts["maltol"] == verdicts["furaneol"] == verdicts["colour"] == "does not pass"
    text = " ".join(fact.text for fact in answer.will_not)
    assert "No caramel carried over" in text and "No age" in text


def test_what_the_trade_says_stands_beside_the_numbers_with_the_trial_that_settles_it():
    (said,) = answered().trade
    assert (said.key, said.standing) == ("toffee", "common practice")
    assert "maltol" in said.numbers
    # 69 answers: exact binomial, one false alarm in twenty, three people in ten tell, four trials in five.
    assert "duo-trio" in said.trial and "69 answers find it in 80 % of trials" in said.trial


def test_impossible_enquiry_names_the_smallest_conflict_and_what_giving_way_brings():
    answer = answered("impossible.toml")
    assert answer.offers == ()
    demands = {item.demand for item in answer.search.conflict}
    assert demands == {"at least 378 L of pure alcohol a tonne", "at least 15 % CM-300"}
    assert all("opens" in item.gives for item in answer.search.conflict)


def test_no_bill_can_meet_the_conflict_by_brute_force():
    """Independent of masks: enumerate the grid in plain Python and ask both demands of every bill."""
    asked = enquiry("impossible.toml")
    prices = {o.lot_id: o.price_per_t for o in asked.offered}
    bench = anchor(set_up(lots(), prices, asked.plant, asked.cask, [], MEMBERS), asked.present, asked.record)[0]
    best = 0.0
    for dark in range(15, 101, 5):
        for mid in range(0, 101 - dark, 5):
            for old in range(0, 101 - dark - mid, 5):
                pct = {"PD-1": 100 - dark - mid - old, "PD-2": old, "CM-120": mid, "CM-300": dark}
                shares = np.array([pct[belief.lot.lot_id] for belief in bench.lots]) / 100.0
                best = max(best, float(bench.new_make(shares, bench.middles).spirit.lpa_per_t[0]))
    assert best < 378.0


def test_law_that_cannot_be_met_is_a_demand_like_another():
    rye = dataclasses.replace(
        next(lot for lot in lots() if lot.lot_id == "CM-120"), lot_id="CR", material="caramel_rye_malt", lot_number="R"
    )
    asked = enquiry()
    swapped = tuple(dataclasses.replace(o, lot_id="CR") if o.lot_id == "CM-120" else o for o in asked.offered)
    groups = (dataclasses.replace(asked.groups[0], lot_ids=("CR",)),)
    offered = tuple(o for o in swapped if o.lot_id != "CM-300")
    asked = dataclasses.replace(asked, offered=offered, groups=groups, limits=Limits())
    answer = casework.advise(asked, [*lots(), rye], members=MEMBERS)
    assert answer.offers == ()
    assert any("single malt" in item.demand for item in answer.search.conflict)
    assert any("caramel malt" in item.demand for item in answer.search.conflict)


def test_stopping_stops():
    def tick(_done, _total, _note):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        casework.advise(enquiry(), lots(), members=MEMBERS, tick=tick)
