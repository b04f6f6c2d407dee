"""A recommendation as a JSON-ready dict: the single source of the printed page and of the file beside it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence

from gristwright.basics import Assumption, Band
from gristwright.charts.changes import LETTERS, changes_chart
from gristwright.charts.ledger import ledger_chart
from gristwright.documents.bills import bill_view, board_view
from gristwright.documents.entries import (
    COUNTED,
    LITRES,
    RECORD,
    STATED,
    TRIAL,
    View,
    date_entry,
    entry,
    fewest_decimals,
    figure_entry,
    readable,
    sentence,
    single,
    withheld_entries,
)
from gristwright.documents.lots import lots_of, lots_view
from gristwright.documents.tables import board_table, comparison, law_table
from gristwright.quantities.shown import capital, lower, plain, significant
from gristwright.records import results as r

FORMAT = "gristwright.recommendation/1"
FEWEST_PRINTED, MOST_PRINTED = 4, 8
RULE = "what is let pass is our choice (docs/casework.md)"
LEAST_EFFECT = 0.005  # litres; what would be printed as 0.00
CHARTED = ("lpa_per_t", "cost_per_lpa", "annual_lpa")
RANKED = (
    "Ranked by how far the change in litres of offer {letter} [{unit}] moves when the assumption goes from its low to "
    "its high."
)
NOTES = {
    "invented": "Invented example: no house, lot, price or result in it is real.",
    "planning_aid": "Planning aid: not a hazard study, a permit or legal advice.",
    "bands": "A figure is given as its middle with low to high beside it (5, 50 and 95 % of the runs). Every bill was "
    "run on the same draws, so a change is a difference between bills and not between draws.",
    "ledger": "The reference run holds every input at its middle and adds up exactly. The bands come from all runs; "
    "their middles need not add up.",
    "changes": "A filled dot is a difference whose band leaves zero out; a hollow dot may be no difference at all.",
    "boards": "Beside each word: in how many of the runs it is not in order, where that is not none.",
    "age": "Nothing here is an age. An age on a label is true time in wood.",
}


def recommendation_view(rec: r.Recommendation) -> View:
    """Every text and number of a recommendation, ready for JSON; each number says what it rests on."""
    present = bill_view(rec.present, "Today")
    offers = [offer_view(offer, letter) for letter, offer in zip(LETTERS, rec.offers, strict=False)]
    shown = [offer_view(bill, f"Bill {number}") for number, bill in enumerate(rec.shown, start=1)]
    bills = [present, *(offer["bill"] for offer in (*offers, *shown))]
    view = {
        "format": FORMAT,
        **question_view(rec),
        "answer": list(rec.answer),
        "present": present,
        "anchor": anchor_view(rec.anchor),
        "offers": offers,
        "offers_title": offers_title(rec),
        "shown": shown,
        "lots_table": lots_view(lots_of(results_of(rec))),
        "comparison": comparison(present, [*offers, *shown]),
        "boards": board_table(bills),
        "law": law_table(bills),
        "search": search_view(rec.search),
        "markers": [marker_view(line) for line in rec.markers],
        "will_not": [{"text": fact.text, "standing": fact.standing, "source": fact.source} for fact in rec.will_not],
        **assumptions_view(rec.assumptions, rec.effects, measured_offer(rec)),
        "measure_next": [measure_view(line) for line in rec.measure_next],
        "trial": trial_view(rec.trial, rec.offers),
        "warnings": list(rec.warnings),
        "cautions": list(rec.cautions),
        "provenance": provenance_view(rec.provenance),
        "charts": {
            "ledger": ledger_chart(rec.present.ledger) if rec.present.ledger else None,
            "changes": changes_chart(rec.offers, CHARTED),
        },
        "notes": {**NOTES, "invented": NOTES["invented"] if rec.invented else "", "law": law_note(rec.provenance)},
    }
    return fingerprinted({key: readable(part) for key, part in view.items()})


def results_of(rec: r.Recommendation) -> list[r.BillResult]:
    """Every bill a recommendation speaks of, today's first."""
    return [rec.present, *(offer.result for offer in (*rec.offers, *rec.shown))]


def law_note(made: r.Provenance) -> str:
    """The day the law was read on."""
    return f"Judged by the rules in force on {date_entry(made.judged_on)['text']}, the date of the enquiry."


