"""What a bill may be before anything is computed. See docs/grist.md."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping

from gristwright.basics import Address, Problem
from gristwright.records.bill import WHOLE, Bill
from gristwright.records.lot import Material
from gristwright.reference.spelling import one_of
from gristwright.stages.grist.board_floors import at


def bill_problems(bill: Bill, lot_ids: Collection[str], where: Address) -> list[Problem]:
    """Shares that do not add to 100 %, lots not given, lots named twice, shares outside 0..100 %."""
    problems = []
    total = sum(share.parts for share in bill.shares)
    if total != WHOLE:
        problems.append(_total(total, where.to("shares")))
    for lot_id, times in Counter(share.lot_id for share in bill.shares).items():
        place = where.to("shares", lot_id)
        if times > 1:
            problems.append(Problem(place, f"lot {lot_id!r} is named {times} times.", "Give it one line."))
        if lot_id not in lot_ids:
            way_out = one_of(lot_id, lot_ids, "Add it to the lots, or use one of") if lot_ids else "Add it to the lots."
            problems.append(Problem(place, f"lot {lot_id!r} has no certificate.", way_out))
    for share in bill.shares:
        if not 0 < share.parts <= WHOLE:
            problems.append(
                Problem(
                    where.to("shares", share.lot_id),
                    f"a share of {share.pct:g} % is not above 0 and up to 100 %.",
                    "Leave the lot out or correct the share.",
                )
            )
    return problems


def _total(total: int, where: Address) -> Problem:
    """Shares that do not add up: none at all, fractions in place of per cents, or too few or too many."""
    if total == 0:
        return Problem(where, "no lot has a share.", "Write a line for each lot, such as PD-1 = 100.")
    what = f"the shares add to {total / 100:g} %, not 100 %."
    if total == WHOLE // 100:
        return Problem(where, what, "They are written in per cent: 85 for 0.85.")
    return Problem(
        where,
        what,
        f"{'Take' if total > WHOLE else 'Give'} {abs(WHOLE - total) / 100:g} %{' away' if total > WHOLE else ' more'}.",
    )


def husk_problems(bill: Bill, materials: Mapping[str, Material], where: Address) -> list[Problem]:
    """More husks than a bed has a use for; `materials` by lot, those of other lots are passed over."""
    husks = [lot_id for lot_id, material in materials.items() if material.husk and bill.parts_of(lot_id)]
    parts, most = sum(bill.parts_of(lot_id) for lot_id in husks), round(WHOLE * at("husk_most"))
    if parts <= most:
        return []
    what = f"{parts / 100:g} % of husks ({', '.join(sorted(husks))}) is above {most / 100:g} %."
    way_out = "They open a bed and give no alcohol: take 1 to 5 %, and grain in their place."
    return [Problem(where.to("shares"), what, way_out)]


def sour_problems(bill: Bill, materials: Mapping[str, Material], where: Address) -> list[Problem]:
    """A warning of malt sour enough to move the mash, whose pH is then to be measured; `materials` by lot."""
    sour = [lot_id for lot_id, one in materials.items() if bill.parts_of(lot_id) and _is_sour(one)]
    what = f"{', '.join(sorted(sour))} lowers the pH of the mash, and how far is not computed."
    return [Problem(where.to("shares"), what, "Measure it and state mash_pH.", warning=True)] if sour else []


def _is_sour(material: Material) -> bool:
    wort = material.typical.get("wort_pH")
    return wort is not None and wort.middle < at("sour_malt_pH")
