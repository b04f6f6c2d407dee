"""Whether what an answer says agrees with its own numbers: every sentence that claims more, less, every, none or only.

Each check reads the words that are printed and the figures beside them; it gives what contradicts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from gristwright.basics import Light, Verdict
from gristwright.casework.recommend import customer_pages
from gristwright.documents.customer import BillText, CustomerView, customer_view
from gristwright.documents.speech import speech
from gristwright.records.results import BillResult, Figure, Offer, Recommendation

COUNTED = re.compile(r"([0-9\u202f]+) bills? meets? every demand")
LOOKED = re.compile(r"None of the ([0-9\u202f]+) bills looked at meets every demand")
CHANGE = {"whisky": ("lpa_per_t", "cost_per_lpa"), "beer": ("extract_yield_pct", "cost_per_hL")}


def contradictions(answer: Recommendation) -> list[str]:
    """Everything an answer says that its numbers do not bear out, in English."""
    before = {said: set(speech(said).unknown) for said in ("en", "de")}
    view, german = (customer_view(customer_pages(answer), language) for language in ("en", "de"))
    unknown = {said: speech(said).unknown - before[said] for said in before}
    words = [f"no word in {said}: {missing}" for said, missing in unknown.items() if missing]
    assert len(german.rows) == len(view.rows)
    return [*words, *_of_the_search(answer), *_of_bills(answer), *_of_the_pages(answer, view), *_of_changes(answer)]


def _number(text: str) -> int:
    return int(text.replace("\u202f", ""))


def _of_the_search(answer: Recommendation) -> Iterator[str]:
    text, search = " ".join(answer.answer), answer.search
    if "No bill can be offered" in text and answer.offers:
        yield "says that no bill can be offered, beside offers"
    if "No other bill is offered" in text and answer.offers:
        yield "says that no other bill is offered, beside offers"
    if not answer.offers and not re.search("No (other )?bill|None of the", text):
        yield "offers nothing and does not say so"
    for found in LOOKED.finditer(text):
        if search.bills_allowed or _number(found[1]) != search.bills_evaluated:
            yield f"{found[0]!r}, and {search.bills_allowed} of {search.bills_evaluated} do"
    for found in COUNTED.finditer(text):
        if _number(found[1]) != search.bills_allowed:
            yield f"{found[0]!r}, and {search.bills_allowed} do"
    if "is the only one inside the ranges" in text and search.bills_allowed != 1:
        yield f"calls today's the only bill, and {search.bills_allowed} meet every demand"
    yield from _of_names(answer, text)


def _of_names(answer: Recommendation, text: str) -> Iterator[str]:
    told = [*answer.asked, *answer.offers]
    for category in answer.present.law:
        verdicts = [a.verdict for one in told for a in one.result.law if a.category == category.category]
        every = bool(verdicts) and all(verdict is Verdict.PASS for verdict in verdicts)
        said = f"{category.title}: all offers pass"
        if verdicts and (said in text) is not every and f"{category.title}: " in text:
            yield f"{category.title}: says {'all pass' if said in text else 'not all pass'}, and {verdicts}"


def _of_bills(answer: Recommendation) -> Iterator[str]:
    for offer in answer.offers:
        if not offer.sound or _stopping(offer.result):
            yield f"{offer.result.bill.name} is offered, and a board or the law is out of order"
    for _, offer in answer.told:
        good = "it meets every demand and no board stops it" in offer.reason
        bad = "not offered" in offer.reason or "missed by" in offer.reason or "out of order" in offer.reason
        if good and (offer.unmet or not offer.sound):
            yield f"{offer.result.bill.name}: {offer.reason!r} against {offer.unmet} and sound {offer.sound}"
        if bad and not offer.unmet and offer.sound:
            yield f"{offer.result.bill.name}: {offer.reason!r}, and nothing stands against it"


def _stopping(result: BillResult) -> bool:
    return result.withheld is not None


def _of_the_pages(answer: Recommendation, view: CustomerView) -> Iterator[str]:
    offers = {offer.result.bill.name: offer for _, offer in answer.told}
    for bill in view.bills:
        offer = offers.get(bill.name) if bill.letter else None
        result = answer.present if offer is None else offer.result
        yield from _of_one(bill, result, offer)
    for found in re.finditer(r"^([0-9]+) other bills", view.headline):
        if int(found[1]) != len(answer.offers):
            yield f"{view.headline!r} beside {len(answer.offers)} offers"
    bad = [bill.name for bill in view.bills if bill.letter and bill.verdict in ("no", "withheld")]
    if answer.asked and bad and not any(word in view.headline for word in ("ot as it stands", "cannot", "None of")):
        yield f"{view.headline!r} does not say that {bad} cannot be mashed"
    if answer.asked and not bad and any(word in view.headline for word in ("ot as it stands", "None of", "cannot")):
        yield f"{view.headline!r}, and every bill asked about can be mashed"
    for row in view.rows:
        if len(row.cells) != len(view.columns):
            yield f"{row.label}: {len(row.cells)} cells under {len(view.columns)} heads"


def _of_one(bill: BillText, result: BillResult, offer: Offer | None) -> Iterator[str]:
    text = " ".join(bill.lines)
    boards = [board for board in result.boards if not board.key.startswith("law.")]
    red = [board.key for board in boards if board.light is Light.RED]
    amber = [board.key for board in boards if board.light is Light.AMBER]
    if bill.verdict == "good" and (red or amber):
        yield f"{bill.name} is called good beside {red + amber}"
    names = bool(offer) and all(one.said.key == "demand.name" for one in offer.unmet)  # type: ignore[union-attr]
    if bill.verdict == "no" and not red and (not offer or names):
        yield f"{bill.name} is called not as it stands, and no board and no demand says so"
    if bill.verdict in ("good", "watch", "name") and (red or (offer and not names)):
        yield f"{bill.name} is called {bill.verdict} beside {red or offer}"
    if (bill.verdict == "name") != bool(not red and offer and offer.unmet and names and result.withheld is None):
        yield f"{bill.name} is called {bill.verdict} beside {red or offer}"
    if (result.withheld is not None) != ("What it gives is not said" in text):
        yield f"{bill.name}: withheld {result.withheld is not None}, and the page says {text!r}"
    if bill.lifts and not red:
        yield f"{bill.name}: ways are offered and nothing stops it"
    for law in result.law:
        may = "may be called" in text and "may not be called" not in text
        if law.verdict is Verdict.FAIL and may and "may be named as" not in text and len(result.law) == 1:
            yield f"{bill.name}: {law.title} fails, and the page says {text!r}"


def _of_changes(answer: Recommendation) -> Iterator[str]:
    view = customer_view(customer_pages(answer), "en")
    offers = {offer.result.bill.name: offer for _, offer in answer.told}
    for bill in view.bills:
        offer = offers.get(bill.name) if bill.letter else None
        if offer is None or offer.result.bill.same_grist(answer.present.bill) or not offer.changes:
            continue
        for verb, key in zip(("gives", "costs"), CHANGE[answer.purpose], strict=True):
            change = offer.changes.get(key)
            line = next((line for line in bill.lines if line.startswith(f"It {verb} ")), "")
            if change is not None and line:
                yield from _of_a_change(bill.name, line, change)


def _of_a_change(name: str, line: str, change: Figure) -> Iterator[str]:
    band = change.band
    said = {"more": "more than today" in line, "less": "less than today" in line, "same": "no sure change" in line}
    so = {"same": band.includes_zero, "more": not band.includes_zero and band.middle > 0.0}
    so["less"] = not band.includes_zero and band.middle < 0.0
    if said != {key: so[key] for key in said}:
        yield f"{name}: {line!r} against a change of {band}"
    if not band.includes_zero and f"{abs(band.middle):.{change.decimals}f}" not in line.replace("\u202f", ""):
        yield f"{name}: {line!r} does not say {band.middle}"
