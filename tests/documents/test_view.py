"""The JSON view is complete, and every number in it says what it rests on."""

import hashlib
import json
from dataclasses import replace

import pytest

from documents.sample import assumptions, conflict, literature_only, recommendation
from gristwright import casework
from gristwright.basics import Band
from gristwright.documents.assumptions import MOST_PRINTED
from gristwright.documents.bills import board_chance, ledger_row
from gristwright.documents.entries import percent, sentence, unresolved
from gristwright.documents.provenance import inputs_digest
from gristwright.documents.render import view_json
from gristwright.documents.view import FORMAT, recommendation_view
from gristwright.quantities.shown import capital
from gristwright.records.results import LedgerRow, Recommendation
from houses import LOTS, bill, enquiry, tun

CASES = {"five": recommendation(5), "two": recommendation(2), "none": conflict(), "literature": literature_only()}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_every_number_rests_on_an_assumption_or_says_what_it_is(case: Recommendation) -> None:
    assert unresolved(recommendation_view(case)) == []


def test_a_name_that_no_assumption_bears_is_found() -> None:
    case = replace(recommendation(2), assumptions=assumptions()[1:])
    assert any("grist.extract" in fault for fault in unresolved(recommendation_view(case)))


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_view_is_json_with_its_format_first(case: Recommendation) -> None:
    text = view_json(recommendation_view(case)).decode()
    assert text.startswith(f'{{\n "format": "{FORMAT}"')
    assert "http" not in text


def test_the_comparison_has_a_column_for_today_and_for_each_offer() -> None:
    table = recommendation_view(recommendation(3)).advice.comparison
    assert table.columns == ("Today", "A", "B", "C")
    assert {len(row.cells) for row in table.rows} == {4}


def test_changes_carry_their_sign_and_band() -> None:
    change = recommendation_view(recommendation(2)).advice.offers[0].changes["lpa_per_t"]
    assert change.text == "+3.1 (+1.5 to +4.7)"


def test_a_loss_of_the_ledger_carries_a_minus_on_value_and_band() -> None:
    row = ledger_row(LedgerRow("pot_ale", "Left in the pot ale", "loss", 3.9, Band(3.1, 3.9, 4.7), ("still.x",)))
    assert (row.reference_text, row.range) == ("\u22123.9", "\u22124.7 to \u22123.1")


def test_assumptions_stand_in_the_order_of_what_they_move() -> None:
    ranked = recommendation_view(recommendation(2)).advice.assumed.assumptions
    widths = [a.effect.high - a.effect.low if a.effect else 0.0 for a in ranked]
    assert widths == sorted(widths, reverse=True)
    assert len(ranked) == len(assumptions())


def test_assumptions_left_off_the_page_are_counted() -> None:
    more = tuple(replace(a, name=f"{a.name}.again") for a in assumptions())
    view = recommendation_view(replace(recommendation(2), assumptions=assumptions() + more))
    assert view.advice.assumed.assumptions_note.startswith(f"{2 * len(assumptions()) - MOST_PRINTED} more")


def test_law_answers_keep_reason_source_flag_and_dates() -> None:
    law = recommendation_view(recommendation(2)).advice.law
    reasons = {reason.rule: reason for reason in law.reasons}
    assert reasons["XB-2"].verdict == "fail"
    assert reasons["XB-2"].flag == "Shares are read on the dry mass."
    assert reasons["XC-5"].verdict == "unknown"
    assert reasons["XC-5"].bills == "all"
    assert "23 November 2009" in law.rows[0].under


def test_the_digest_changes_with_any_input() -> None:
    one = inputs_digest((("a.toml", "00"), ("b.toml", "11")))
    assert one != inputs_digest((("a.toml", "00"), ("b.toml", "12")))
    assert len(one) == 12


def test_the_fingerprint_is_that_of_inputs_and_figures_and_not_of_the_day() -> None:
    view = recommendation_view(recommendation(2))
    read = json.loads(view_json(view))
    said = read.pop("fingerprint")
    for name in ("issued", "valid_until", "issue"):
        del read[name]
    text = json.dumps(read, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    assert said == hashlib.sha256(text.encode()).hexdigest()[:12]
    assert recommendation_view(recommendation(3)).fingerprint != said


def test_the_day_of_the_law_is_told_beside_its_verdicts() -> None:
    view = recommendation_view(recommendation(2))
    assert view.advice.notes.law == "Judged by the rules in force on 24 November 2026, the date of the enquiry."


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.0492, "under 5 %"), (0.05, "5 %"), (0.0508, "over 5 %"), (0.4991, "under 50 %"), (0.5004, "over 50 %"),
     (0.044, "4 %"), (0.056, "6 %"), (0.0001, "under 1 %")],
)  # fmt: skip
def test_a_chance_near_a_line_says_on_which_side_it_lies(probability: float, text: str) -> None:
    assert board_chance(probability) == text


def test_a_board_that_is_surely_in_order_has_no_chance_beside_it() -> None:
    rows = recommendation_view(recommendation(2)).advice.boards.rows
    cells = [cell for row in rows for cell in row.cells if cell.text == "in order"]
    assert cells
    assert "0 %" not in [cell.under for cell in cells]


@pytest.mark.parametrize(
    ("probability", "text"), [(0.0, "0 %"), (0.001, "under 1 %"), (0.22, "22 %"), (0.999, "over 99 %"), (1.0, "100 %")]
)
def test_a_sampled_chance_is_never_called_certain(probability: float, text: str) -> None:
    assert percent(probability) == text


def test_words_become_a_sentence() -> None:
    assert sentence("most litres a tonne") == "Most litres a tonne."
    assert sentence("Done.") == "Done."
    assert capital("pH of the mash") == "pH of the mash"


def test_what_a_bill_gives_itself_stands_where_its_change_is_withheld() -> None:
    """Today's mash never runs off: no change can be told, the cost of an offer can."""
    asked = enquiry(bill(RM_1=85, CR_1=15), tun(), {"PD-1": (0, 100), "RM-1": (0, 100), "CR-1": (0, 15)})
    view = recommendation_view(casework.advise(asked, LOTS, members=256)).advice
    rows = {row.label: [cell.text for cell in row.cells] for row in view.comparison.rows}
    assert rows["New spirit"][0] == "withheld" and rows["New spirit"][1] != "withheld"
    assert set(rows["Change in new spirit"][1:]) == {"withheld"}
    assert rows["Malt and processing"][0] == "withheld" and rows["Malt and processing"][1] not in ("withheld", "–")
    assert view.present.ledger is None and view.charts.ledger is None
