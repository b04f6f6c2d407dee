"""The sentences of a recommendation. Every number in them comes from a figure of the same result."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from gristwright.basics import Light, Verdict
from gristwright.casework.bench.law_in_short import headlines
from gristwright.casework.bench.words import change_words
from gristwright.casework.recommend.search import Candidate
from gristwright.casework.recommend.work import Work
from gristwright.quantities.shown import lower, plain, with_interval
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import BillResult, Figure, Offer, Search, Stopped, Unmet


def reason(candidate: Candidate, others: Collection[Candidate], work: Work) -> str:
    """Why this bill is offered."""
    special = " and ".join(f"{share.pct:g} % {share.lot_id}" for share in candidate.special)
    level = f"with {special}" if special else "without special malt"
    rivals = [other for other in others if other is not candidate and other.special == candidate.special]
    if rivals:
        return f"One of {len(rivals) + 1} bills {level} {work.trading}."
    if candidate.allowed_alike == 1:
        return f"The only bill {level} that meets every demand."
    return f"Chosen of {candidate.allowed_alike} bills {level}: {work.chosen_for}, and of those the simplest bill."


def why_not(candidate: Candidate, failed: Sequence[Unmet] = ()) -> str:
    """What speaks against offering a bill: the demands it fails, the board that is out of order; empty for nothing."""
    demands = [one.against for one in failed]
    board = [f"{lower(candidate.worst)} would be out of order in {100 * candidate.risk:.0f} % of the runs"]
    return "; ".join([*demands, *(board if candidate.strain > 1.0 and candidate.risk > 0.0 else [])])


def why_shown(candidate: Candidate, failed: Sequence[Unmet]) -> str:
    """Why a bill at the end of a range is shown, and whether it could be offered."""
    against = why_not(candidate, failed)
    if against:
        return f"Shown as an end of the ranges and not offered: {against}."
    return "Shown as an end of the ranges: it meets every demand and no board stops it."


def why_asked(candidate: Candidate, failed: Sequence[Unmet], today: bool) -> str:
    """What is said first of a bill that was asked about."""
    which = "Asked about, and today's bill" if today else "Asked about"
    against = why_not(candidate, failed)
    return f"{which}: {against or 'it meets every demand and no board stops it'}."


def offer_words(
    enquiry: Enquiry, result: BillResult, changes: dict[str, Figure], present: BillResult
) -> tuple[str, ...]:
    """A bill against today, a sentence each."""
    lines = (
        [
            f"New spirit: {change_words(changes['lpa_per_t'], 'less', 'more')}.",
            f"Malt and processing: {change_words(changes['cost_per_lpa'], 'less', 'more')}.",
            f"A year: {change_words(changes['annual_lpa'], 'less', 'more')} on {enquiry.plant.tonnes_per_year:g} t.",
        ]
        if changes
        else [f"What it changes against today is not given. {_whose(result, present)}"]
    )
    now = {board.key: board.light for board in present.boards}
    other = [board for board in result.boards if board.light is not now.get(board.key)]
    if other:
        lines.append(f"Other than today: {'; '.join(f'{lower(board.title)} {board.light.value}' for board in other)}.")
    return tuple(lines)


def _whose(result: BillResult, present: BillResult) -> str:
    """Whose litres are withheld of the two, and why."""
    if present.withheld is not None:
        return "Today's litres are withheld."
    return result.withheld.sentence if result.withheld else ""


def answer(
    enquiry: Enquiry,
    present: BillResult,
    asked: tuple[Offer, ...],
    offers: tuple[Offer, ...],
    searched: Search,
    processes: Collection[str],
) -> tuple[str, ...]:
    """The short answer: of what was asked about first, then of what could be done instead."""
    told = [line for offer in asked for line in of_asked(offer, present, _litres_and_money)]
    if not offers:
        lines = [*told, *no_offer(searched, present, asked), *withheld_today(present)]
        return (*lines, *([_law_line(present, asked)] if asked else []))
    lines = [*told, *withheld_today(present)]
    for offer in (offers[0], offers[-1]) if len(offers) > 1 else offers:
        lines.append(_litres_and_money(offer, present))
    lines += [f"Not offered: {line}." for line in searched.left_out]
    lines += [f"Cheaper, but not offered, for its litres are withheld: {searched.cheaper}."] if searched.cheaper else []
    red = {board.key for board in present.boards if board.light is Light.RED and not board.key.startswith("law.")}
    lines += [line for line in [today_stands(red, present)] if line]
    lines.append(_law_line(present, (*asked, *offers)))
    if processes:
        lines.append(
            "What it brings to the spirit is not shown by any published trial with numbers; the markers that can pass "
            "the still are listed, and your own trial decides. It makes no whisky older."
        )
    return tuple(lines)


def withheld_today(present: BillResult) -> list[str]:
    """That today's figures are withheld, where they are."""
    return [f"Of {present.bill.name}: {lower(present.withheld.sentence)}"] if present.withheld else []


