"""The bills that stand beside the present one, and what is said for and against each. See docs/casework.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gristwright.casework.bench.bench import GristBench
from gristwright.casework.recommend import words
from gristwright.casework.recommend.asked import unmet
from gristwright.casework.recommend.search import Candidate
from gristwright.records.enquiry import Enquiry
from gristwright.records.results import Offer


@dataclass(frozen=True)
class BesideToday:
    """The bills that stand beside the present one: asked about, offered, at the ends of the ranges."""

    asked: tuple[Offer, ...]
    offers: tuple[Offer, ...]
    shown: tuple[Offer, ...]

    @property
    def all(self) -> tuple[Offer, ...]:
        """All of them in the order in which they are told."""
        return (*self.asked, *self.offers, *self.shown)

    @property
    def to_try(self) -> Offer | None:
        """The bill to be tried first: the first asked about that can be offered, else the offer in the middle."""
        good = [one for one in self.asked if one.sound and not one.unmet and one.changes]
        return next(iter(good), self.offers[len(self.offers) // 2] if self.offers else None)


def unasked(candidates: Sequence[Candidate], enquiry: Enquiry) -> list[Candidate]:
    """The candidates without those that were asked about, which have an answer of their own."""
    return [one for one in candidates if not any(one.bill.same_grist(bill) for bill in enquiry.asked)]


def asked_about(bench: GristBench, enquiry: Enquiry, candidate: Candidate, offer: Offer) -> Offer:
    """A bill asked about, with the demands that it fails and what speaks for or against it."""
    failed = unmet(bench, enquiry, candidate.bill)
    today = candidate.bill.same_grist(enquiry.present)
    return replace(offer, unmet=failed, reason=words.why_asked(candidate, failed, today))


def at_an_end(bench: GristBench, enquiry: Enquiry, candidate: Candidate, offer: Offer) -> Offer:
    """A bill at the end of a range, with the demands that it fails and what speaks against it."""
    failed = unmet(bench, enquiry, candidate.bill)
    return replace(offer, unmet=failed, reason=words.why_shown(candidate, failed))
