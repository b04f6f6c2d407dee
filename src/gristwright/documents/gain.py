"""The give-and-gain plane, money at release and what may be said of age, as views. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gristwright.basics import Band
from gristwright.casework.claim import NEW_MAKE, needed_range
from gristwright.charts.give_and_gain import LETTERS, plane_chart
from gristwright.charts.theme import Chart
from gristwright.documents.cells import CellView, RowView, number_cell
from gristwright.documents.claim_statement import MaltView, conditions, malt_view
from gristwright.documents.entries import LITRES, Entry, entry, single
from gristwright.quantities.shown import capital, plain, with_interval
from gristwright.records.ageing import ArmAnswer, ClaimAnswer
from gristwright.records.give_gain import GiveGain, GiveGainPoint, ReleaseCost
from gristwright.records.results import Fact, Offer

PLANE = (
    "Across, what an offer gives up on the same draws as today; upwards, how much older than its age its spirit was "
    "read, with its interval. A hollow dot below the dashed line has no evidence: none shown."
)
PRICED = "the customer's own prices and the costs of this dossier"
BOOKS = "stated by the house, from its own books"
RAN = "runs of this calculation at the customer's own prices"
READ = "casks read on a ladder of known ages"
INSIDE = "For inside use; none of it may be printed on a label: an age on a label is true time in wood."


@dataclass(frozen=True)
class PointView:
    """What stands behind a point of the plane: litres given up, years read, and the words."""

    letter: str
    name: str
    litres: Entry
    years: Entry | None
    words: str


@dataclass(frozen=True)
class OffersSaid:
    """What is shown of some offers, and what must be true for them to pay."""

    offers: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class ReleaseBillView:
    """A bottled litre of one bill: its parts at the middle, what it costs, and the years needed."""

    letter: str
    parts: tuple[Entry, ...]
    new: Entry
    bottled: Entry
    more: Entry | None
    needed: Entry | None
    must_be_true: str


@dataclass(frozen=True)
class MoneyView:
    """A bottled litre of each bill at release."""

    unit: str
    caption: str
    years: Entry
    evaporation: Entry | None
    columns: tuple[str, ...]
    bills: tuple[ReleaseBillView, ...]
    rows: tuple[RowView, ...]


@dataclass(frozen=True)
class GainView:
    """The plane, what stands behind each of its points, and the money."""

    chart: Chart | None
    points: tuple[PointView, ...]
    said: tuple[OffersSaid, ...]
    money: MoneyView | None
    plane: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class ArmSaidView:
    """One arm: the statement, how the claim stands, and under which conditions."""

    arm: str
    title: str
    statement: str
    sentence: str
    verdict: str
    verdict_words: str
    conditions: str
    gained: Entry | None
    malt: tuple[MaltView, ...]
    settle: str


@dataclass(frozen=True)
class AgesView:
    """What may be said of the arms that go with the enquiry."""

    arms: tuple[ArmSaidView, ...]
    confidence: str
    label: tuple[Fact, ...]
    warnings: tuple[str, ...]
    inside: str


def gain_view(gain: GiveGain | None, offers: Sequence[Offer]) -> GainView | None:
    """Give and gain as a view; None without an offer."""
    if gain is None or not gain.points:
        return None
    lettered = zip(LETTERS, gain.points, offers, strict=False)
    return GainView(
        chart=plane_chart(gain),
        points=tuple(_point(*one) for one in lettered),
        said=_said(gain),
        money=money_view(gain) if gain.costs else None,
        plane=PLANE,
        notes=gain.notes,
    )


def _point(letter: str, point: GiveGainPoint, offer: Offer) -> PointView:
    rests = offer.changes["lpa_per_t"].rests_on
    litres = entry("given_up", "litres given up", LITRES, point.given_up_lpa_per_t, 1, rests)
    years = None if point.gained_years is None else _years(point.gained_years)
    return PointView(letter, point.name, litres, years, point.evidence)


def _years(band: Band) -> Entry:
    return entry("gained_years", "years read beyond its age", "years", band, 1, basis=READ, difference=True)


def _said(gain: GiveGain) -> tuple[OffersSaid, ...]:
    """What is said of each offer; offers of which the same is said together."""
    together: dict[str, list[str]] = {}
    for number, (letter, point) in enumerate(zip(LETTERS, gain.points, strict=False), start=1):
        shown = capital(point.evidence if point.evidence.endswith(".") else f"{point.evidence}.")
        if gain.costs:
            text = f"{_must(gain.costs[number], point, gain.years)} {shown}"
        else:
            text = shown if point.gained_years is None else f"{with_interval(point.gained_years, 1)} years. {shown}"
        together.setdefault(text, []).append(letter)
    return tuple(OffersSaid(tuple(letters), text) for text, letters in together.items())


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


def money_view(gain: GiveGain) -> MoneyView:
    """Money at release as a view."""
    unit = f"{gain.currency}/L as bottled"
    columns = ("Today", *LETTERS[: len(gain.costs) - 1])
    bills = tuple(_bill(letter, cost, unit) for letter, cost in zip(columns, gain.costs, strict=True))
    years = single("release_years", "years in wood at release", "years", gain.years, 1 if gain.years % 1 else 0, PRICED)
    return MoneyView(
        unit=unit,
        caption=f"A bottled litre at release after {years.at} years, {unit}",
        years=years,
        evaporation=None
        if gain.evaporation is None
        else entry("evaporation", "alcohol evaporated", "% a year", gain.evaporation, 1, basis="see the notes"),
        columns=columns,
        bills=bills,
        rows=tuple(_money_rows(gain.costs, bills, unit)),
    )


def _money_rows(costs: Sequence[ReleaseCost], bills: Sequence[ReleaseBillView], unit: str) -> list[RowView]:
    """The parts of which there are any, the whole, what it is more than today, and the years that would be needed."""
    names = [name for name, _ in costs[0].parts if any(dict(cost.parts)[name] for cost in costs)]
    rows = [
        _row(name, "", (CellView(part.at) for bill in bills for part in bill.parts if part.key == name))
        for name in names
    ]
    return [
        *rows,
        _row("as bottled", unit, (number_cell(bill.bottled) for bill in bills)),
        _row("more than today", unit, (number_cell(bill.more, "") for bill in bills)),
        _row("years that would be needed", "years", (_needed(cost) for cost in costs)),
    ]


def _bill(letter: str, cost: ReleaseCost, unit: str) -> ReleaseBillView:
    more, needed = cost.more_per_bottled_L, cost.needed_years
    return ReleaseBillView(
        letter=letter,
        parts=tuple(
            single(name, name, unit, value, 2, BOOKS if name == NEW_MAKE else PRICED) for name, value in cost.parts
        ),
        new=entry("new_spirit", "new spirit in its cask", "money/L pure alcohol", cost.cost_per_lpa, 2, basis=RAN),
        bottled=entry("bottled", "as bottled", unit, cost.per_bottled_L, 2, basis=RAN),
        more=None if more is None else entry("more", "more than today", unit, more, 2, basis=RAN, difference=True),
        needed=None if needed is None else entry("needed_years", "years needed", "years", needed, 1, basis=RAN),
        must_be_true=cost.must_be_true,
    )


def _row(label: str, unit: str, cells: Iterable[CellView]) -> RowView:
    return RowView(capital(label), unit, tuple(cells))


def _needed(cost: ReleaseCost) -> CellView:
    band = cost.needed_years
    if band is None:
        return CellView("")
    middle = plain(band.middle, 1) if band.middle < float("inf") else "never"
    return CellView(middle, needed_range(band) if middle != "never" else "")


def ages_view(ages: ClaimAnswer | None) -> AgesView | None:
    """What may be said of the arms as a view, with the conditions; None where none go with the enquiry."""
    if ages is None:
        return None
    arms = tuple(arm_said(one) for one in ages.answers)
    return AgesView(arms, f"{100.0 * ages.confidence:g} %", ages.label, ages.warnings, INSIDE)


def arm_said(one: ArmAnswer) -> ArmSaidView:
    """What is said of one arm as a view."""
    return ArmSaidView(
        arm=one.arm,
        title=f"Arm {one.arm} at {one.years:g} years",
        statement=one.statement,
        sentence=one.sentence,
        verdict=one.verdict.value,
        verdict_words=one.verdict_words,
        conditions=conditions(one),
        gained=None if one.gained_years is None else _years(one.gained_years),
        malt=tuple(malt_view(line) for line in one.malt),
        settle=one.settle,
    )
