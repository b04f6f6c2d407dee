"""A recommendation as a view: the single source of the printed page and of the file beside it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from gristwright.basics import Band
from gristwright.casework.recommend import customer_pages
from gristwright.charts.changes import changes_chart, lettered
from gristwright.charts.ledger import ledger_chart
from gristwright.charts.theme import Chart
from gristwright.documents.assumptions import AssumedView, assumptions_view
from gristwright.documents.bills import BillView, BoardView, OfferView, bill_view, board_view, offer_view
from gristwright.documents.customer import CustomerView, customer_view
from gristwright.documents.data import SPREAD, View, as_data
from gristwright.documents.dose import DoseView, dose_view
from gristwright.documents.entries import (
    COUNTED,
    LITRES,
    RECORD,
    STATED,
    TRIAL,
    DateView,
    Entry,
    IssueView,
    date_entry,
    entry,
    readable,
    single,
)
from gristwright.documents.lots import LotsView, lots_of, lots_view
from gristwright.documents.markers import MarkersTable, markers_table
from gristwright.documents.provenance import ProvenanceView, provenance_view
from gristwright.documents.tables import BoardTable, ComparisonView, LawTable, board_table, comparison, law_table
from gristwright.quantities.shown import capital, fewest_decimals, lower
from gristwright.records import results as r

FORMAT, FORMAT_OF_BEER = "gristwright.recommendation/1", "gristwright.beer_recommendation/1"
RULE = "what is let pass is our choice (docs/casework.md)"
CHARTED = ("lpa_per_t", "cost_per_lpa", "annual_lpa")
CHARTED_OF_BEER = ("cost_per_hL", "original_gravity_degP", "apparent_attenuation_pct")


@dataclass(frozen=True)
class NotesView:
    """What is said beside the parts of a recommendation."""

    invented: str
    planning_aid: str
    bands: str
    ledger: str
    changes: str
    boards: str
    age: str
    law: str
    runs: str


NOTES = NotesView(
    invented="Invented example: no house, lot, price or result in it is real.",
    planning_aid="Planning aid: not a hazard study, a permit or legal advice.",
    bands="A figure is given as its middle with low to high beside it: nine times of ten it lies between.",
    ledger="The reference run holds every input at its middle and adds up exactly. The bands come from all runs; "
    "their middles need not add up.",
    changes="A filled dot is a difference whose band leaves zero out; a hollow dot may be no difference at all.",
    boards="Beside each word: in how many of the runs it is not in order, where that is not none. A line for several "
    "bills has the figures of the first.",
    age="Nothing here is an age. An age on a label is true time in wood.",
    law="",
    runs="Low, middle and high are 5, 50 and 95 % of the runs. In each run every input that is not known for sure is "
    "drawn anew; every bill was run on the same draws, so a change is a difference between bills, not between draws.",
)


@dataclass(frozen=True)
class AnchorView:
    """How the house's own record was used."""

    used: bool
    sentence: str
    figures: tuple[Entry, ...]


@dataclass(frozen=True)
class StoppedView:
    """A board that stops bills which meet every demand."""

    bills: Entry
    least: str
    board: BoardView
    most_let_pass: Entry


@dataclass(frozen=True)
class SearchView:
    """How many bills were looked at, what ruled them out, and what would open the way."""

    step: Entry
    counts: tuple[Entry, ...]
    failed_by_demand: tuple[Entry, ...]
    how: str
    judged: int
    stopped: tuple[StoppedView, ...]
    left_out: tuple[str, ...]
    cheaper: str
    conflict: tuple[r.Relaxation, ...]


@dataclass(frozen=True)
class MeasureView:
    """What to measure next, how, and what it brings."""

    assumption: str
    meaning: str
    narrows: str
    by: Entry
    how: str


@dataclass(frozen=True)
class TrialView:
    """The first trial to run."""

    offer: str
    figures: tuple[Entry, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True)
class ChartsView:
    """The pictures; None where there is nothing to draw."""

    ledger: Chart | None
    changes: Chart | None


@dataclass(frozen=True)
class AdviceView:
    """Who asks what, how long the answer holds, the answer, and all that stands behind it."""

    format: str
    language: str
    title: str
    customer: str
    plant: str
    adviser: str
    question: str
    currency: str
    invented: bool
    issued: DateView
    valid_until: DateView
    issue: IssueView | None
    customer_pages: CustomerView
    answer: tuple[str, ...]
    present: BillView
    anchor: AnchorView
    asked: tuple[OfferView, ...]
    offers: tuple[OfferView, ...]
    offers_title: str
    shown: tuple[OfferView, ...]
    lots_table: LotsView
    comparison: ComparisonView
    boards: BoardTable
    law: LawTable
    search: SearchView
    markers: MarkersTable
    dose: DoseView | None
    will_not: tuple[r.Fact, ...]
    assumed: AssumedView = field(metadata=SPREAD)
    measure_next: tuple[MeasureView, ...]
    trial: TrialView | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    provenance: ProvenanceView
    charts: ChartsView
    notes: NotesView


