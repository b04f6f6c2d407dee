"""What a unit is worth by hand arithmetic, what enzymes a bill needs, and which limits a lot is held to."""

from dataclasses import replace

import numpy as np
import pytest

from gristwright.basics import Light, Refused
from gristwright.casework import forecast
from gristwright.casework.trade.specify import applies, least_factor, specify, words_of
from gristwright.numerics.weights import equal_weights
from gristwright.records.bill import Bill, Share
from gristwright.records.lot import Lot
from gristwright.records.trade import SpecLine
from gristwright.reference import csv_rows
from gristwright.stages.grist.materials import material_named
from scenario import lots, sheet

MEMBERS = 512
# What mash, wash and stills keep of one litre more: middles of the priors, and docs/still.md.
KEPT = 0.975 * 0.985 * 0.993
MIXED = replace(sheet(), bill=Bill("mixed", (Share("PD-1", 9000), Share("CM-120", 1000))), prices={})


def line(spec, lot_id: str, field: str) -> SpecLine:
    lot = next(lot for lot in spec.lots if lot.lot_id == lot_id)
    return next(line for line in (*lot.lines, *lot.contaminants) if line.field == field)


def worth(spec, lot_id: str, field: str) -> float:
    figure = line(spec, lot_id, field).worth
    assert figure is not None
    return figure.band.middle


def test_one_per_cent_of_moisture_by_hand() -> None:
    spec = specify(sheet(), lots(), 3.0, members=MEMBERS)
    # Dry matter 95.4 -> 94.4 % takes 77.8 / 95.4 = 0.8155 points of extract with it; 6.06 L/t a point of fermentable
    # extract (Bringhurst et al. 1996); three a litre.
    by_hand = -3.0 * 6.06 * 0.874 * 77.8 / 95.4 * KEPT
    assert worth(spec, "PD-1", "moisture_pct") == pytest.approx(by_hand, rel=0.01)
    assert by_hand == pytest.approx(-12.4, abs=0.1)


def test_extract_fermentability_and_yield_by_hand() -> None:
    spec = specify(sheet(), lots(), 3.0, members=MEMBERS)
    assert worth(spec, "PD-1", "extract_asis_pct") == pytest.approx(3.0 * 6.06 * 0.874 * KEPT, rel=0.01)
    assert worth(spec, "PD-1", "fermentability_pct") == pytest.approx(3.0 * 6.06 * 0.778 * KEPT, rel=0.01)
    assert worth(spec, "PD-1", "psy_lpa_per_t") == pytest.approx(3.0 * KEPT, rel=0.01)


def test_worth_is_per_tonne_of_the_lot_and_has_a_band() -> None:
    spec = specify(MIXED, lots(), 3.0, members=MEMBERS)
    alone = specify(sheet(), lots(), 3.0, members=MEMBERS)
    assert worth(spec, "PD-1", "moisture_pct") == pytest.approx(worth(alone, "PD-1", "moisture_pct"), rel=0.005)
    figure = line(spec, "CM-120", "moisture_pct").worth
    assert figure is not None
    # Fine extract dry 75.8 - 1.75 = 74.05, 46 % of it fermentable.
    assert figure.band.middle == pytest.approx(-3.0 * 6.06 * 0.7405 * 0.46 * KEPT, rel=0.03)
    assert figure.band.low < figure.band.middle < figure.band.high < 0.0


def test_twice_the_value_is_twice_the_worth() -> None:
    once, twice = (worth(specify(sheet(), lots(), v, members=64), "PD-1", "extract_asis_pct") for v in (2.5, 5.0))
    assert twice == pytest.approx(2 * once)


def test_without_a_value_the_malt_counts_and_without_prices_litres() -> None:
    priced = specify(sheet(), lots(), members=MEMBERS)
    assert priced.value_per_lpa == pytest.approx(520 / 388.4, abs=0.01)
    assert "low side" in priced.value_words
    bare = specify(replace(sheet(), prices={}), lots(), members=MEMBERS)
    figure = line(bare, "PD-1", "moisture_pct").worth
    assert figure is not None
    assert bare.value_per_lpa is None and figure.unit == "L pure alcohol/t"
    assert figure.band.middle == pytest.approx(-6.06 * 0.874 * 77.8 / 95.4 * KEPT, rel=0.01)


