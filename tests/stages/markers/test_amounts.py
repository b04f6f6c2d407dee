"""Amounts in the spirit as filled: by the shares of a grist, felt only past a threshold measured in spirit."""

from __future__ import annotations

import pytest

from gristwright.basics import Band, Refused
from gristwright.records.markers_through import MarkerAmount, MarkerLab
from gristwright.records.wash_besides import WashAmount
from gristwright.reference import csv_rows
from gristwright.stages.markers.amounts import amounts, hearts_end, without_amounts
from gristwright.stages.markers.grist import MarkerSource
from gristwright.stages.markers.limits import HouseFigures
from gristwright.stages.markers.model import follow_markers
from gristwright.stages.markers.rows import thresholds, told

HOUSE = HouseFigures(410.0, 68.0)
PALE = MarkerSource("P", frozenset({"pale"}), 0.9)
CARAMEL = MarkerSource("C", frozenset({"caramel"}), 0.1)
BLACK = MarkerSource("B", frozenset({"roast"}), 0.03)
PEATED = MarkerSource("S", frozenset({"smoked", "pale"}), 1.0, {"phenols": 54.0}, "peat")


def found(
    *parts: MarkerSource, house: HouseFigures = HOUSE, today: tuple[MarkerSource, ...] = ()
) -> dict[str, MarkerAmount]:
    return {one.marker: one for one in amounts(parts, house, (today, house) if today else None)}


def of(one: MarkerAmount) -> Band:
    assert one.spirit_ug_per_L is not None
    return one.spirit_ug_per_L


def test_a_mash_of_peated_malt_gives_what_the_trade_pair_says() -> None:
    """54 mg/kg and 24 mg/L at 410 L/t and 68 %vol, trade figures from memory: by a bill as by a lot."""
    assert of(found(PEATED)["phenols"]).middle == pytest.approx(24_000.0, rel=0.05)


def test_an_amount_of_a_bill_is_that_of_its_lot_alone_by_its_share() -> None:
    alone = follow_markers(("caramel",), HOUSE, share_of_grist=0.1)
    by_lot = {chain.marker: next(s.amount for s in chain.steps if s.step == "spirit") for chain in alone}
    for marker, one in found(CARAMEL).items():
        if one.spirit_ug_per_L is not None:
            assert of(one).middle == pytest.approx(1000.0 * by_lot[marker].middle, rel=1e-9)


def test_amounts_go_with_the_share_and_against_the_litres() -> None:
    """By hand: twice the malt is twice as much in the same litres; at 63.5 %vol a litre holds 63.5/68 of it."""
    single = of(found(MarkerSource("C", frozenset({"caramel"}), 0.05))["furfural"]).middle
    assert of(found(CARAMEL)["furfural"]).middle == pytest.approx(2.0 * single)
    weaker = of(found(CARAMEL, house=HouseFigures(410.0, 63.5))["furfural"]).middle
    assert weaker == pytest.approx(of(found(CARAMEL)["furfural"]).middle * 63.5 / 68.0)


def test_what_several_malts_bring_adds_up() -> None:
    both = of(found(PALE, CARAMEL)["methylbutanals"])
    apart = [of(found(part)["methylbutanals"]).middle for part in (PALE, CARAMEL)]
    assert max(apart) < both.middle < 1.5 * sum(apart)
    assert found(PALE, CARAMEL)["methylbutanals"].lots == ("P", "C")


def test_the_share_is_held_against_todays_bill_draw_by_draw() -> None:
    today = (MarkerSource("P", frozenset({"pale"}), 1.0),)
    one = found(PALE, CARAMEL, today=today)["methylbutanals"]
    assert one.against_today is not None
    # By hand from the table's middles: (0.9 x 1 + 0.1 x 20) / 1 = 2.9.
    assert one.against_today.middle == pytest.approx(2.9, rel=0.1)
    assert found(*today, today=today)["methylbutanals"].against_today == Band(1.0, 1.0, 1.0)
    assert found(PALE, CARAMEL, today=today)["furfural"].against_today is None


def test_felt_is_said_only_past_a_threshold_measured_in_spirit() -> None:
    for one in found(
        PALE, CARAMEL, BLACK, MarkerSource("S", frozenset({"smoked"}), 0.2, {"phenols": 40.0}, "peat")
    ).values():
        if one.verdict == "likely_felt":
            assert one.threshold is not None and one.threshold.in_spirit
            assert 20.0 <= one.threshold.ethanol_pct <= 40.0
            assert one.read_ug_per_L is not None and one.read_ug_per_L.low > one.threshold.ug_per_L
        else:
            assert one.words in ("unknown: your own trial decides", "does not pass")


def test_a_threshold_in_water_never_says_felt_however_much_there_is() -> None:
    """Of alkylpyrazines there is a hundred times the threshold in water; in spirit none was seen."""
    one = found(MarkerSource("B", frozenset({"roast"}), 0.5))["pyrazines"]
    assert one.threshold is not None and one.threshold.matrix == "water"
    assert of(one).low > 50.0 * one.threshold.ug_per_L
    assert one.verdict == "unknown" and "says nothing of spirit" in one.why


def test_the_spirit_is_brought_to_the_thresholds_strength_before_it_is_held_against_it() -> None:
    one = found(PEATED)["guaiacol"]
    assert one.threshold is not None and one.read_ug_per_L is not None
    # 40/68 of it, and three tenths of the guaiacols are guaiacol at the least.
    assert one.read_ug_per_L.middle == pytest.approx(of(one).middle * 40.0 / 68.0 * 0.3)
    assert one.verdict == "likely_felt"


