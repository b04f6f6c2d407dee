"""A series of doses: what each gives up on the same draws, cheapest first, the useful line before the impossible."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from gristwright import casework
from gristwright.basics import Refused
from gristwright.casework.bench import all_problems
from gristwright.casework.bench.dosing import dose_bills, dose_problems
from gristwright.documents.entries import unresolved
from gristwright.documents.view import recommendation_view
from gristwright.files.certificates import read_lots
from gristwright.files.jobs_in import read_enquiry
from gristwright.records.dose import DoseAsked, DosePlan
from gristwright.records.enquiry import Enquiry, Group, Offered
from gristwright.records.lot import Lot
from gristwright.records.results import Recommendation
from house.places import EXAMPLES
from scenario import answered, enquiry, lots

MEMBERS = 256


@cache
def found(name: str = "dose.toml") -> Recommendation:
    return casework.advise(enquiry(name), lots(), members=MEMBERS)


def plan() -> DosePlan:
    dose = found().dose
    assert dose is not None
    return dose


def asking(of: str = "CM-120", **said: object) -> Enquiry:
    given = {"from_parts": 500, "to_parts": 1500, "steps": 2, "years": 3.0, "reads_low": 6.0, "reads_high": 8.0} | said
    return replace(enquiry(), dose=DoseAsked(of=of, **given))  # type: ignore[arg-type]


def test_every_dose_is_held_against_todays_bill_on_the_same_draws() -> None:
    given_up = [step.changes["lpa_per_t"].band.middle for step in plan().steps]
    paid = [step.changes["cost_per_lpa"].band.middle for step in plan().steps]
    assert [step.pct for step in plan().steps] == [4.0, 8.0, 12.0, 16.0, 20.0]
    assert given_up == sorted(given_up, reverse=True) and given_up[0] < 0.0
    assert paid == sorted(paid) and paid[0] > 0.0
    today = found().present.figures["lpa_per_t"].band
    for step in plan().steps:
        own, change = (step.result.figures["lpa_per_t"].band, step.changes["lpa_per_t"].band)
        assert change.middle == pytest.approx(own.middle - today.middle, abs=1.5)
        assert change.width < own.width + today.width  # paired


def test_a_dose_is_what_an_offer_of_the_same_bill_is() -> None:
    made = casework.advise(replace(enquiry(), dose=asking(from_parts=500, to_parts=1500).dose), lots(), members=512)
    assert made.dose is not None
    offers = {frozenset((s.lot_id, s.parts) for s in o.result.bill.shares): o for o in answered().offers}
    for step in made.dose.steps:
        same = offers.get(frozenset((s.lot_id, s.parts) for s in step.result.bill.shares))
        if same is not None:
            assert step.changes["lpa_per_t"] == same.changes["lpa_per_t"]
    assert made.offers == answered().offers  # asking a series moves nothing else


def test_the_cheapest_comes_first_and_its_cost_adds_up() -> None:
    """By hand: 12 casks at 115, 24 samples at 180, 4 sittings at 400; 3 + 4 + 4 sittings before; and the spirit."""
    trial = 12 * 115.0 + 24 * 180.0 + 4 * 400.0 + (3 + 4 + 4) * 400.0
    assert [step.order for step in plan().steps] == [1, 2, 3, 4, 5]
    for step in plan().steps:
        # Six casks of 200 L at 63.5 %vol hold 762 L of pure alcohol.
        assert step.spirit_cost == pytest.approx(762.0 * step.changes["cost_per_lpa"].band.middle)
        assert step.cost == pytest.approx(trial + step.spirit_cost)
    together = plan().together_cost
    assert together is not None and together < sum(step.cost or 0.0 for step in plan().steps)


def test_the_line_that_is_of_use_stands_before_what_cannot_be_shown() -> None:
    first, *_, last = plan().answer
    assert first.startswith("6 casks of a dose beside 6 of today")
    assert "in 89 % of trials" in first or "in 9" in first
    assert "is another matter" in last and "6 to 8" in last
    assert plan().reads is None and plan().older is not None


def test_nothing_is_promised_and_what_must_be_said_is_said() -> None:
    said = " ".join(fact.text for fact in plan().facts)
    for words in ("nobody can say beforehand", "without any maturation", "never goes on a label"):
        assert words in said
    assert all(fact.standing and fact.source for fact in plan().facts)
    assert not any("reads like 7 years at" in line for line in plan().answer)


def test_years_to_pay_rise_with_the_dose_and_are_none_without_prices() -> None:
    needed = [step.needed_years for step in plan().steps]
    middles = [band.middle for band in needed if band is not None]
    assert len(middles) == 5 and middles == sorted(middles)
    bare = casework.advise(replace(asking(steps=1), release=None), lots(), members=MEMBERS).dose
    assert bare is not None and all(step.needed_years is None and step.cost is None for step in bare.steps)


def test_a_group_is_dosed_in_equal_parts_and_bills_add_up() -> None:
    asked = asking("caramel malt")
    assert asked.dose is not None
    for pct, bill in dose_bills(asked, asked.dose):
        assert sum(share.parts for share in bill.shares) == 10_000
        assert bill.parts_of("CM-120") == bill.parts_of("CM-300") == round(50 * pct)


def test_a_dose_that_no_board_lets_pass_stands_last_with_its_reason() -> None:
    """Much black malt leaves too little enzyme and sugar: it is shown and not to be mashed, more as less."""
    black = Lot("BK", "black_malt")
    offered = (*enquiry().offered, Offered("BK", 900.0))
    dose = asking("BK", from_parts=200, to_parts=8000, steps=3).dose
    asked = replace(enquiry(), offered=offered, groups=(), categories=(), dose=dose)
    made = casework.advise(asked, [*lots(), black], members=MEMBERS).dose
    assert made is not None
    assert [step.order for step in made.steps] == [1, 0, 0]
    assert made.steps[1].stopped_by and made.steps[2].withheld is not None
    assert any(line.startswith("Not to be mashed: 41 %") for line in made.answer)
    assert made.left_out == ()


def test_a_column_house_plans_a_series_too_and_says_that_it_has_no_amounts() -> None:
    folder = EXAMPLES / "maize-rye-column"
    asked = read_enquiry(folder / "enquiry.toml").accepted()
    given = read_lots(folder / "certificates.xlsx").accepted()
    rye = next(one.lot_id for one in asked.offered if one.lot_id.startswith("RY") or "R" in one.lot_id)
    now = asked.present.parts_of(rye)
    dose = DoseAsked(of=rye, from_parts=now + 500, to_parts=now + 500, years=2.0, reads_low=4.0, reads_high=4.0,
                     ladder_years=(2.0, 4.0, 6.0), least_casks=8)  # fmt: skip
    roomy = tuple(replace(one, most_parts=10_000) for one in asked.offered)
    made = casework.advise(
        replace(asked, dose=dose, offered=roomy, groups=(), categories=()), given, members=MEMBERS
    ).dose
    assert made is not None and len(made.steps) == 1
    assert made.older is None or made.older.casks_per_arm >= 8
    assert all(one.spirit_ug_per_L is None for one in made.steps[0].result.markers)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"of": "XX-1"}, "'XX-1' is no lot on offer and no group"),
        ({"from_parts": 1600}, "from_pct: is above to_pct"),
        ({"from_parts": 0}, "no dose is today's bill"),
        ({"to_parts": 1600}, "16 % is more than the 15 % that may be taken of CM-120"),
        ({"reads_low": 2.0}, "reads no older"),
        ({"reads_high": 20.0}, "lie outside 3 to 12"),
        ({"ladder_years": (3.0, 12.0)}, "2 ages are no ladder"),
        ({"instead_of": "CM-300"}, "'CM-300' is no lot of today's bill"),
        ({"of": "PD-1", "to_parts": 9000}, "nothing else that the dose could take the place of"),
    ],
)
def test_faults_are_named_all_at_once_with_their_place(said: dict[str, object], words: str) -> None:
    sentences = [problem.sentence() for problem in dose_problems(asking(**said))]  # type: ignore[arg-type]
    assert any(words in sentence for sentence in sentences), sentences
    assert all("dose" in sentence for sentence in sentences)
    assert any(words in problem.sentence() for problem in all_problems(asking(**said), lots()))  # type: ignore[arg-type]


def test_a_faulty_series_is_refused_before_anything_is_computed() -> None:
    with pytest.raises(Refused, match="is no lot on offer"):
        casework.advise(asking("XX-1"), lots(), members=MEMBERS)


def test_a_dose_cannot_take_more_than_gives_way() -> None:
    asked = asking(to_parts=1500, instead_of="PD-1")
    assert dose_problems(asked) == []
    group = Group("both", ("CM-120", "CM-300"), 0, 10_000)
    wide = replace(
        asked, groups=(group,), offered=tuple(replace(one, most_parts=10_000) for one in asked.offered),
        dose=replace(asked.dose, to_parts=10_000),
    )  # type: ignore[type-var]  # fmt: skip
    assert dose_problems(wide) == []


def test_the_view_rests_on_what_it_says() -> None:
    view = recommendation_view(found())
    assert unresolved(view) == []
    assert view.advice.dose is not None and view.advice.dose.answer == plan().answer
    assert [row.label for row in view.advice.dose.table] == ["1. 4 %", "2. 8 %", "3. 12 %", "4. 16 %", "5. 20 %"]
