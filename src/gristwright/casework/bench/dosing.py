"""The bills of a series of doses, and what of one may not be asked. See docs/ageing.md."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from gristwright.basics import Problem, at
from gristwright.records.bill import WHOLE, Bill, Share
from gristwright.records.dose import DoseAsked
from gristwright.records.enquiry import SpiritEnquiry

HERE = at("enquiry", "dose")


def dosed_lots(enquiry: SpiritEnquiry, asked: DoseAsked) -> tuple[str, ...]:
    """The lots that are dosed: one by its name, or those of a group."""
    group = next((one.lot_ids for one in enquiry.groups if one.name == asked.of), None)
    return tuple(group) if group is not None else (asked.of,)


def dose_problems(enquiry: SpiritEnquiry) -> list[Problem]:
    """Every fault of the dose that is asked, none where none is."""
    asked = enquiry.dose
    if asked is None:
        return []
    if enquiry.brews:
        return [Problem(HERE, "is asked of spirit and not of beer.", "Take it out.")]
    return [*_lots(enquiry, asked), *_shares(enquiry, asked), *_ages(asked)]


def _lots(enquiry: SpiritEnquiry, asked: DoseAsked) -> Iterator[Problem]:
    offered = {one.lot_id for one in enquiry.offered}
    lots = dosed_lots(enquiry, asked)
    if missing := [lot for lot in lots if lot not in offered]:
        known = ", ".join([*sorted(offered), *(one.name for one in enquiry.groups)])
        what = f"{', '.join(missing)!r} is no lot on offer and no group."
        yield Problem(HERE.to("of"), what, f"Name one of: {known}.")
    today = {share.lot_id for share in enquiry.present.shares if share.parts}
    if asked.instead_of and asked.instead_of not in today:
        what = f"{asked.instead_of!r} is no lot of today's bill."
        yield Problem(HERE.to("instead_of"), what, f"Name one of: {', '.join(sorted(today))}; or leave it empty.")
    elif not _gives(enquiry, asked):
        yield Problem(HERE.to("of"), "today's bill has nothing else that the dose could take the place of.",
                      "Dose another lot.")  # fmt: skip


def _shares(enquiry: SpiritEnquiry, asked: DoseAsked) -> Iterator[Problem]:
    if not asked.from_parts <= asked.to_parts:
        yield Problem(HERE.to("from_pct"), "is above to_pct.", "Exchange them.")
    if not asked.from_parts > 0:
        yield Problem(HERE.to("from_pct"), "no dose is today's bill, which stands beside every other anyway.",
                      "Begin above 0 %.")  # fmt: skip
    lots = dosed_lots(enquiry, asked)
    most = {one.lot_id: one.most_parts * len(lots) for one in enquiry.offered if one.lot_id in lots}
    for group in enquiry.groups:
        if set(lots) <= set(group.lot_ids):
            most[group.name] = group.most_parts
    for name, parts in most.items():
        if asked.to_parts > parts:
            what = f"{asked.to_parts / 100:g} % is more than the {parts / 100:g} % that may be taken of {name}."
            yield Problem(HERE.to("to_pct"), what, "Dose less, or widen its range.")
    given = sum(share.parts for share in _gives(enquiry, asked))
    had = sum(enquiry.present.parts_of(lot) for lot in lots)
    if given and asked.to_parts > given + had:
        what = f"{asked.to_parts / 100:g} % is more than the {(given + had) / 100:g} % that may give way."
        yield Problem(HERE.to("to_pct"), what, "Dose less, or let all other lots give way.")


def _ages(asked: DoseAsked) -> Iterator[Problem]:
    low, high, rungs = asked.reads_low, asked.reads_high, asked.ladder_years
    if not asked.years < low <= high:
        what = f"a spirit of {asked.years:g} years that reads like {low:g} to {high:g} reads no older."
        yield Problem(HERE.to("reads_low"), what, "Give ages above the years that it lies, the lower first.")
    if len(set(rungs)) < 3:
        yield Problem(HERE.to("ladder_years"), f"{len(set(rungs))} ages are no ladder.", "Give at least three.")
    elif not min(rungs) <= low <= high <= max(rungs):
        what = f"{low:g} to {high:g} years lie outside {min(rungs):g} to {max(rungs):g}."
        yield Problem(HERE.to("ladder_years"), what, "Nothing is read beyond the ladder: add older references.")


def _gives(enquiry: SpiritEnquiry, asked: DoseAsked) -> list[Share]:
    """The shares of today's bill that give way."""
    lots = dosed_lots(enquiry, asked)
    shares = [share for share in enquiry.present.shares if share.parts and share.lot_id not in lots]
    return [share for share in shares if asked.instead_of in ("", share.lot_id)]


def dose_bills(enquiry: SpiritEnquiry, asked: DoseAsked) -> list[tuple[float, Bill]]:
    """Every dose [%] with its bill: the lots dosed in equal parts, what gives way by its own shares."""
    lots, gives = dosed_lots(enquiry, asked), _gives(enquiry, asked)
    doses = np.linspace(asked.from_parts, asked.to_parts, asked.steps if asked.from_parts < asked.to_parts else 1)
    bills = []
    for parts in dict.fromkeys(round(float(dose) / 50.0) * 50 for dose in doses):
        held = min(max(parts, asked.from_parts), asked.to_parts)
        bills.append((held / 100.0, _bill(enquiry.present, lots, gives, held)))
    return bills


def _bill(present: Bill, lots: tuple[str, ...], gives: list[Share], parts: int) -> Bill:
    dosed = dict(zip(lots, _split(parts, [1.0] * len(lots)), strict=True))
    stays = {share.lot_id: share.parts for share in present.shares if share.lot_id not in lots}
    left = WHOLE - parts - (sum(stays.values()) - sum(share.parts for share in gives))
    changed = dict(zip((s.lot_id for s in gives), _split(left, [float(s.parts) for s in gives]), strict=True))
    shares = {**stays, **changed, **dosed}
    name = f"{parts / 100:g} % {' and '.join(lots)}"
    return Bill(name, tuple(Share(lot, part) for lot, part in shares.items() if part))


def _split(parts: int, weights: list[float]) -> list[int]:
    """Whole parts by weight; the first takes what rounding leaves."""
    split = [int(parts * weight / sum(weights)) for weight in weights]
    split[0] += parts - sum(split)
    return split
