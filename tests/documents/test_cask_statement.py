"""A cask statement is one page, the same every time, and every number in it rests on something."""

from __future__ import annotations

from casework.stock.stock_sample import filled, gauged, stock
from gristwright.casework.stock.one_cask import one_cask
from gristwright.casework.stock.regauge import regauge
from gristwright.charts.cask import cask_chart
from gristwright.charts.render import svg
from gristwright.documents.cask_statement import statement_pages, statement_view
from gristwright.documents.entries import unresolved
from gristwright.documents.render import view_json

STOCK = stock(
    filled(2, "2016-03-01", "A 1/b", degC=20.0),
    gauged(3, "2020-03-01", "A 1/b", 188.0, 62.0),
    gauged(4, "2024-03-01", "A 1/b", 180.0, 60.4),
)
FOUND = one_cask(STOCK, "A 1/b", 20, regauge(STOCK, 64))
VIEW = statement_view(FOUND, (("casks.csv", "ab" * 32),), invented=True)


def test_one_page_and_the_same_bytes() -> None:
    assert len(statement_pages(VIEW, FOUND, ppi=40)) == 1
    first, second = (statement_pages(VIEW, FOUND)[0] for _ in range(2))
    assert first == second
    assert first.startswith(b"%PDF")


def test_every_number_rests_on_something() -> None:
    assert unresolved(VIEW) == []
    assert view_json(VIEW).decode().startswith('{\n "format"')


def test_it_says_what_a_statement_says() -> None:
    words = view_json(VIEW).decode()
    for text in ("OLA", "of the original", "of the remaining", "40 %vol", "weighed", "Invented example"):
        assert text in words or text.replace(" ", "_") in words
    assert [row.title for row in VIEW.losses] == ["bulk litres", "pure alcohol"]
    assert len(VIEW.gauges) == 4
    assert VIEW.gauges[0][-1] == "filled, metered, 20 °C"
    assert VIEW.ages[0].years == 10


def test_the_chart_has_both_panels_and_a_description() -> None:
    chart = cask_chart(FOUND)
    assert len(chart["hconcat"]) == 2
    assert "A 1/b" in chart["description"]
    assert svg(chart).startswith("<svg")