@dataclass(frozen=True)
class RecommendationView:
    """A recommendation, and what it is known by."""

    advice: AdviceView = field(metadata=SPREAD)
    fingerprint: str


def recommendation_view(rec: r.Recommendation) -> RecommendationView:
    """Every text and number of a recommendation; each number says what it rests on."""
    advice = readable(advice_view(rec))
    return RecommendationView(advice, fingerprint(advice))


def advice_view(rec: r.Recommendation) -> AdviceView:
    """All of a recommendation but what it is known by."""
    present = bill_view(rec.present, "Today")
    told = tuple(offer_view(offer, letter) for letter, offer in rec.told)
    first, last = len(rec.asked), len(rec.asked) + len(rec.offers)
    bills = [present, *(offer.bill for offer in told)]
    brews = rec.purpose == "beer"
    return AdviceView(
        format=FORMAT_OF_BEER if brews else FORMAT,
        language="en",
        title=rec.title,
        customer=rec.customer,
        plant=rec.plant,
        adviser=rec.adviser,
        question=rec.question,
        currency=rec.currency,
        invented=rec.invented,
        issued=date_entry(rec.provenance.issued),
        valid_until=date_entry(rec.provenance.valid_until),
        issue=None,
        customer_pages=customer_view(customer_pages(rec)),
        answer=rec.answer,
        present=present,
        anchor=anchor_view(rec.anchor),
        asked=told[:first],
        offers=told[first:last],
        offers_title=offers_title(rec),
        shown=told[last:],
        lots_table=lots_view(lots_of(results_of(rec))),
        comparison=comparison(present, told, brews),
        boards=board_table(bills),
        law=law_table(bills),
        search=search_view(rec.search),
        markers=markers_view(rec),
        dose=dose_view(rec.dose),
        will_not=rec.will_not,
        assumed=assumptions_view(rec.assumptions, rec.effects, measured_offer(rec)),
        measure_next=tuple(measure_view(line) for line in rec.measure_next),
        trial=trial_view(rec.trial, rec.told),
        warnings=rec.warnings,
        cautions=rec.cautions,
        provenance=provenance_view(rec.provenance),
        charts=charts_view(rec),
        notes=notes_view(rec),
    )


def markers_view(rec: r.Recommendation) -> MarkersTable:
    """What every bill brings into the spirit, side by side; nothing of beer."""
    if rec.purpose == "beer":
        return MarkersTable("", "", "", (), (), (), "")
    bills = [("Today", rec.present), *((letter, offer.result) for letter, offer in rec.told)]
    return markers_table([(letter, result.markers) for letter, result in bills], rec.trade)


def results_of(rec: r.Recommendation) -> list[r.BillResult]:
    """Every bill a recommendation speaks of, today's first."""
    return [rec.present, *(offer.result for _, offer in rec.told)]


def charts_view(rec: r.Recommendation) -> ChartsView:
    """The present bill's ledger and what the offers change."""
    ledger = ledger_chart(rec.present.ledger) if rec.present.ledger else None
    return ChartsView(ledger, changes_chart(with_changes(rec), charted(rec)))


def with_changes(rec: r.Recommendation) -> list[tuple[str, r.Offer]]:
    """The bills whose changes can be drawn: asked about and offered, else ends of the ranges; none of today's own."""
    told = rec.told if not (rec.asked or rec.offers) else rec.told[: len(rec.asked) + len(rec.offers)]
    return [(letter, one) for letter, one in told if one.changes and not one.result.bill.same_grist(rec.present.bill)]


def charted(rec: r.Recommendation) -> tuple[str, ...]:
    """The changes that are drawn, by key."""
    return CHARTED_OF_BEER if rec.purpose == "beer" else CHARTED


def notes_view(rec: r.Recommendation) -> NotesView:
    """The notes, with the day the law was read on; only an invented example says that it is one."""
    day = date_entry(rec.provenance.judged_on).text
    law = f"Judged by the rules in force on {day}, the date of the enquiry."
    notes = replace(NOTES, invented=NOTES.invented if rec.invented else "", law=law)
    return replace(notes, law="", age="", ledger="") if rec.purpose == "beer" else notes


# What comes with the issue of a document.
OF_ISSUE = ("fingerprint", "issued", "valid_until", "issue")


