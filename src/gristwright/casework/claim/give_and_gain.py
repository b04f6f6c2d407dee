"""Litres given up against maturity claimed, and what must be true for a bill to pay. See docs/give_and_gain.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gristwright.basics import Band, FloatArray, refuse_if_any
from gristwright.economics.release import (
    MOST_YEARS,
    cask_cost_per_lpa,
    cost_at_release_per_lpa,
    cost_per_bottled_litre,
    evaporation_problems,
    limits,
    parts_of_a_bottled_litre,
    years_to_save,
)
from gristwright.quantities.shown import counted, interval, plain, with_interval
from gristwright.records.ageing import ArmAnswer, ArmGrist
from gristwright.records.bill import Bill
from gristwright.records.enquiry import Enquiry
from gristwright.records.give_gain import GiveGain, GiveGainPoint, ReleaseCost, ReleasePrices
from gristwright.records.lot import Lot
from gristwright.records.results import BillResult, Offer, Recommendation

NONE_SHOWN = "none shown"
MEMBERS, SEED = 2048, 1
# % of the alcohol a year where neither the customer nor a forecast says it; estimate.
UNKNOWN_EVAPORATION = Band(1.0, 2.0, 3.0)
# An arm stands for an offer when no type of malt differs by more than this share of the grist [0.01 %].
ALIKE_PARTS = 100
# Casks read at an age so near to the release are read at its age [years].
SAME_AGE = 0.25
# The parts of a litre where the house states what its new make costs.
NEW_MAKE, CHANGED = "new make, as the house states it", "what the bill changes in it"


@dataclass(frozen=True)
class _Money:
    """What every bill of one enquiry shares; arrays (members,)."""

    prices: ReleasePrices
    years: float
    abv_pct: float
    cask: float  # money/LPA filled
    rent: float  # money a year for an LPA filled
    loss: FloatArray
    middle_loss: float
    share: FloatArray  # (2, members), where each member stands in the band of today's cost and of a change

    @property
    def interest(self) -> float:
        """A share a year."""
        return self.prices.interest_pct_per_year / 100.0

    @property
    def bottling_loss(self) -> float:
        """A share."""
        return self.prices.bottling_loss_pct / 100.0


@dataclass(frozen=True)
class _Tonne:
    """What a tonne of one bill costs, whatever it gives."""

    malt: float
    processing: float
    energy: float

    @property
    def with_energy(self) -> float:
        """By what the cost of new spirit grows when energy is paid apart: it is paid by the tonne as well."""
        known = self.malt + self.processing
        return 1.0 + self.energy / known if known else 1.0


def give_and_gain(
    rec: Recommendation,
    enquiry: Enquiry,
    prices: ReleasePrices | None = None,
    answers: Mapping[str, ArmAnswer] | None = None,
    forecast: Band | None = None,
) -> GiveGain:
    """Every offer on the plane, with cost at release where the user's own prices are given.

    `answers` maps the name of an offered bill to the arm that was aged from it; an offer without one shows no gain.
    `forecast` is the alcohol that the plan's cask loses [% of what is left, a year], for prices that do not say it.
    Raises Refused when a price is none.
    """
    answers = answers or {}
    if rec.present.withheld is not None:
        return GiveGain((), (), enquiry.laid_down.years, rec.currency, None, (rec.present.withheld.sentence,))
    points = tuple(_point(offer, answers.get(offer.result.bill.name)) for offer in rec.offers)
    notes = _evidence_notes(enquiry, answers)
    if prices is None:
        return GiveGain(points, (), enquiry.laid_down.years, rec.currency, None, notes)
    evaporation, source = _evaporation(prices, forecast)
    costs = _costs(rec, enquiry, prices, points, evaporation)
    notes = (*notes, *_notes(prices, source), *_stated_note(rec, prices))
    return GiveGain(points, costs, enquiry.laid_down.years, rec.currency, evaporation, notes)


def _evaporation(prices: ReleasePrices, forecast: Band | None) -> tuple[Band, str]:
    """Alcohol lost a year [% of what is left], and whose figure it is."""
    low, high = prices.evaporation_low_pct_per_year, prices.evaporation_high_pct_per_year
    if low is not None and high is not None:
        return Band(low, 0.5 * (low + high), high), "the customer's own"
    if forecast is not None:
        return forecast, "as this cask is forecast"
    return UNKNOWN_EVAPORATION, "a wide estimate"


def arms_of_offers(
    offers: Sequence[Offer],
    answers: Sequence[ArmAnswer],
    grists: Sequence[ArmGrist],
    lots: Sequence[Lot],
    years: float,
) -> dict[str, ArmAnswer]:
    """The arm that stands for each offer, by the offer's name: mashed from the same types, read nearest to `years`."""
    materials = {lot.lot_id: lot.material for lot in lots}
    arms_by_offer = {}
    for offer in offers:
        arms = {grist.arm for grist in grists if _alike(grist, offer.result.bill, materials)}
        mine = [answer for answer in answers if answer.arm in arms]
        if mine:
            arms_by_offer[offer.result.bill.name] = min(mine, key=lambda answer: abs(answer.years - years))
    return arms_by_offer


