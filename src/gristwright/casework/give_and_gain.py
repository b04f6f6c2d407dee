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
    limits,
    years_to_save,
)
from gristwright.quantities.shown import interval, plain
from gristwright.records.ageing import ArmAnswer
from gristwright.records.enquiry import Enquiry
from gristwright.records.give_gain import GiveGain, GiveGainPoint, ReleaseCost, ReleasePrices
from gristwright.records.results import Offer, Recommendation

NONE_SHOWN = "none shown"
MEMBERS, SEED = 2048, 1
BOTTLING_LOSS = 0.01  # common practice; the user's own figure belongs in dry goods


@dataclass(frozen=True)
class _Money:
    """What every bill of one enquiry shares; arrays (members,)."""

    prices: ReleasePrices
    years: float
    abv_pct: float
    cask: float  # money/LPA filled
    rent: float  # money a year for an LPA filled
    loss: FloatArray
    share: FloatArray  # (2, members), where each member stands in the band of today's cost and of a change


def give_and_gain(
    rec: Recommendation,
    enquiry: Enquiry,
    prices: ReleasePrices | None = None,
    answers: Mapping[str, ArmAnswer] | None = None,
) -> GiveGain:
    """Every offer on the plane, with cost at release from the user's own prices.

    `answers` maps the name of an offered bill to the arm that was aged from it; an offer without one shows no gain.
    Raises Refused when a price is none.
    """
    prices = prices or ReleasePrices()
    given = {"cask_price": prices.cask_price, "rent_per_cask_year": prices.rent_per_cask_year}
    given |= {"dry_goods": prices.bottle_dry_goods_per_L, "fills": prices.fills}
    refuse_if_any(limits(enquiry.cask.years, prices.interest, prices.loss_low, enquiry.cask.bottle_abv_pct, **given))
    answers = answers or {}
    points = tuple(_point(offer, answers.get(offer.result.bill.name)) for offer in rec.offers)
    money = _money(enquiry, prices)
    present = rec.present.figures["cost_per_lpa"].band
    costs = [_cost(rec.present.bill.name, present, None, None, money)]
    costs += [
        _cost(
            offer.result.bill.name,
            present,
            offer.changes["cost_per_lpa"].band,
            point.gained_years,
            money,
            point.read_at_years,
        )
        for offer, point in zip(rec.offers, points, strict=True)
    ]
    return GiveGain(points, tuple(costs), money.years, rec.currency, _notes(prices, money))


def _point(offer: Offer, answer: ArmAnswer | None) -> GiveGainPoint:
    change = offer.changes["lpa_per_t"].band
    given_up = Band(-change.high, -change.middle, -change.low)
    gained = answer.gained_years if answer else None
    if gained is not None:
        words = f"{plain(gained.middle, 1)} years ({interval(gained, 1)})"
    else:
        words = f"{NONE_SHOWN}: {answer.sentence}" if answer else f"{NONE_SHOWN}: no casks of this bill were read"
    return GiveGainPoint(offer.result.bill.name, given_up, gained, words, answer.years if answer else None)


def _money(enquiry: Enquiry, prices: ReleasePrices) -> _Money:
    plan = enquiry.cask
    filled = plan.kind.capacity_L * plan.entry_abv_pct / 100.0
    cask = (
        cask_cost_per_lpa(prices.cask_price, prices.fills, plan.kind.capacity_L, plan.entry_abv_pct)
        if prices.cask_price
        else 0.0
    )
    share = np.random.default_rng([SEED, 2]).random((3, MEMBERS))
    loss = prices.loss_low + (prices.loss_high - prices.loss_low) * share[0]
    return _Money(prices, plan.years, plan.bottle_abv_pct, cask, prices.rent_per_cask_year / filled, loss, share[1:])


def _cost(
    name: str, present: Band, change: Band | None, gained: Band | None, money: _Money, read_at: float | None = None
) -> ReleaseCost:
    """One bill at release. The change carries its own band: bills differ by less than either is known."""
    plain_new = spread(present, money.share[0]) + money.cask
    own = plain_new if change is None else plain_new + spread(change, money.share[1])
    rent, prices = np.full_like(own, money.rent), money.prices
    released = cost_at_release_per_lpa(own, rent, np.asarray(money.years), prices.interest, money.loss)
    bottled = _bottled(released, money)
    if change is None:
        words = "The bill of today: what every other is measured against."
        return ReleaseCost(name, _band(own), _band(released), _band(bottled), None, None, words)
    before = cost_at_release_per_lpa(plain_new, rent, np.asarray(money.years), prices.interest, money.loss)
    needed = _band(years_to_save(own, plain_new, rent, money.years, prices.interest, money.loss))
    words = must_be_true(name, money.years, needed, gained, read_at)
    return ReleaseCost(
        name, _band(own), _band(released), _band(bottled), _band(bottled - _bottled(before, money)), needed, words
    )


def _bottled(released: FloatArray, money: _Money) -> FloatArray:
    return (
        cost_per_bottled_litre(released, money.abv_pct, np.asarray(BOTTLING_LOSS)) + money.prices.bottle_dry_goods_per_L
    )


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
        f"{plain(needed.middle, 1)} years older ({_range(needed)})"
    )
    if gained is None:
        return f"{wanted}. Shown: none."
    shown = f"Shown: {plain(gained.middle, 1)} years ({interval(gained, 1)})"
    if read_at is not None and abs(read_at - years) > 0.25:
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


def _range(band: Band) -> str:
    return interval(band, 1) if np.isfinite(band.high) else f"{plain(band.low, 1)} to no end"


def _notes(prices: ReleasePrices, money: _Money) -> tuple[str, ...]:
    missing = [
        title
        for title, value in (
            ("cask", prices.cask_price),
            ("rent", prices.rent_per_cask_year),
            ("interest", prices.interest),
        )
        if not value
    ]
    notes = [
        "Prices are the user's own. Cost is malt, processing, cask, rent and interest over what evaporation and "
        "bottling leave; duty, "
        "labour of bottling and the seller's margin are not in it.",
        f"Evaporation {100 * prices.loss_low:g} to {100 * prices.loss_high:g} % of the alcohol a year, bottling "
        f"{100 * BOTTLING_LOSS:g} %, the same for every bill.",
        "Years needed are arithmetic; they say nothing of whether a spirit reads older. An age on a label is true "
        "time in wood.",
    ]
    return (*notes, f"Not given and taken as nothing: {', '.join(missing)}.") if missing else tuple(notes)


def gains(answers: Sequence[ArmAnswer], bills: Mapping[str, str]) -> dict[str, ArmAnswer]:
    """Answers by the name of the bill whose spirit the arm held; `bills` maps arm to bill."""
    return {bills[answer.arm]: answer for answer in answers if answer.arm in bills}