def with_power(value: float) -> list[Lot]:
    """The scenario's lots, PD-1 with another diastatic power [degLintner]."""
    return [
        replace(
            lot,
            analyses=tuple(
                replace(a, value=value, unit="degLintner") if a.field == "diastatic_power" else a for a in lot.analyses
            ),
        )
        if lot.lot_id == "PD-1"
        else lot
        for lot in lots()
    ]


def test_the_least_power_is_where_the_board_turns() -> None:
    least = line(specify(MIXED, lots(), members=MEMBERS), "PD-1", "diastatic_power").least
    assert least is not None and 40 / 0.9 < least < 60
    boards = [
        next(b for b in forecast(MIXED, with_power(value), MEMBERS).result.boards if b.key == "enzymes")
        for value in (1.01 * least, 0.99 * least)
    ]
    assert [board.light for board in boards] == [Light.GREEN, Light.AMBER]


def test_more_caramel_malt_asks_more_of_the_base_malt() -> None:
    heavy = replace(MIXED, bill=Bill("heavy", (Share("PD-1", 7000), Share("CM-120", 3000))))
    few, many = (line(specify(s, lots(), members=64), "PD-1", "diastatic_power").least for s in (MIXED, heavy))
    assert few is not None and many is not None
    assert many == pytest.approx(few * 9 / 7, rel=1e-6)


def test_least_factor_by_hand() -> None:
    weights = equal_weights(4)
    own, rest = np.full(4, 50.0), np.full(4, 10.0)
    assert least_factor(own, rest, 40.0, weights) == pytest.approx(0.6)
    assert least_factor(own, rest, 10.0, weights) == 0.0
    assert least_factor(np.zeros(4), rest, 40.0, weights) is None


def test_malt_without_enzymes_is_not_asked_for_them() -> None:
    spec = specify(MIXED, lots(), members=64)
    caramel = next(lot for lot in spec.lots if lot.lot_id == "CM-120")
    assert not {"diastatic_power", "dextrinising_units"} & {line.field for line in caramel.lines}


def test_a_certificate_outside_is_named() -> None:
    assert specify(sheet(), lots(), members=64).lots[0].misses == ()
    damp = replace(lots()[0], analyses=tuple(
        replace(a, value=6.0) if a.field == "moisture_pct" else a for a in lots()[0].analyses
    ))  # fmt: skip
    assert specify(sheet(), [damp], members=64).lots[0].misses == ("moisture",)


@pytest.mark.parametrize(
    ("material", "field", "most"),
    [
        # (EU) 2024/1038: malting barley 200, other cereals 50 ug/kg; (EU) 2024/1022: 1000 ug/kg; FDA CPG 578.500: 10.
        ("pale_distilling_malt", "t2_ht2_ug_per_kg", [200]),
        ("rye_malt", "t2_ht2_ug_per_kg", [50]),
        ("pale_distilling_malt", "don_ug_per_kg", [1000]),
        ("pale_distilling_malt", "ndma_ug_per_kg", [10, 2.5]),
        ("rye_malt", "glycosidic_nitrile_g_per_t", []),
    ],
)
def test_the_limits_a_type_is_held_to(material: str, field: str, most: list[float]) -> None:
    words = words_of(material_named(material, ""))
    rows = [row for row in csv_rows("tables/specification.csv") if row["field"] == field]
    assert [float(row["most"]) for row in rows if applies(row["applies"], words)] == most


def test_every_limit_says_whether_it_is_law_and_of_when() -> None:
    for row in csv_rows("tables/specification.csv"):
        if row["kind"] == "contaminant":
            assert row["source"].startswith(("law", "guide"))
            assert not row["source"].startswith("law") or "20" in row["source"] or row["standing"] == "from memory" or (
                "1980" in row["source"]
            )  # fmt: skip


def test_every_fault_at_once() -> None:
    with pytest.raises(Refused) as caught:
        specify(replace(sheet(), categories=("EU_NOTHING",)), lots(), -1.0)
    assert "EU_NOTHING" in str(caught.value) and "-1 a litre" in str(caught.value)