def _alike(grist: ArmGrist, bill: Bill, materials: Mapping[str, str]) -> bool:
    parts = dict(grist.parts)
    for share in bill.shares:
        material = materials.get(share.lot_id, share.lot_id)
        parts[material] = parts.get(material, 0) - share.parts
    return all(abs(rest) <= ALIKE_PARTS for rest in parts.values())


def _costs(
    rec: Recommendation,
    enquiry: Enquiry,
    prices: ReleasePrices,
    points: Sequence[GiveGainPoint],
    evaporation: Band,
) -> tuple[ReleaseCost, ...]:
    given = {
        "energy": prices.energy_per_t,
        "cask_price": prices.cask_price,
        "fills": prices.fills,
        "rent_per_cask_year": prices.rent_per_cask_year,
        "dry_goods": prices.dry_goods_per_L,
        "new_make_cost_per_lpa": prices.new_make_cost_per_lpa or 0.0,
    }
    plan = enquiry.laid_down
    faults = limits(plan.years, prices.interest_pct_per_year / 100.0, plan.bottle_abv_pct, **given)
    refuse_if_any([*evaporation_problems(prices), *faults])
    money, today = _money(enquiry, prices, evaporation), _tonne(rec.present, enquiry, prices)
    present = rec.present.figures["cost_per_lpa"].band
    costs = [_cost(rec.present.bill.name, present, None, today, today, money)]
    for offer, point in zip(rec.offers, points, strict=True):
        change, tonne = offer.changes["cost_per_lpa"].band, _tonne(offer.result, enquiry, prices)
        costs.append(_cost(offer.result.bill.name, present, change, tonne, today, money, point))
    return tuple(costs)


def _point(offer: Offer, answer: ArmAnswer | None) -> GiveGainPoint:
    change = offer.changes["lpa_per_t"].band
    given_up = Band(-change.high, -change.middle, -change.low)
    gained = answer.gained_years if answer else None
    if answer is None:
        words = f"{NONE_SHOWN}: no casks of this bill were read"
    elif gained is None:
        words = f"{NONE_SHOWN}: {answer.sentence}"
    else:
        words = (
            f"read in arm {answer.arm} at {answer.years:g} years, {counted(answer.casks, 'cask')} of "
            f"{answer.wood}, mashed from "
            "the same types of malt, not from the same lots"
        )
    return GiveGainPoint(offer.result.bill.name, given_up, gained, words, answer.years if answer else None)


def _money(enquiry: Enquiry, prices: ReleasePrices, evaporation: Band) -> _Money:
    plan = enquiry.laid_down
    capacity, filled = plan.kind.capacity_L, plan.kind.capacity_L * plan.entry_abv_pct / 100.0
    paid = prices.cask_price > 0.0
    cask = cask_cost_per_lpa(prices.cask_price, prices.fills, capacity, plan.entry_abv_pct) if paid else 0.0
    share = np.random.default_rng([SEED, 2]).random((3, MEMBERS))
    loss = np.maximum(spread(evaporation, share[0]), 0.0) / 100.0
    rent = prices.rent_per_cask_year / filled
    return _Money(prices, plan.years, plan.bottle_abv_pct, cask, rent, loss, evaporation.middle / 100.0, share[1:])


