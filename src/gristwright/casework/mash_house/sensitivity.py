"""What one per cent more of a lot does, and the price at which an offer turns. See docs/order.md."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gristwright.basics import FloatArray
from gristwright.casework.bench.bench import Bench
from gristwright.casework.bench.boards import why_of, why_withheld
from gristwright.casework.bench.grounds import HOUSE, PSY
from gristwright.economics.new_make import cost_per_lpa
from gristwright.quantities.shown import plain, with_interval
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.enquiry import Enquiry
from gristwright.records.order import FlipPrice, OnePercent, Sensitivity
from gristwright.records.results import Figure

LITRES = "L pure alcohol/t"
GIVEN = (PSY, HOUSE)
ONE_PERCENT = 100
# Under this share of the draws on the other side, the side counts as sure.
SURE = 0.05


def sensitivity(bench: Bench, enquiry: Enquiry, bills: Sequence[tuple[str, Bill]]) -> Sensitivity:
    """Both, on the bench's draws. `bills` are the offers with their letters."""
    why = why_of(bench, enquiry.present)
    if why is not None:
        return Sensitivity(enquiry.present.name, (), (), why.sentence)
    lots = [offered.lot_id for offered in enquiry.offered]
    more = [one for lot_id in lots if (one := one_percent(bench, enquiry, lot_id)) is not None]
    flips = [flip for letter, bill in bills for flip in flip_prices(bench, enquiry, letter, bill)]
    return Sensitivity(enquiry.present.name, tuple(more), tuple(flips))


def largest_base(bench: Bench, bill: Bill, but: str) -> str | None:
    """The lot that gives way: the largest of no special malt other than `but`, else the largest other one."""
    special = {b.lot.lot_id for b in bench.lots if b.material.specialty}
    others = [share for share in bill.shares if share.lot_id != but and share.parts >= ONE_PERCENT]
    ranked = sorted(others, key=lambda share: (share.lot_id in special, -share.parts, share.lot_id))
    return ranked[0].lot_id if ranked else None


def moved(bill: Bill, to: str, away: str, parts: int) -> Bill:
    """The bill with so many hundredths of a per cent moved from one lot to another."""
    held = {share.lot_id: share.parts for share in bill.shares}
    held[to], held[away] = held.get(to, 0) + parts, held[away] - parts
    return Bill(f"{bill.name}, moved", tuple(Share(lot, parts) for lot, parts in held.items() if parts))


def one_percent(bench: Bench, enquiry: Enquiry, lot_id: str) -> OnePercent | None:
    """One per cent more of a lot in the present bill; None where the bill is of that lot alone, or converts no more."""
    away = largest_base(bench, enquiry.present, lot_id)
    if away is None:
        return None
    present, more = enquiry.present, moved(enquiry.present, lot_id, away, ONE_PERCENT)
    made = bench.made_near(more, present)
    if why_withheld(bench, more, made.grist, made.wort, wash=made.wash) is not None:
        return None
    (litres, cost), (litres_now, cost_now) = (_run(bench, enquiry, bill, present) for bill in (more, present))
    prices = tuple(f"input.price.{lot}" for lot in sorted({lot_id, *(share.lot_id for share in present.shares)}))
    money = f"{enquiry.currency}/L pure alcohol"
    title = next(b.material.title for b in bench.lots if b.lot.lot_id == lot_id)
    gained = Figure.of("lpa_per_t", "change in new spirit", LITRES, litres - litres_now, 2, bench.runs, *GIVEN)
    spent = Figure.of(
        "cost_per_lpa", "change in cost", money, cost - cost_now, 4, bench.runs, *GIVEN, *prices, "input.processing"
    )
    return OnePercent(lot_id, title, away, gained, spent)


def _run(bench: Bench, enquiry: Enquiry, bill: Bill, near: Bill | None = None) -> tuple[FloatArray, FloatArray]:
    """Litres a tonne and money a litre of a bill, each (members,)."""
    made = bench.made(bill) if near is None else bench.made_near(bill, near)
    litres = made.spirit.lpa_per_t
    return litres, cost_per_lpa(made.grist.malt_cost_per_t, enquiry.processing_cost_per_t, litres)