def _litres_and_money(offer: Offer, present: BillResult) -> str:
    name = offer.result.bill.name
    if offer.result.bill.same_grist(present.bill):
        litres, money = (offer.result.figures.get(key) for key in ("lpa_per_t", "cost_per_lpa"))
        said = [f"{with_interval(one.band, one.decimals)} {one.unit}" for one in (litres, money) if one]
        return f"{name} is today's bill: {' at '.join(said)}." if said else f"{name} is today's bill."
    if not offer.changes:
        return f"{name}: what it changes against today is not given. {_whose(offer.result, present)}".rstrip()
    litres, money = offer.changes["lpa_per_t"], offer.changes["cost_per_lpa"]
    return (
        f"{name} gives {change_words(litres, 'less', 'more')} and costs {change_words(money, 'less', 'more')} against "
        f"{present.bill.name}."
    )


def of_asked(offer: Offer, present: BillResult, told: Callable[[Offer, BillResult], str]) -> tuple[str, ...]:
    """What is said of a bill asked about: what it gives, what speaks for or against it, and what would lift that."""
    lines = [told(offer, present), offer.reason]
    stops = [board for board in offer.result.boards if board.light is Light.RED and not board.key.startswith("law.")]
    lines += [f"{board.title}: {board.sentence} {board.remedy}".rstrip() for board in stops]
    return tuple(lines)


def no_offer(searched: Search, present: BillResult, asked: Sequence[Offer] = ()) -> tuple[str, ...]:
    """Why there is no other bill to offer."""
    looked, met = (plain(count, 0) for count in (searched.bills_evaluated, searched.bills_allowed))
    if searched.conflict:
        demands = "; ".join(item.demand for item in searched.conflict)
        alone = len(searched.conflict) == 1
        which = "No bill meets this one" if alone else "These cannot be had together"
        return f"None of the {looked} bills looked at meets every demand.", f"{which}: {demands}."
    if not searched.bills_allowed:
        return (f"None of the {looked} bills looked at meets every demand.",)
    if searched.stopped:
        return _stopped(searched, present)
    of_today = searched.bills_allowed == 1 and not searched.judged
    if of_today:
        return ("No other bill is offered: today's is the only one inside the ranges that meets every demand.",)
    known = " or one asked about" if asked else ""
    return (f"No other bill is offered: none of the {met} that meet every demand does better than today's{known}.",)


def _stopped(searched: Search, present: BillResult) -> tuple[str, ...]:
    """That boards stop every bill, which, with their figures, and how today's bill stands on them."""
    count, judged = searched.bills_allowed, searched.judged
    named = f"{plain(count, 0)} bill{'s meet' if count > 1 else ' meets'} every demand"
    whole = judged >= count - 1
    each = (
        "a board stops each of those that differ from today's"
        if whole
        else (f"of these {plain(judged, 0)}, spread over all of them, were held against the boards and one stops each")
    )
    lines = [f"No bill can be offered: {named}, and {each}."]
    lines += [_stop_line(stop, judged) for stop in searched.stopped]
    stopped = {stop.board.key for stop in searched.stopped}
    lines += [line for line in [today_stands(stopped, present)] if line]
    lines.append("The bills at the ends of the ranges stand beside today's with all their figures; they are no offers.")
    return tuple(lines)


def _stop_line(stop: Stopped, judged: int) -> str:
    chance, most = (f"{100 * p:.0f} %" for p in (stop.board.probability_red, stop.most_let_pass))
    which = "all" if stop.bills == judged else f"{stop.bills}"
    more = " or more" if stop.bills > 1 and stop.board.probability_red < 1.0 else ""
    return (
        f"{stop.board.title} stops {which} of them: out of order in {chance} of the runs{more}, and at most {most} is "
        f"let pass. For {stop.least}: {stop.board.sentence}"
    )


def today_stands(keys: Collection[str], present: BillResult) -> str:
    """How today's bill stands on these boards."""
    same = [board for board in present.boards if board.key in keys]
    said = [f"{lower(b.title)} {b.light.value} in {100 * b.probability_red:.0f} % of the runs" for b in same]
    return f"Today's bill: {'; '.join(said)}." if said else ""


def _law_line(present: BillResult, offers: Sequence[Offer]) -> str:
    kept = []
    for answer_now in present.law:
        offered = [a.verdict for offer in offers for a in offer.result.law if a.category == answer_now.category]
        if all(verdict is Verdict.PASS for verdict in offered):
            kept.append(f"{answer_now.title}: all offers pass on the rules that a plan can be judged by")
        else:
            worst = sorted({verdict.value for verdict in offered if verdict is not Verdict.PASS})
            kept.append(f"{answer_now.title}: not all offers pass ({', '.join(worst)})")
    if kept:
        return "; ".join(kept) + "."
    best = [one for one in headlines((), present.law_beside).entries if one.verdict is Verdict.PASS]
    names = "; ".join(one.title for one in best)
    return f"Today's bill may be called, unasked: {names}." if best else "No name was asked about."