def _tonne(result: BillResult, enquiry: Enquiry, prices: ReleasePrices) -> _Tonne:
    by_lot = {offered.lot_id: offered.price_per_t for offered in enquiry.offered}
    malt = sum(share.parts / 10_000 * by_lot.get(share.lot_id, 0.0) for share in result.bill.shares)
    return _Tonne(malt, enquiry.processing_cost_per_t, prices.energy_per_t)


def _cost(
    name: str,
    present: Band,
    change: Band | None,
    tonne: _Tonne,
    today: _Tonne,
    money: _Money,
    point: GiveGainPoint | None = None,
) -> ReleaseCost:
    """One bill at release. The change carries its own band: bills differ by less than either is known."""
    plain_new, own = (paid + money.cask for paid in _new_make(present, change, tonne, today, money))
    rent, years = np.full_like(own, money.rent), np.asarray(money.years)
    released = cost_at_release_per_lpa(own, rent, years, money.interest, money.loss)
    bottled = _bottled(released, money)
    parts = tuple(_parts(present.middle, 0.0 if change is None else change.middle, tonne, today, money).items())
    if change is None or point is None:
        words = "The bill of today: what every other is measured against."
        return ReleaseCost(name, _band(own), _band(released), _band(bottled), None, None, words, parts)
    before = cost_at_release_per_lpa(plain_new, rent, years, money.interest, money.loss)
    needed = _band(years_to_save(own, plain_new, rent, money.years, money.interest, money.loss))
    words = must_be_true(name, money.years, needed, point.gained_years, point.read_at_years)
    more = _band(bottled - _bottled(before, money))
    return ReleaseCost(name, _band(own), _band(released), _band(bottled), more, needed, words, parts)


def _new_make(
    present: Band, change: Band | None, tonne: _Tonne, today: _Tonne, money: _Money
) -> tuple[FloatArray, FloatArray]:
    """A litre of pure alcohol before its cask, of today's bill and of this one [money/LPA]; (members,).

    Where the house states today's from its own books, this one's differs from it by what is computed of both.
    """
    mashed = spread(present, money.share[0])
    changed = mashed if change is None else mashed + spread(change, money.share[1])
    plain, own = mashed * today.with_energy, changed * tonne.with_energy
    stated = money.prices.new_make_cost_per_lpa
    return (plain, own) if stated is None else (np.full_like(plain, stated), np.maximum(stated + own - plain, 0.0))


def _bottled(released: FloatArray, money: _Money) -> FloatArray:
    spirit = cost_per_bottled_litre(released, money.abv_pct, np.asarray(money.bottling_loss))
    return spirit + money.prices.dry_goods_per_L


def _parts(present: float, change: float, tonne: _Tonne, today: _Tonne, money: _Money) -> dict[str, float]:
    """What a litre as bottled is made of, in a run with every input at its middle [money/L]."""
    known, cost_per_lpa = tonne.malt + tonne.processing or 1.0, present + change
    stated = money.prices.new_make_cost_per_lpa
    if stated is None:
        paid = {
            "malt": cost_per_lpa * tonne.malt / known,
            "processing": cost_per_lpa * tonne.processing / known,
            "energy": cost_per_lpa * tonne.energy / known,
        }
    else:
        paid = {NEW_MAKE: stated, CHANGED: cost_per_lpa * tonne.with_energy - present * today.with_energy}
    paid |= {"cask": money.cask}
    parts = parts_of_a_bottled_litre(
        paid, money.rent, money.years, money.interest, money.middle_loss, money.abv_pct, money.bottling_loss
    )
    return parts | {"dry goods": money.prices.dry_goods_per_L}


