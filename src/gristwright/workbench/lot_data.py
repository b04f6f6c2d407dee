"""A lot of an enquiry as plain values, and what hangs on its name. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms.models import model_to_dict

from gristwright.basics import Address, Standing
from gristwright.records.lot import Analysis, Lot
from gristwright.store.frozen import canonical, sha256
from gristwright.store.models import BillShare, EnquiryRow, LotGroup, OfferedLot


def lot_data(lot: Lot) -> dict[str, Any]:
    """A lot as plain values."""
    analyses = [{**_plain(analysis), "standing": analysis.standing.value} for analysis in lot.analyses]
    return {**_plain(lot), "analyses": analyses}


def _plain(record: Lot | Analysis) -> dict[str, Any]:
    return {**vars(record), "where": record.where.as_data()}


def lot_from(data: Mapping[str, Any]) -> Lot:
    """The lot that `lot_data` wrote."""
    analyses = tuple(
        Analysis(**{**one, "standing": Standing(one["standing"]), "where": Address.of(one["where"])})
        for one in data["analyses"]
    )
    return Lot(**{**data, "analyses": analyses, "where": Address.of(data["where"])})


def fingerprint(lot: Lot) -> str:
    """What a lot is known by when it is asked whether it changed since."""
    return sha256(canonical(lot))


@dataclass(frozen=True)
class Hanging:
    """What hangs on the names of lots: offers, shares of today's bill and groups of an enquiry, read once."""

    currency: str
    offered: Mapping[str, OfferedLot]
    shares: Mapping[str, BillShare]
    groups: Sequence[LotGroup]

    def on(self, name: str) -> dict[str, Any]:
        """What hangs on one name, as plain values."""
        offer, share = self.offered.get(name), self.shares.get(name)
        groups = [_row(group) for group in self.groups if name in group.lot_ids]
        return {"offer": offer and _row(offer), "share": share and _row(share), "groups": groups}

    def parts(self, name: str) -> int:
        """The lot's share of today's bill in 0.01 %."""
        return self.shares[name].parts if name in self.shares else 0

    def told(self, name: str) -> list[str]:
        """What hangs on a lot, a phrase each."""
        left = sum(share.parts for share in self.shares.values()) - self.parts(name)
        return told_of(self.on(name), self.currency, left)


def hanging(enquiry: EnquiryRow) -> Hanging:
    """What hangs on the lots of an enquiry now."""
    offered = {offer.lot_id: offer for offer in enquiry.offered.all()}
    shares = {share.lot_id: share for share in enquiry.shares.all()}
    return Hanging(enquiry.currency, offered, shares, list(enquiry.groups.all()))


def _row(row: OfferedLot | BillShare | LotGroup) -> dict[str, Any]:
    return model_to_dict(row, exclude=("id", "enquiry"))


def taken_off(enquiry: EnquiryRow, name: str) -> None:
    """Take away what hangs on a lot's name; a group of no other lot goes too."""
    for row in (*enquiry.offered.filter(lot_id=name), *enquiry.shares.filter(lot_id=name)):
        row.delete()
    for group in enquiry.groups.all():
        if name not in group.lot_ids:
            continue
        group.lot_ids = [lot for lot in group.lot_ids if lot != name]
        group.save() if group.lot_ids else group.delete()
    if name in enquiry.tried or enquiry.tried_rest == name:
        # The bill being tried is begun anew without a lot that is not there.
        enquiry.tried, enquiry.tried_rest = {}, ""
        enquiry.save(update_fields=["tried", "tried_rest"])


def renamed(enquiry: EnquiryRow, old: str, new: str) -> None:
    """What hangs on a lot's name goes with it to another name."""
    offers, shares = enquiry.offered.filter(lot_id=old), enquiry.shares.filter(lot_id=old)
    rows: list[OfferedLot | BillShare] = [*offers, *shares]
    for row in rows:
        row.lot_id = new
        row.save()
    for group in enquiry.groups.all():
        if old in group.lot_ids:
            group.lot_ids = [new if lot == old else lot for lot in group.lot_ids]
            group.save()
    if old in enquiry.tried or enquiry.tried_rest == old:
        enquiry.tried = {new if lot == old else lot: parts for lot, parts in enquiry.tried.items()}
        enquiry.tried_rest = new if enquiry.tried_rest == old else enquiry.tried_rest
        enquiry.save(update_fields=["tried", "tried_rest"])


def put_on(enquiry: EnquiryRow, name: str, hung: Mapping[str, Any]) -> None:
    """Put back what hung on a lot's name, where nothing else stands there by now."""
    if hung["offer"] and not enquiry.offered.filter(lot_id=name).exists():
        OfferedLot.objects.create(enquiry=enquiry, **hung["offer"])
    if hung["share"] and not enquiry.shares.filter(lot_id=name).exists():
        BillShare.objects.create(enquiry=enquiry, **hung["share"])
    for kept in hung["groups"]:
        _into_group(enquiry, name, kept)


def _into_group(enquiry: EnquiryRow, name: str, kept: Mapping[str, Any]) -> None:
    group = enquiry.groups.filter(name=kept["name"]).first()
    if group is None:
        LotGroup.objects.create(enquiry=enquiry, **{**kept, "lot_ids": [name]})
    elif name not in group.lot_ids:
        there = {*group.lot_ids, name}
        group.lot_ids = [lot for lot in kept["lot_ids"] if lot in there] + [
            lot for lot in group.lot_ids if lot not in kept["lot_ids"]
        ]
        group.save()


def told_of(hung: Mapping[str, Any], currency: str, left: int) -> list[str]:
    """Phrases for what hangs on a lot; `left` is what stays of today's bill without it, in 0.01 %."""
    phrases = []
    if hung["offer"]:
        price = hung["offer"]["price_per_t"]
        ends = f"{hung['offer']['least_parts'] / 100:g} to {hung['offer']['most_parts'] / 100:g} % of a bill"
        cost = "without a price" if price is None else f"at {price:g} {currency} a tonne".replace("  ", " ")
        phrases.append(f"its offer {cost}, {ends}")
    if hung["share"] and hung["share"]["parts"]:
        share = hung["share"]["parts"] / 100
        phrases.append(f"its {share:g} % of today's bill, of which {left / 100:g} % stay")
    for group in hung["groups"]:
        alone = " (no other lot is in it, so it goes too)" if len(group["lot_ids"]) == 1 else ""
        phrases.append(f"its place in the group {group['name']}{alone}")
    return phrases
