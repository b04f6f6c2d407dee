"""An answer for the customer: each bill in plain sentences, one table, what to do on Monday. See docs/casework.md.

Sentences are `Said`: keys with typed quantities, put in a language where they are printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gristwright.basics import Verdict
from gristwright.casework.recommend.customer_flavour import brings_flavour, dose_lines, felt
from gristwright.casework.recommend.customer_stands import Stands, unmet_said, verdict_of, verdict_of_offer
from gristwright.casework.recommend.customer_table import COST, GAIN, picture_of, rows_of, same_as_today
from gristwright.casework.recommend.lifting import lifts
from gristwright.records.customer import BillAnswer, CustomerPages, called
from gristwright.records.results import BillResult, Figure, Offer, Recommendation
from gristwright.records.said import Amount, Name, Said, said

# So many bills stand beside today's on the two pages; the annex has all.
MOST_BILLS = 5
MASHABLE = ("good", "watch", "name")
MOST_RESTS, MOST_SETTLED = 5, 2
OF_DISTILLERS = ("planning", "spirit", "co2", "dust", "liquor", "licence", "label")
OF_BREWERS = ("planning", "co2.brewer", "dust", "liquor.brewer")


def customer_pages(answer: Recommendation) -> CustomerPages:
    """The two pages of a recommendation."""
    told = _told(answer)
    shown: list[tuple[Said, str, Offer | None]] = [] if answer.asked else [(said("customer.today"), "", None)]
    shown += [(called(letter), letter, offer) for letter, offer in told]
    bills, stands = [], Stands()
    for label, letter, offer in shown:
        bills.append(_bill(answer, label, letter, offer, stands))
    others = [(letter, offer) for letter, offer in told if not same_as_today(answer, offer)]
    results = [answer.present, *(offer.result for _, offer in others)]
    return CustomerPages(
        language=answer.language,
        question=answer.question,
        headline=_headline(answer, [bill for bill in bills if bill.letter]),
        bills=tuple(bills),
        columns=(
            said("customer.today"),
            *(called(letter) for letter, one in told if not same_as_today(answer, one)),
        ),
        rows=tuple(rows_of(answer, results)),
        picture=picture_of(answer, told),
        dose=dose_lines(answer.dose),
        monday=tuple(_monday(answer, bills)),
        rests_on=tuple(_rests_on(answer))[:MOST_RESTS],
        cautions=tuple(said(f"caution.{key}") for key in (OF_BREWERS if answer.purpose == "beer" else OF_DISTILLERS)),
    )


def _told(answer: Recommendation) -> list[tuple[str, Offer]]:
    """The bills that are spoken of: those asked about, else the offers at both ends, else the ends of the ranges."""
    asked = [pair for pair in answer.told if pair[0].startswith("Asked")]
    if asked:
        return asked[:MOST_BILLS]
    offers = [pair for pair in answer.told if len(pair[0]) == 1]
    return (offers or list(answer.told))[:MOST_BILLS]


# A bill


def _bill(answer: Recommendation, label: Said, letter: str, offer: Offer | None, stands: Stands) -> BillAnswer:
    result = answer.present if offer is None else offer.result
    own = offer is None or same_as_today(answer, offer)
    verdict = verdict_of(result) if offer is None else verdict_of_offer(offer)
    lines = [*(_of_today(answer) if own or offer is None else _changes(answer, offer)), *stands.of(result, label)]
    lines += [*(unmet_said(offer) if offer is not None else ()), *felt(result)]
    return BillAnswer(letter, result.bill.name, verdict, tuple(lines), lifts(result))


def _of_today(answer: Recommendation) -> Iterator[Said]:
    yield from _gives(answer.purpose, answer.present)


def _gives(purpose: str, result: BillResult) -> Iterator[Said]:
    """What a bill gives and costs by itself."""
    gain, cost = (result.figures.get(keys[purpose]) for keys in (GAIN, COST))
    if gain is None:
        yield said("customer.withheld", because=_because(result))
    elif cost is None:
        yield said("customer.gives", gain=Amount.of_figure(gain))
    else:
        yield said("customer.gives_and_costs", gain=Amount.of_figure(gain), cost=Amount.of_figure(cost))


def _changes(answer: Recommendation, offer: Offer) -> Iterator[Said]:
    """What it gives and costs against today."""
    if GAIN[answer.purpose] not in offer.result.figures:
        yield said("customer.withheld", because=_because(offer.result))
        return
    if not offer.changes and answer.present.withheld is not None:
        yield from _gives(answer.purpose, offer.result)
        yield said("customer.no_change", because=_because(answer.present))
        return
    for which, keys in (("gain", GAIN), ("cost", COST)):
        key = keys[answer.purpose]
        figure, change = offer.result.figures.get(key), offer.changes.get(key)
        if figure is None:
            continue
        now = Amount.of_figure(figure)
        if change is None:
            yield said(f"customer.{which}.alone", now=now)
        elif change.band.includes_zero:
            yield said(f"customer.{which}.same", now=now, change=Amount.of_figure(change, change=True))
        else:
            more = change.band.middle > 0.0
            yield said(f"customer.{which}.{'more' if more else 'less'}", now=now, by=_size(change))


def _size(change: Figure) -> Amount:
    """How much a change is, without its sign."""
    band = change.band
    low, high = sorted((abs(band.low), abs(band.high)))
    return Amount(abs(band.middle), change.unit, change.decimals, low, high)


def _because(result: BillResult) -> tuple[Said, ...]:
    """Why figures are withheld, by those that decide it."""
    why = result.withheld
    return tuple(said(f"withheld.{one.key}", value=Amount.of_figure(one)) for one in why.reasons) if why else ()


# What to do, what it rests on


def _headline(answer: Recommendation, bills: Sequence[BillAnswer]) -> Said:
    """The answer in one sentence."""
    if answer.asked:
        return _asked_headline(bills)
    if answer.offers:
        return said("headline.offers", n=len(answer.offers))
    if answer.search.conflict:
        return said("headline.conflict", demands=tuple(one.said for one in answer.search.conflict))
    if answer.search.stopped:
        boards = tuple(Name("board", one.board.key) for one in answer.search.stopped)
        return said("headline.stopped", boards=boards)
    return said("headline.none")


def _asked_headline(bills: Sequence[BillAnswer]) -> Said:
    if len(bills) == 1:
        return said(f"headline.one.{bills[0].verdict}", name=bills[0].name)
    good = tuple(bill.name for bill in bills if bill.verdict in MASHABLE)
    bad = tuple(bill.name for bill in bills if bill.verdict not in MASHABLE)
    if good and bad:
        return said("headline.some", good=good, bad=bad)
    return said("headline.all_good", n=len(good)) if good else said("headline.all_bad", n=len(bad))


def _monday(answer: Recommendation, bills: Sequence[BillAnswer]) -> Iterator[Said]:
    trial = answer.trial
    stopped = [bill for bill in bills if bill.verdict == "no" and bill.lifts]
    if trial is not None:
        yield said("monday.trial", name=trial.offer, n=trial.mashes_each)
        yield said("monday.trial_stop", mashes=2 * trial.mashes_each)
    elif stopped:
        yield said("monday.lift", name=stopped[0].name)
    measured = [parts for line in answer.measure_next if (parts := line.assumption.split("."))[0] == "lot"]
    if measured:
        _, lot, *field = measured[0]
        yield said("monday.measure_lot", field=Name("field", field[-1]), lot=".".join([lot, *field[:-1]]))
    elif answer.measure_next:
        yield said("monday.measure_house")
    verdicts = {a.verdict for one in (answer.present, *(o.result for o in answer.asked)) for a in one.law}
    if verdicts & {Verdict.UNKNOWN, Verdict.DEPENDS}:
        yield from _settled(answer)
    yield said("monday.order")


def _settled(answer: Recommendation) -> Iterator[Said]:
    """What settles the names that are open, by the line that is to be written; else that the authority is asked."""
    results = (answer.present, *(offer.result for offer in answer.asked))
    open_answers = [a for one in results for a in one.law if a.verdict is Verdict.UNKNOWN]
    lines = dict.fromkeys(one.words for a in open_answers for rule in a.answers for one in rule.settled_by)
    for line in list(lines)[:MOST_SETTLED]:
        yield said("monday.settle", line=line)
    if not lines:
        yield said("monday.law")


def _rests_on(answer: Recommendation) -> Iterator[Said]:
    anchor = answer.anchor
    if anchor.used and anchor.observed_lpa_per_t is not None:
        yield said("rests.record", average=Amount(anchor.observed_lpa_per_t, "L pure alcohol/t", 1))
    else:
        yield said("rests.no_record")
    yield said("rests.mash")
    if any(brings_flavour(offer.result) for _, offer in answer.told):
        yield said("rests.markers")
    if answer.typical_lots:
        yield said("rests.typical", lots=answer.typical_lots)
    if answer.present.law or any(one.result.law for one in answer.asked):
        yield said("rests.law", day=answer.provenance.judged_on)
    yield said("rests.annex")