def spread(band: Band, share: FloatArray) -> FloatArray:
    """Members whose 5, 50 and 95 % are the band's; straight between them and beyond; shape as `share`."""
    low, middle, high = band.low, band.middle, band.high
    below = middle + (share - 0.5) / 0.45 * (middle - low)
    return np.where(share < 0.5, below, middle + (share - 0.5) / 0.45 * (high - middle))


def _band(values: FloatArray) -> Band:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95], method="lower")
    return Band(float(low), float(middle), float(high))


def must_be_true(name: str, years: float, needed: Band, gained: Band | None, read_at: float | None = None) -> str:
    """What must be true for the bill to pay, and how that stands; evidence at another age settles nothing."""
    if needed.high <= 0.0:
        return f"{name} costs no more at release than the bill of today; it need save no year."
    if not np.isfinite(needed.middle):
        return f"{name} never pays by age: plain spirit does not cost as much within {MOST_YEARS:g} years."
    wanted = (
        f"{name} pays by age only if at {years:g} years it truly stands in for plain spirit "
        f"{plain(needed.middle, 1)} years older ({needed_range(needed)})"
    )
    if gained is None:
        return f"{wanted}. Shown: none."
    shown = f"Shown: {plain(gained.middle, 1)} years ({interval(gained, 1)})"
    if read_at is not None and abs(read_at - years) > SAME_AGE:
        return f"{wanted}. {shown}, but of casks of {read_at:g} years, which does not settle it."
    enough = gained.low >= needed.high
    verdict = (
        "which is enough"
        if enough
        else "which is too little"
        if gained.high < needed.low
        else "which does not settle it"
    )
    return f"{wanted}. {shown}, {verdict}."


def needed_range(band: Band) -> str:
    """Low to high of the years needed, the high without end where plain spirit never costs as much."""
    return interval(band, 1) if np.isfinite(band.high) else f"{plain(band.low, 1)} to no end"


def _evidence_notes(enquiry: Enquiry, answers: Mapping[str, ArmAnswer]) -> tuple[str, ...]:
    """What the casks that were read have to do with the casks of this enquiry."""
    if not answers:
        return ()
    read = ", ".join(sorted({f"{answer.wood} at {answer.years:g} years" for answer in answers.values()}))
    kind, years = enquiry.laid_down.kind, enquiry.laid_down.years
    return (
        f"Casks read: {read}. This enquiry fills {kind.name} of {kind.wood}, fill {kind.fill_number}, for {years:g} "
        "years: what was read in other wood, fill or at another age is no evidence for it.",
    )


def _stated_note(rec: Recommendation, prices: ReleasePrices) -> tuple[str, ...]:
    """Whose the cost of new make is, and what this calculation would have put in its place."""
    stated = prices.new_make_cost_per_lpa
    if stated is None:
        return ()
    computed = rec.present.figures["cost_per_lpa"].band
    return (
        f"New make of today's bill stands at {plain(stated, 2)} {rec.currency} a litre of pure alcohol, stated by the "
        f"house from its own books; malt and processing of this calculation come to {with_interval(computed, 2)}. "
        "Other bills differ from it by what is computed of both, energy where it is given.",
    )


def _notes(prices: ReleasePrices, source: str) -> tuple[str, ...]:
    given = (
        ("energy beside processing", prices.energy_per_t),
        ("cask", prices.cask_price),
        ("rent", prices.rent_per_cask_year),
        ("interest", prices.interest_pct_per_year),
        ("dry goods", prices.dry_goods_per_L),
    )
    missing = [title for title, value in given if not value]
    if prices.new_make_cost_per_lpa is not None and given[0][0] in missing:
        missing.remove(given[0][0])  # the books hold it
    notes = (
        f"Prices are the customer's own. Duty, tax and the seller's margin are not in it. Evaporation: {source}; "
        "it and what bottling loses are the same for every bill. The parts of a litre stand at the middle and add up; "
        "the bands come from all runs.",
        "Years that would be needed are arithmetic; they say nothing of whether a spirit reads older.",
    )
    return (*notes, f"Not given and taken as nothing: {', '.join(missing)}.") if missing else notes