def fingerprinted(view: View) -> View:
    """The view with its fingerprint: twelve hexadecimal digits of the SHA-256 over all the rest, keys in order."""
    rest = {key: part for key, part in view.items() if key != "fingerprint"}
    text = json.dumps(rest, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return {**rest, "fingerprint": hashlib.sha256(text.encode()).hexdigest()[:12]}


def offers_title(rec: r.Recommendation) -> str:
    """What the part of the offers is called; without one, why there is none."""
    if rec.offers:
        return "What could be done instead"
    if rec.search.stopped:
        return "No bill can be offered"
    return "No other bill" if rec.search.bills_allowed else "No bill meets every demand"


def question_view(rec: r.Recommendation) -> View:
    """Who asks what, and how long the answer holds."""
    return {
        "language": "en",
        "title": rec.title,
        "customer": rec.customer,
        "plant": rec.plant,
        "adviser": rec.adviser,
        "question": rec.question,
        "currency": rec.currency,
        "invented": rec.invented,
        "issued": date_entry(rec.provenance.issued),
        "valid_until": date_entry(rec.provenance.valid_until),
    }


def offer_view(offer: r.Offer, letter: str) -> View:
    """An offered bill, its differences against the present one, and why it is offered."""
    return {
        "letter": letter,
        "name": offer.result.bill.name,
        "reason": sentence(offer.reason),
        "words": [sentence(line) for line in offer.words],
        "changes": {key: figure_entry(figure, difference=True) for key, figure in offer.changes.items()}
        | withheld_entries(offer.withheld),
        "bill": bill_view(offer.result, letter),
    }


def anchor_view(anchor: r.Anchor) -> View:
    """How the house's own record was used."""
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
    return {"used": anchor.used, "sentence": anchor.sentence, "figures": named}


def search_view(search: r.Search) -> View:
    """How many bills were looked at, what ruled them out, and what would open the way."""
    counts = (
        ("bills_on_grid", "bills lie inside the ranges", search.bills_on_grid),
        ("bills_evaluated", "were looked at", search.bills_evaluated),
        ("bills_allowed", "met every demand", search.bills_allowed),
        ("bills_not_beaten", "not beaten by another in all respects", search.bills_not_beaten),
    )
    return {
        "step": single("step_pct", "in steps of", "%", search.step_pct, fewest_decimals(search.step_pct), STATED),
        "counts": [single(key, label, "bills", number, 0, COUNTED) for key, label, number in counts],
        "failed_by_demand": [
            single(demand, demand, "bills", number, 0, COUNTED) for demand, number in search.failed_by_demand if number
        ],
        "how": search.how,
        "judged": search.judged,
        "stopped": [stopped_view(stop) for stop in search.stopped],
        "left_out": list(search.left_out),
        "cheaper": search.cheaper,
        "conflict": [{"demand": line.demand, "gives": line.gives} for line in search.conflict],
    }


def stopped_view(stop: r.Stopped) -> View:
    """A board that stops bills which meet every demand."""
    most = 100.0 * stop.most_let_pass
    return {
        "bills": single("bills", f"stopped by {lower(stop.board.title)}", "bills", stop.bills, 0, COUNTED),
        "least": stop.least,
        "board": board_view(stop.board),
        "most_let_pass": single("most_let_pass", "let pass at most", "% of the runs", most, 0, RULE),
    }


def marker_view(line: r.MarkerLine) -> View:
    """A flavour marker and whether it reaches the spirit."""
    return {
        "marker": line.marker,
        "brought_by": line.brought_by,
        "passes": line.passes,
        "sentence": line.sentence,
        "standing": line.standing,
        "source": line.source,
    }


def measured_offer(rec: r.Recommendation) -> str:
    """The letter of the offer whose change the effects are told of: the one to be tried, or the first."""
    tried = rec.trial.offer if rec.trial else ""
    names = [offer.result.bill.name for offer in rec.offers]
    return LETTERS[names.index(tried)] if tried in names else LETTERS[0]


def assumptions_view(assumptions: Sequence[Assumption], effects: dict[str, Band], letter: str) -> View:
    """The assumptions, the one that moves the offer's change most on top."""
    ranked = sorted(assumptions, key=lambda a: -reach(effects.get(a.name)))
    printed = _printed(ranked, effects)
    left = len(ranked) - printed
    less = ", which move it less or not at all," if effects else ""
    return {
        "assumptions": [assumption_view(a, effects.get(a.name), letter) for a in ranked],
        "assumptions_ranked": RANKED.format(letter=letter, unit=LITRES) if effects else "",
        "assumptions_move": f"Moves offer {letter}" if effects else "",
        "printed_assumptions": printed,
        "assumptions_note": f"{left} more{less} stand in the JSON file that belongs to this document." if left else "",
    }


def reach(effect: Band | None) -> float:
    """How far the answer moves between an input's low and high, whichever way."""
    return abs(effect.width) if effect else 0.0


def _printed(ranked: Sequence[Assumption], effects: dict[str, Band]) -> int:
    """How many assumptions the page shows: those that move the answer, a few at least."""
    moving = sum(reach(effects.get(a.name)) >= LEAST_EFFECT for a in ranked)
    wanted = max(FEWEST_PRINTED, moving) if effects else MOST_PRINTED
    return min(wanted, MOST_PRINTED, len(ranked))


def assumption_view(assumption: Assumption, effect: Band | None, letter: str) -> View:
    """An assumption with its band, standing and source, and how far the answer moves between its low and high."""
    band = assumption.band
    low, high = significant(band.low), significant(band.high)
    moved = _effect(assumption.name, effect, letter) if effect else None
    return {
        "name": assumption.name,
        "meaning": capital(assumption.meaning),
        "unit": "" if assumption.unit == "1" else assumption.unit.replace("m2", "m²"),
        "low": band.low,
        "middle": band.middle,
        "high": band.high,
        "at": significant(band.middle),
        "range": f"{low} to {high}" if low != high else "",
        "standing": assumption.standing.value,
        "source": assumption.source,
        "effect": moved,
        "effect_text": plain(reach(effect), 2) if effect else "",
    }


def _effect(name: str, effect: Band, letter: str) -> View:
    label = f"moves the change of offer {letter}"
    return entry("effect", label, LITRES, effect, 2, (name,), difference=True)


def measure_view(line: r.MeasureNext) -> View:
    """What to measure next, how, and what it brings."""
    by = entry("narrows_by", line.narrows, line.unit, Band(line.by, line.by, line.by), 2, (line.assumption,))
    return {
        "assumption": line.assumption,
        "meaning": capital(line.meaning),
        "narrows": line.narrows,
        "by": by,
        "how": line.how,
    }


def trial_view(trial: r.Trial | None, offers: Sequence[r.Offer]) -> View | None:
    """The first trial to run."""
    if trial is None:
        return None
    known = {offer.result.bill.name: letter for letter, offer in zip(LETTERS, offers, strict=False)}
    letter = known.get(trial.offer, "")
    numbers = (
        ("mashes_each", "mashes of each bill", "mashes", float(trial.mashes_each), 0, TRIAL),
        ("difference", "difference to be seen", LITRES, trial.difference_lpa_per_t, 1, "the change offered"),
        ("sd_between_mashes", "spread between mashes (one standard deviation)", LITRES, trial.sd_between_mashes, 1,
         RECORD),
    )  # fmt: skip
    name = f"Offer {letter}, {trial.offer}" if letter and letter != trial.offer else trial.offer
    return {"offer": name, "figures": [single(*number) for number in numbers], "steps": list(trial.steps)}


def inputs_digest(inputs: Sequence[tuple[str, str]]) -> str:
    """The first twelve hexadecimal digits of the SHA-256 over the inputs' names and SHA-256."""
    lines = "".join(f"{digest}  {name}\n" for name, digest in inputs)
    return hashlib.sha256(lines.encode()).hexdigest()[:12]


def provenance_view(made: r.Provenance) -> View:
    """What the numbers were made from and with."""
    return {
        "version": made.version,
        "seed": single("seed", "seed", "", made.seed, 0, STATED),
        "members": single("members", "runs", "", made.members, 0, STATED),
        "inputs": [{"file": name, "sha256": digest} for name, digest in made.inputs],
        "inputs_digest": inputs_digest(made.inputs),
        "rules": [
            {"category": name, "version_date": date_entry(version), "read_on": date_entry(read)}
            for name, version, read in made.rule_dates
        ],
    }
