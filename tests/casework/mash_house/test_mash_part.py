"""Which temperature the map of a dossier varies, and when it is worth a picture."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gristwright.basics import Band
from gristwright.casework.mash_house.mash_part import conversion_rest, moved, temperature_key, temperature_words
from gristwright.casework.mash_house.over import axis_of
from gristwright.documents.mash_part import still
from gristwright.records.mash_trials import Moved, Named, PlanCell, Variation
from gristwright.records.plant import MashPlan, Rest
from gristwright.records.results import Figure

PLAN = MashPlan(1000.0, 5000.0)


def rests(*pairs: tuple[float, float]) -> MashPlan:
    return replace(PLAN, rests=tuple(Rest(*pair) for pair in pairs))


@pytest.mark.parametrize(
    ("plan", "key"),
    [
        (PLAN, "mash.settled_mash_degC"),
        (replace(PLAN, liquor_degC=68.0), "mash.liquor_degC"),
        (replace(PLAN, cook_degC=95.0), "mash.settled_mash_degC"),
        (rests((45.0, 30.0), (63.0, 60.0), (72.0, 20.0), (78.0, 5.0)), "mash.rests.2.settled_degC"),
        (rests((52.0, 15.0), (64.0, 45.0), (72.0, 20.0)), "mash.rests.2.settled_degC"),
        (rests((50.0, 90.0), (66.0, 40.0)), "mash.rests.2.settled_degC"),  # a long protein rest
        (rests((62.0, 30.0), (72.0, 45.0)), "mash.rests.2.settled_degC"),
        (rests((62.0, 30.0), (68.0, 30.0)), "mash.rests.1.settled_degC"),
        (rests((45.0, 20.0), (55.0, 50.0), (75.0, 10.0)), "mash.rests.2.settled_degC"),  # none lies where starch turns
        (rests((65.0, 60.0)), "mash.rests.1.settled_degC"),
    ],
    ids=["stand", "liquor", "cook", "four", "three", "protein", "two", "same", "none", "one"],
)
def test_what_is_varied_is_what_converts(plan: MashPlan, key: str) -> None:
    assert temperature_key(plan) == key


def test_how_it_was_chosen_is_said() -> None:
    three = rests((52.0, 15.0), (64.0, 45.0), (72.0, 20.0))
    assert conversion_rest(three) == 2
    assert temperature_words(three) == (
        "Varied is rest 2, 45 minutes at 64 °C, the longest of those at 58 to 72 °C, where starch becomes sugar."
    )
    assert "the longest of all, for none converts" in temperature_words(rests((45.0, 20.0), (55.0, 50.0)))
    assert temperature_words(rests((65.0, 60.0))) == "Varied is rest 1, 60 minutes at 65 °C."
    assert temperature_words(PLAN) == ""


def figure(key: str, middle: float, half: float) -> Figure:
    return Figure(key, key, "unit", Band(middle - half, middle, middle + half), 1, ())


def grid(step: float, half: float, margin: float = 0.0, withheld: str = "") -> Variation:
    """Litres that fall by `step` a kelvin, a change of which is known to within `half`."""
    axes = (axis_of("mash.settled_degC=62,64,66"), axis_of("mash.liquor_L_per_kg=3,4"))
    cells = []
    for at in axes[0].values:
        for litres in axes[1].values:
            by = step * (at - 64.0)
            named = {} if withheld and at == 66.0 else {"lpa_per_t": figure("lpa_per_t", 390.0 - by, 9.0)}
            changes = {} if not named else {"lpa_per_t": figure("lpa_per_t", -by, half)}
            cells.append(PlanCell((at, litres), named, changes, margin * (at == 66.0), "", withheld=withheld))
    today = PlanCell((), {"lpa_per_t": figure("lpa_per_t", 390.0, 9.0)}, {}, 0.0, "")
    asked = {"lpa_per_t": Named("new spirit", "L pure alcohol/t", 1)}
    return Variation("today", "Invented", axes, (64.0, 4.0), today, tuple(cells), (), (), 128, 1, asked)


@pytest.mark.parametrize(
    ("made", "worth"),
    [
        (grid(2.0, 0.5), [True, False]),
        (grid(0.1, 0.01), [False, False]),  # told apart, but nobody sees it
        (grid(0.5, 4.0), [False, False]),  # more than a litre, but not told apart
        (grid(0.0, 0.0, margin=0.4), [False, True]),
        (grid(0.0, 0.0, withheld="the mash may not convert"), [True, False]),
    ],
    ids=["moves", "small", "noise", "board", "withheld"],
)
def test_a_picture_is_drawn_where_something_moves(made: Variation, worth: list[bool]) -> None:
    assert [one.worth_showing for one in moved(made)] == worth


def test_what_stands_still_is_said_in_a_sentence() -> None:
    made = grid(0.1, 0.01)
    assert still(made, moved(made)) == (
        "Within 62.0 to 66.0 degC (settled mash) and 3.0 to 4.0 L/kg (liquor at mashing in) nothing moves enough to be "
        "drawn: new spirit moves by no more than 0.4 L pure alcohol/t and no board "
        "moves.",
    )
    (line,) = still(made, (Moved("lpa_per_t", 3.0, True), Moved("margin", 0.02, False)))
    assert "nothing" not in line and line.endswith("by no more than 2 % of the runs.")
    assert still(made, (Moved("lpa_per_t", 3.0, True),)) == ()