def flip_price(
    offer_share: float,
    present_share: float,
    offer_rest_per_t: FloatArray,
    present_rest_per_t: FloatArray,
    offer_lpa_per_t: FloatArray,
    present_lpa_per_t: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Price [money/t] of a lot at which two bills cost the same a litre, and how much more the offer uses [t/L].

    Shares of the lot as fractions; `rest` is what a tonne of each bill costs without it; all else (members,). From
    (rest_o + s_o p) / L_o = (rest_n + s_n p) / L_n. Where the use is above zero, a higher price makes the offer dearer.
    """
    use = offer_share / offer_lpa_per_t - present_share / present_lpa_per_t
    with np.errstate(divide="ignore", invalid="ignore"):
        price = (present_rest_per_t / present_lpa_per_t - offer_rest_per_t / offer_lpa_per_t) / use
    return np.asarray(price), np.asarray(use)


def flip_prices(bench: Bench, enquiry: Enquiry, letter: str, bill: Bill) -> list[FlipPrice]:
    """The flip price of each lot that the offer and the present bill hold in different shares."""
    lots = [b.lot.lot_id for b in bench.lots if bill.parts_of(b.lot.lot_id) != enquiry.present.parts_of(b.lot.lot_id)]
    return [_flip(bench, enquiry, letter, bill, lot_id) for lot_id in lots]


def _flip(bench: Bench, enquiry: Enquiry, letter: str, bill: Bill, lot_id: str) -> FlipPrice:
    now = next(offered.price_per_t for offered in enquiry.offered if offered.lot_id == lot_id)
    offered, held = (b.parts_of(lot_id) / WHOLE for b in (bill, enquiry.present))
    (litres, cost), (litres_now, cost_now) = (_run(bench, enquiry, b) for b in (bill, enquiry.present))
    rest, rest_now = cost * litres - offered * now, cost_now * litres_now - held * now
    price, use = flip_price(offered, held, rest, rest_now, litres, litres_now)
    cheaper = side(bench.runs.on_draws(price), bench.runs.on_draws(use), bench.weights)
    figure = None
    if cheaper in ("below", "above"):
        lots = {share.lot_id for share in (*bill.shares, *enquiry.present.shares)} - {lot_id}
        prices = tuple(f"input.price.{lot}" for lot in sorted(lots))
        figure = Figure.of(
            "flip_price",
            f"price of {lot_id} at which offer {letter} costs as much a litre as today",
            f"{enquiry.currency}/t",
            price,
            0,
            bench.runs,
            *GIVEN,
            *prices,
            "input.processing",
        )
    words = _words(figure, cheaper, lot_id, letter, now, enquiry.currency)
    return FlipPrice(letter, bill.name, lot_id, now, figure, cheaper, words)


def side(price: FloatArray, use: FloatArray, weights: FloatArray) -> str:
    """On which side of the price the offer is the cheaper; no price is below zero."""
    more = float(weights[use > 0.0].sum())
    free = float(weights[(price > 0.0) & np.isfinite(price)].sum())
    if SURE < more < 1.0 - SURE:
        return "unsure"
    uses_more = more >= 1.0 - SURE
    if free < SURE:
        return "never" if uses_more else "always"
    return "below" if uses_more else "above"


def _words(figure: Figure | None, cheaper: str, lot_id: str, letter: str, now: float, currency: str) -> str:
    if figure is None:
        said = {
            "never": f"Offer {letter} costs more a litre than today even with {lot_id} for nothing.",
            "always": f"Offer {letter} costs less a litre than today at any price of {lot_id}.",
            "unsure": f"No price of {lot_id} turns offer {letter}: both bills use nearly the same of it for a litre.",
        }
        return said[cheaper]
    at = with_interval(figure.band, 0)
    under = " A price under zero: not even for nothing." if figure.band.low < 0.0 else ""
    return (
        f"Offer {letter} costs less a litre than today when {lot_id} is {cheaper} {at} {currency}/t; "
        f"it is {plain(now, 0)} now.{under}"
    )
