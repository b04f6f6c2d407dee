"""What hangs on the lots of an enquiry: offers, shares of today's bill, places in groups. See docs/desk.md."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms.models import model_to_dict

from gristwright.store.asked import called
from gristwright.store.library import remove_lot
from gristwright.store.models import BillShare, EnquiryRow, LotGroup, NamedLot, OfferedLot


@dataclass(frozen=True)
class Hanging:
    """What hangs on the lots of an enquiry, by the keys of the lots, read once."""

    currency: str
    offered: Mapping[str, OfferedLot]
    shares: Mapping[str, BillShare]
    groups: Sequence[LotGroup]
    asked: Sequence[Mapping[str, Any]]

    def on(self, key: str) -> dict[str, Any]:
        """What hangs on one lot, as plain values."""
        offer, share = self.offered.get(key), self.shares.get(key)
        groups = [_row(group) for group in self.groups if key in group.keys]
        return {
            "offer": offer and _row(offer),
            "share": share and _row(share),
            "groups": groups,
            "asked": self.held(key),
        }

    def held(self, key: str) -> list[list[Any]]:
        """The bills asked about that hold a lot: the name of each, and its part in 0.01 %."""
        return [[one["called"], one["parts"][key]] for one in self.asked if key in one["parts"]]

    def parts(self, key: str) -> int:
        """The lot's share of today's bill in 0.01 %."""
        return self.shares[key].parts if key in self.shares else 0

    def told(self, key: str) -> list[str]:
        """What hangs on a lot, a phrase each."""
        left = sum(share.parts for share in self.shares.values()) - self.parts(key)
        return told_of(self.on(key), self.currency, left)


def hanging(enquiry: EnquiryRow) -> Hanging:
    """What hangs on the lots of an enquiry now."""
    offered = {str(offer.named_id): offer for offer in enquiry.offered.all()}
    shares = {str(share.named_id): share for share in enquiry.shares.all()}
    return Hanging(enquiry.currency, offered, shares, list(enquiry.groups.all()), called(enquiry))


def _row(row: OfferedLot | BillShare | LotGroup) -> dict[str, Any]:
    return model_to_dict(row, exclude=("id", "enquiry", "named"))


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
        phrases.append(f"its {share:g} % of today's bill; the rest of it adds to {left / 100:g} %")
    for group in hung["groups"]:
        alone = " (no other lot is in it, so it goes too)" if len(group["keys"]) == 1 else ""
        phrases.append(f"its place in the group {group['name']}{alone}")
    for name, parts in hung.get("asked", ()):
        phrases.append(f"its {parts / 100:g} % of “{name}”, which is asked about and cannot be answered without it")
    return phrases


def delete_lot(enquiry: EnquiryRow, named: NamedLot) -> None:
    """A lot and what hangs on it deleted; a group of no other lot goes too, and the bill being tried is begun anew."""
    alone = [group for group in enquiry.groups.all() if group.keys == [str(named.pk)]]
    for row in (*enquiry.offered.filter(named=named), *enquiry.shares.filter(named=named), *alone):
        row.delete()
    if named.name in enquiry.tried or enquiry.tried_rest == named.name:
        enquiry.tried, enquiry.tried_rest = {}, ""
        enquiry.save(update_fields=["tried", "tried_rest"])
    remove_lot(enquiry, named.name)


def put_back(named: NamedLot, hung: Mapping[str, Any]) -> None:
    """Put back what hung on a lot that was deleted."""
    enquiry = named.enquiry
    if hung["offer"]:
        OfferedLot.objects.create(enquiry=enquiry, named=named, **hung["offer"])
    if hung["share"]:
        BillShare.objects.create(enquiry=enquiry, named=named, **hung["share"])
    for kept in hung["groups"]:
        _into_group(enquiry, str(named.pk), kept)


def _into_group(enquiry: EnquiryRow, key: str, kept: Mapping[str, Any]) -> None:
    group = enquiry.groups.filter(name=kept["name"]).first()
    if group is None:
        LotGroup.objects.create(enquiry=enquiry, **{**kept, "keys": [key]})
        return
    there = {*group.keys, key}
    group.keys = [one for one in kept["keys"] if one in there] + [one for one in group.keys if one not in kept["keys"]]
    group.save(update_fields=["keys"])


def call(named: NamedLot, name: str) -> None:
    """Give a lot another name; the bill being tried knows it by that too."""
    old, enquiry = named.name, named.enquiry
    named.name = name
    named.save(update_fields=["name", "version"])
    if old in enquiry.tried or enquiry.tried_rest == old:
        enquiry.tried = {name if lot == old else lot: parts for lot, parts in enquiry.tried.items()}
        enquiry.tried_rest = name if enquiry.tried_rest == old else enquiry.tried_rest
        enquiry.save(update_fields=["tried", "tried_rest"])
