"""The charts are plain dicts, true to the record, and draw without anything from outside."""

import json
from typing import Any

import pytest

from documents.sample import bill, recommendation
from gristwright.charts import fonts, render
from gristwright.charts.changes import change_keys, changes_chart
from gristwright.charts.ledger import ledger_chart, row_text, staircase
from gristwright.charts.theme import ticks

PRESENT = bill("Present bill", {"pale": 100.0}).ledger
OTHER = bill("Other", {"pale": 100.0}, lift=3.1).ledger
OFFERS = recommendation(5).told


def values_of(chart: dict[str, Any]) -> list[dict[str, Any]]:
    return list(chart["data"]["values"])


def all_charts() -> list[dict[str, Any]]:
    changes = changes_chart(OFFERS)
    assert changes is not None
    return [ledger_chart(PRESENT), ledger_chart(PRESENT, OTHER, ("Present bill", "Offer A")), changes]


@pytest.mark.parametrize("number", range(3))
def test_every_chart_is_json_names_no_address_and_draws(number: int) -> None:
    chart = all_charts()[number]
    text = json.dumps(chart, allow_nan=False)
    assert "http" not in text
    drawn = render.svg(chart)
    assert drawn.startswith("<svg")
    assert "href=" not in drawn.replace("xlink:href", "href=")
    assert fonts.FAMILY in drawn


def test_the_staircase_goes_down_from_level_to_level() -> None:
    for step, following in zip(staircase(PRESENT), staircase(PRESENT)[1:], strict=False):
        if following.row.kind == "loss":
            assert following.before == pytest.approx(step.after)
        else:
            assert following.after == pytest.approx(step.after, abs=0.05)


def test_every_row_is_labelled_with_its_litres() -> None:
    drawn = render.svg(ledger_chart(PRESENT))
    for row in PRESENT.rows:
        assert f">{row.label}<" in drawn
        assert f">{row_text(row)}<" in drawn


def test_a_scale_that_does_not_start_at_zero_says_so() -> None:
    assert "(scale starts at 300)" in render.svg(ledger_chart(PRESENT))


def test_two_bills_share_one_scale() -> None:
    panels = ledger_chart(PRESENT, OTHER)["hconcat"]
    scales = [panel["layer"][1]["encoding"]["x"]["scale"] for panel in panels]
    assert scales[0] == scales[1]


def test_a_dot_is_filled_only_where_zero_is_left_out() -> None:
    chart = changes_chart(OFFERS, ("cost_per_lpa",))
    assert chart is not None
    by_offer = {row["offer"]: row for row in values_of(chart["hconcat"][0])}
    assert by_offer["Offer A"]["clear"] is True
    assert by_offer["Offer B"]["clear"] is False
    assert by_offer["Offer B"]["low"] < 0.0 < by_offer["Offer B"]["high"]


def test_without_an_offer_there_is_no_chart_of_changes() -> None:
    assert changes_chart(()) is None


def test_the_wanted_changes_come_first_and_at_most_three() -> None:
    assert change_keys(OFFERS, ("annual_lpa",)) == ["annual_lpa"]
    assert change_keys(OFFERS) == ["lpa_per_t", "cost_per_lpa", "annual_lpa"]


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-0.031, 0.002), (315.0, 440.0), (-19500.0, 15600.0)])
def test_ticks_are_few_and_cover_the_span(low: float, high: float) -> None:
    marks = ticks(low, high)
    assert marks[0] <= low
    assert 3 <= len(marks) <= 8
    assert high - marks[-1] < marks[1] - marks[0]


def test_the_font_folder_holds_one_outline_format_only() -> None:
    assert {path.suffix for path in fonts.font_folder().iterdir()} == {".ttf"}
    assert len(list(fonts.font_folder().iterdir())) == len(fonts.FACES)
