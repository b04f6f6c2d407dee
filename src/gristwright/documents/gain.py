"""The give-and-gain plane, money at release and what may be said of age, as views. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Sequence

from gristwright.basics import Band
from gristwright.casework.claim import needed_range
from gristwright.charts.give_and_gain import LETTERS, plane_chart
from gristwright.documents.claim_statement import conditions, malt_view
from gristwright.documents.entries import LITRES, View, entry, single
from gristwright.quantities.shown import capital, plain, with_interval
from gristwright.records.ageing import ArmAnswer, ClaimAnswer
from gristwright.records.give_gain import GiveGain, GiveGainPoint, ReleaseCost
from gristwright.records.results import Offer

PLANE = (
    "Across, what an offer gives up on the same draws as today; upwards, how much older than its age its spirit was "
    "read, with its interval. A hollow dot below the dashed line has no evidence: none shown."
)
PRICED = "the customer's own prices and the costs of this dossier"
RAN = "runs of this calculation at the customer's own prices"
READ = "casks read on a ladder of known ages"
INSIDE = "For inside use; none of it may be printed on a label: an age on a label is true time in wood."


def gain_view(gain: GiveGain | None, offers: Sequence[Offer]) -> View | None:
    """The plane, what stands behind each of its points, and the money; None without an offer."""
    if gain is None or not gain.points:
        return None
    chart = plane_chart(gain)
    return {
        "chart": chart,
        "points": [
            {
                "letter": letter,
                "name": point.name,
                "litres": entry(
                    "given_up", "litres given up", LITRES, point.given_up_lpa_per_t, 1,
                    offer.changes["lpa_per_t"].rests_on,
                ),
                "years": None if point.gained_years is None else _years(point.gained_years),
                "words": point.evidence,
            }
            for letter, point, offer in zip(LETTERS, gain.points, offers, strict=False)
        ],
        "said": _said(gain),
        "money": money_view(gain) if gain.costs else None,
        "plane": PLANE,
        "notes": list(gain.notes),
    }  # fmt: skip


def _years(band: Band) -> View:
    return entry("gained_years", "years read beyond its age", "years", band, 1, basis=READ, difference=True)


def _said(gain: GiveGain) -> list[View]:
    """What is shown of each offer, and what must be true for it to pay; offers of which the same is said together."""
    together: dict[str, list[str]] = {}
    for number, (letter, point) in enumerate(zip(LETTERS, gain.points, strict=False), start=1):
        shown = capital(point.evidence if point.evidence.endswith(".") else f"{point.evidence}.")
        if gain.costs:
            text = f"{_must(gain.costs[number], point, gain.years)} {shown}"
        else:
            text = shown if point.gained_years is None else f"{with_interval(point.gained_years, 1)} years. {shown}"
        together.setdefault(text, []).append(letter)
    return [{"offers": letters, "text": text} for text, letters in together.items()]


def _must(cost: ReleaseCost, point: GiveGainPoint, years: float) -> str:
    """What must be true for an offer to pay; where nothing was shown the years stand in the table alone."""
    own = capital(cost.must_be_true.removeprefix(cost.name).strip())
    paying = cost.needed_years is not None and cost.needed_years.high > 0.0 and cost.needed_years.middle < float("inf")
    if point.gained_years is not None or not paying:
        return own
    return (
        f"Pays by age only if at {years:g} years it truly stands in for plain spirit older by the years that the last "
        "row of the table says would be needed."
    )


def money_view(gain: GiveGain) -> View:
    """A bottled litre of each bill: its parts at the middle, what it costs with band, and the years needed."""
    unit = f"{gain.currency}/L as bottled"
    columns = ["Today", *LETTERS[: len(gain.costs) - 1]]
    bills = [_bill(letter, cost, unit) for letter, cost in zip(columns, gain.costs, strict=True)]
    names = [name for name, _ in gain.costs[0].parts if any(dict(cost.parts)[name] for cost in gain.costs)]
    rows = [
        _row(
            name,
            "",
            [{"text": part["at"], "under": ""} for bill in bills for part in bill["parts"] if part["key"] == name],
        )
        for name in names
    ]
    whole = [{"text": bill["bottled"]["at"], "under": bill["bottled"]["range"]} for bill in bills]
    more = [_cell(bill["more"]) for bill in bills]
    needed = [_needed(cost) for cost in gain.costs]
    rows.append(_row("as bottled", unit, whole))
    rows.append(_row("more than today", unit, more))
    rows.append(_row("years that would be needed", "years", needed))
    years = single("release_years", "years in wood at release", "years", gain.years, 1 if gain.years % 1 else 0, PRICED)
    return {
        "unit": unit,
        "caption": f"A bottled litre at release after {years['at']} years, {unit}",
        "years": years,
        "evaporation": None
        if gain.evaporation is None
        else entry("evaporation", "alcohol evaporated", "% a year", gain.evaporation, 1, basis="see the notes"),
        "columns": columns,
        "bills": bills,
        "rows": rows,
    }


def _bill(letter: str, cost: ReleaseCost, unit: str) -> View:
    more, needed = cost.more_per_bottled_L, cost.needed_years
    return {
        "letter": letter,
        "parts": [single(name, name, unit, value, 2, PRICED) for name, value in cost.parts],
        "new": entry("new_spirit", "new spirit in its cask", "money/L pure alcohol", cost.cost_per_lpa, 2, basis=RAN),
        "bottled": entry("bottled", "as bottled", unit, cost.per_bottled_L, 2, basis=RAN),
        "more": None if more is None else entry("more", "more than today", unit, more, 2, basis=RAN, difference=True),
        "needed": None if needed is None else entry("needed_years", "years needed", "years", needed, 1, basis=RAN),
        "must_be_true": cost.must_be_true,
    }


def _row(label: str, unit: str, cells: list[View]) -> View:
    return {"label": capital(label), "unit": unit, "cells": cells}


def _cell(number: View | None) -> View:
    return {"text": "", "under": ""} if number is None else {"text": number["at"], "under": number["range"]}


def _needed(cost: ReleaseCost) -> View:
    band = cost.needed_years
    if band is None:
        return {"text": "", "under": ""}
    middle = plain(band.middle, 1) if band.middle < float("inf") else "never"
    return {"text": middle, "under": needed_range(band) if middle != "never" else ""}


def ages_view(ages: ClaimAnswer | None) -> View | None:
    """What may be said of the arms that go with the enquiry, with the conditions; None where none do."""
    if ages is None:
        return None
    return {
        "arms": [arm_said(one) for one in ages.answers],
        "confidence": f"{100.0 * ages.confidence:g} %",
        "label": [{"text": fact.text, "standing": fact.standing, "source": fact.source} for fact in ages.label],
        "warnings": list(ages.warnings),
        "inside": INSIDE,
    }


def arm_said(one: ArmAnswer) -> View:
    """One arm: the statement, how the claim stands, and under which conditions."""
    gained = one.gained_years
    return {
        "arm": one.arm,
        "title": f"Arm {one.arm} at {one.years:g} years",
        "statement": one.statement,
        "sentence": one.sentence,
        "verdict": one.verdict.value,
        "verdict_words": one.verdict_words,
        "conditions": conditions(one),
        "gained": None if gained is None else _years(gained),
        "malt": [malt_view(line) for line in one.malt],
        "settle": one.settle,
    }