def test_years_in_the_cask_can_take_a_verdict_back() -> None:
    short, long = (found(PALE, CARAMEL, house=HouseFigures(410.0, 63.5, cask_years=years)) for years in (0.0, 50.0))
    assert short["methylbutanals"].verdict == "likely_felt"
    assert long["methylbutanals"].verdict == "unknown"
    assert of(long["methylbutanals"]) == of(short["methylbutanals"])


def test_what_does_not_pass_stays_in_the_list_with_its_reason() -> None:
    held = found(CARAMEL)
    for marker in ("maltol", "furaneol", "hmf", "colour"):
        assert held[marker].verdict == "does_not_pass" and held[marker].why == held[marker].sentence
    assert of(held["maltol"]).high < 5000.0 and held["hmf"].spirit_ug_per_L is None
    assert set(held) == {row["marker"] for row in told() if "caramel" in row["processes"].split("|")}


def test_every_step_says_what_it_leaves() -> None:
    one = found(CARAMEL)["furfural"]
    assert [step.step for step in one.steps] == ["grist", "wort", "wash", "spirit", "cask"]
    left = [step.left_pct for step in one.steps]
    assert left[0] is None and all(band is not None and band.low <= 100.0 for band in left[1:])
    assert one.standing == "estimate"  # the weakest of its steps


def test_a_smoke_nobody_said_leaves_its_markers_without_an_amount() -> None:
    held = found(MarkerSource("S", frozenset({"smoked", "pale"}), 0.3, {"phenols": 9.0}))
    assert held["phenols"].spirit_ug_per_L is None
    assert "not said what the malt was smoked with" in held["phenols"].why_none
    assert "phenol" not in held and held["methylbutanals"].spirit_ug_per_L is not None


def test_without_litres_every_marker_says_so() -> None:
    for one in without_amounts([CARAMEL], "the litres are withheld."):
        assert one.spirit_ug_per_L is None and one.verdict in ("unknown", "does_not_pass")
    assert any("the litres are withheld" in one.why for one in without_amounts([CARAMEL], "the litres are withheld."))


@pytest.mark.parametrize(("heart", "end"), [(64.3, 45.0), (69.0, 62.0), (72.8, 72.0)])
def test_where_hearts_of_a_strength_end(heart: float, end: float) -> None:
    """The batch calculation without reflux that the slopes come from (derived)."""
    assert hearts_end(heart) == pytest.approx(end)
    assert hearts_end(80.0) is None and hearts_end(60.0) is None


def test_a_threshold_in_spirit_is_the_one_that_is_read() -> None:
    assert [one.ethanol_pct for one in thresholds("guaiacol")] == [40.0, 0.0]
    assert thresholds("vinylguaiacol") == ()


# ------------------------------------------------------------------ what the wash itself is known to hold

RYE = MarkerSource("R", frozenset({"rye"}), 0.5)
TOLD = {"vinylguaiacol": WashAmount(Band(4.0, 10.0, 20.0), "estimate", "as the wash gives it")}


def test_what_the_wash_holds_stands_for_the_shares_of_wort_and_yeast() -> None:
    """By hand: 10 mg to a litre of alcohol, 410 L/t, is 820 ug/L of 5000 L of wash; hearts take 0.15 of it."""
    one = {one.marker: one for one in amounts([RYE], HOUSE, made=TOLD)}["vinylguaiacol"]
    steps = {step.step: step for step in one.steps}
    wash = steps["wash"].amount
    assert (wash.low, wash.middle, wash.high) == pytest.approx((0.328, 0.82, 1.64), rel=0.02)
    assert (steps["wash"].standing, steps["wash"].source) == ("estimate", "as the wash gives it")
    assert of(one).middle == pytest.approx(10.0 * 0.15 * 1000.0 * 0.68, rel=0.1)
    assert steps["wort"] == {s.step: s for s in found(RYE)["vinylguaiacol"].steps}["wort"]


def test_twice_the_rye_is_not_twice_the_note_where_the_wash_says_how_much() -> None:
    single, double = (amounts([MarkerSource("R", RYE.processes, share)], HOUSE, made=TOLD) for share in (0.3, 0.6))
    assert of(single[0]) == of(double[0])


def test_a_note_is_held_against_todays_wash() -> None:
    less = {"vinylguaiacol": WashAmount(Band(2.0, 5.0, 10.0), "estimate", "as the wash gives it")}
    (one,) = amounts([RYE], HOUSE, ([RYE], HOUSE), made=TOLD, made_today=less)
    assert one.against_today is not None and one.against_today.middle == pytest.approx(2.0)


def test_a_laboratory_pair_goes_before_what_the_wash_says() -> None:
    pair = {"vinylguaiacol": MarkerLab(8.0, 1.5, 410.0, 68.0, share_of_grist=0.5)}
    alone, both = (amounts([RYE], HOUSE, None, pair, made=made)[0] for made in (None, TOLD))
    assert of(alone) == of(both)


def test_the_wash_speaks_of_no_marker_that_is_not_followed() -> None:
    with pytest.raises(Refused, match="ethyl acetate"):
        follow_markers(("caramel",), HOUSE, made={"ethyl acetate": TOLD["vinylguaiacol"]})


def test_every_marker_that_a_wash_speaks_of_is_followed_alone() -> None:
    """A part of a smoke's total is the smoke's."""
    spoken = {row["marker"] for row in csv_rows("tables/wash_besides.csv")} - {""}
    assert spoken <= {row["marker"] for row in told() if row["followed"] == "yes" and not row["part_of"]}
