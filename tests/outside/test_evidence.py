"""The pages and pictures of the evidence are made from the rows and are current."""

import pytest

from outside.evidence import RUN, out_of_date
from outside.pages import front, needs_page, numbered_misses, room_page
from outside.picture import digest, drawn_from, png, reach, room_chart, stretched
from outside.rows import Outcome, Row, all_rows, needs

STEP = needs()["verdict"].within


def row(**changed: object) -> Row:
    """A row whose own number is 0 and whose need is half a step."""
    given = {"room": "r", "id": "A", "what": "one", "call": "builtins.float", "arguments": "{}", "expected": 0.0}
    given |= {"tolerance": 0.05, "source": "Author 1990", "where": "Table 1", "standing": "published"}
    given |= {"used_to_fit": "no", "outcome": "", "note": "", "quantity": "verdict"}
    return Row(**(given | changed))  # type: ignore[arg-type]


MIXED = [
    row(),
    row(id="N", expected=0.4),
    row(id="M", what="far", expected=3.0, note="a misprint"),
    row(id="L", what="further", expected=-9.0, note="unknown"),
    row(id="F", expected=7.0, used_to_fit="yes", note="fitted"),
    row(id="D", expected=8.0, standing="derived", note="by hand"),
]


def test_pages_and_pictures_are_current() -> None:
    assert out_of_date(all_rows()) == [], RUN


@pytest.mark.parametrize(
    ("expected", "outcome"),
    [(0.05, Outcome.ROUNDING), (0.06, Outcome.NEED), (STEP, Outcome.NEED), (STEP + 0.01, Outcome.MISS)],
)
def test_a_row_is_held_against_rounding_and_then_need(expected: float, outcome: Outcome) -> None:
    assert row(expected=expected).judged() is outcome
    assert row(expected=-expected).judged() is outcome


def test_what_is_no_number_misses() -> None:
    assert row(arguments='{"x": "nan"}', call="outside.test_evidence.number").judged() is Outcome.MISS


def number(x: str) -> float:
    return float(x)


def test_a_coarse_source_does_not_show_that_the_need_is_met() -> None:
    coarse = row(expected=2.0, tolerance=2.5)
    assert coarse.judged() is Outcome.ROUNDING
    assert coarse.too_coarse
    assert not row().too_coarse


def test_a_relative_need_goes_with_the_outside_number() -> None:
    loss = needs()["cask_loss"]
    assert loss.allowed(36.0) == pytest.approx(5.4)
    assert loss.said() == "15 % of itself"


def test_misses_come_first_and_only_unfitted_published_rows_count() -> None:
    text = front(MIXED, ["r"])
    assert text.startswith("# Evidence\n")
    assert "4 numbers" in text and "**2 miss the need**" in text
    assert text.index("further (L)") < text.index("far (M)") < text.index("## Counts")
    assert numbered_misses(MIXED) == {"L": 1, "M": 2}
    assert "| [r](evidence/r.md) | 1 | 1 | 2 | 0 | 1, 1 miss | - | 1, 1 miss |" in text
    assert "by hand" not in text and "(F)" not in text


def test_a_room_shows_what_misses_first_and_the_groups_apart() -> None:
    text = room_page("r", MIXED)
    order = [
        "### Misses the need: 2",
        "### Within need: 1",
        "### Within the source's rounding: 1",
        "## Published, used",
    ]
    places = [text.index(heading) for heading in [*order, "## Arithmetic"]]
    assert places == sorted(places)


def test_every_need_is_printed_with_its_reason() -> None:
    text = needs_page(MIXED)
    assert all(need.why in text for need in needs().values())


def test_the_groups_of_a_row() -> None:
    assert row(standing="common practice").group == "practice"
    assert row(standing="from memory").group == "practice"
    assert row(standing="estimate").group == "practice"
    assert row(used_to_fit="yes").group == "published, used"


def test_a_picture_shows_published_rows_and_numbers_the_misses() -> None:
    chart = room_chart(MIXED, "r", numbered_misses(MIXED), reach(MIXED))
    assert chart is not None
    marks = next(layer["data"]["values"] for layer in chart["layer"] if layer["mark"]["type"] == "point")
    assert {mark["id"]: mark["number"] for mark in marks} == {"A": "", "N": "", "M": "2", "L": "1", "F": ""}
    assert {mark["id"] for mark in marks if not mark["counts"]} == {"F"}
    assert room_chart(MIXED, "elsewhere", {}, 3.0) is None
    assert drawn_from(png(chart)) == digest(chart) != digest(chart | {"width": 1})


def test_marks_at_one_place_do_not_hide_each_other() -> None:
    chart = room_chart([row(id=f"A{n}") for n in range(12)], "r", {}, 3.0)
    assert chart is not None
    marks = next(layer["data"]["values"] for layer in chart["layer"] if layer["mark"]["type"] == "point")
    assert len({mark["y"] for mark in marks}) == 12
    assert max(mark["y"] for mark in marks) < chart["height"]


def test_the_axis_is_the_same_to_both_sides() -> None:
    assert stretched(-2.0) == -stretched(2.0)
    assert stretched(0.0) == 0.0
    assert drawn_from(b"") == ""