def fingerprint(view: View) -> str:
    """What a view is known by: twelve hexadecimal digits of the SHA-256 over its inputs and figures, keys in order.

    The day of issue and who issued it are no part of it, so that a draft and the paper issued from it are known by one.
    """
    rest = {key: part for key, part in as_data(view).items() if key not in OF_ISSUE}
    text = json.dumps(rest, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def offers_title(rec: r.Recommendation) -> str:
    """What the part of the offers is called; without one, why there is none."""
    if rec.offers:
        return "What was asked about, and what could be done instead" if rec.asked else "What could be done instead"
    if rec.asked and not rec.search.stopped:
        return "What was asked about"
    if rec.search.stopped:
        return "What was asked about; no other bill can be offered" if rec.asked else "No bill can be offered"
    return "No other bill" if rec.search.bills_allowed else "No bill meets every demand"


def anchor_view(anchor: r.Anchor) -> AnchorView:
    """How the house's own record was used, with its numbers."""
    unit, named = LITRES, []
    if anchor.observed_lpa_per_t is not None:
        named.append(single("observed", "the house gets", unit, anchor.observed_lpa_per_t, 1, RECORD))
    expected = "expected before its record was used" if anchor.used else "expected"
    for key, label, band in (
        ("before", expected, anchor.before),
        ("after", "and after", anchor.after),
    ):
        if band is not None:
            named.append(entry(key, label, unit, band, 1, basis="present bill in all runs"))
    if anchor.effective_members is not None:
        named.append(single("effective", "effective runs", "", anchor.effective_members, 0, COUNTED))
    return AnchorView(anchor.used, anchor.sentence, tuple(named))


def search_view(search: r.Search) -> SearchView:
    """The search, with its numbers counted."""
    counts = (
        ("bills_on_grid", "bills lie inside the ranges", search.bills_on_grid),
        ("bills_evaluated", "were looked at", search.bills_evaluated),
        ("bills_allowed", "met every demand", search.bills_allowed),
        ("bills_not_beaten", "not beaten by another in all respects", search.bills_not_beaten),
    )
    failed = ((demand, demand, number) for demand, number in search.failed_by_demand if number)
    return SearchView(
        step=single("step_pct", "in steps of", "%", search.step_pct, fewest_decimals(search.step_pct), STATED),
        counts=tuple(_counted(*count) for count in counts),
        failed_by_demand=tuple(_counted(*count) for count in failed),
        how=search.how,
        judged=search.judged,
        stopped=tuple(stopped_view(stop) for stop in search.stopped),
        left_out=search.left_out,
        cheaper=search.cheaper,
        conflict=search.conflict,
    )


def _counted(key: str, label: str, number: int) -> Entry:
    return single(key, label, "bills", number, 0, COUNTED)


def stopped_view(stop: r.Stopped) -> StoppedView:
    """A board that stops bills, and how many."""
    most = 100.0 * stop.most_let_pass
    return StoppedView(
        bills=_counted("bills", f"stopped by {lower(stop.board.title)}", stop.bills),
        least=stop.least,
        board=board_view(stop.board),
        most_let_pass=single("most_let_pass", "let pass at most", "% of the runs", most, 0, RULE),
    )


def measured_offer(rec: r.Recommendation) -> str:
    """The letter of the offer whose change the effects are told of: the one to be tried, or the first."""
    tried = rec.trial.offer if rec.trial else ""
    called = {offer.result.bill.name: letter for letter, offer in rec.told}
    return called.get(tried, r.LETTERS[0])


def measure_view(line: r.MeasureNext) -> MeasureView:
    """What to measure next as a view."""
    by = entry("narrows_by", line.narrows, line.unit, Band(line.by, line.by, line.by), 2, (line.assumption,))
    return MeasureView(line.assumption, capital(line.meaning), line.narrows, by, line.how)


def trial_view(trial: r.Trial | None, offers: Sequence[tuple[str, r.Offer]]) -> TrialView | None:
    """The trial with its numbers, called by the letter of its offer."""
    if trial is None:
        return None
    known = {offer.result.bill.name: letter for letter, offer in offers}
    letter = known.get(trial.offer, "")
    numbers = (
        ("mashes_each", "mashes of each bill", "mashes", float(trial.mashes_each), 0, TRIAL),
        ("difference", "difference to be seen", LITRES, trial.difference_lpa_per_t, 1, "the change offered"),
        ("sd_between_mashes", "spread between mashes (one standard deviation)", LITRES, trial.sd_between_mashes, 1,
         RECORD),
    )  # fmt: skip
    name = f"{lettered(letter)}, {trial.offer}" if letter and letter != trial.offer else trial.offer
    return TrialView(name, tuple(single(*number) for number in numbers), trial.steps)
