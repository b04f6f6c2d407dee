"""Rules on shares of the mash: exact on integers of 0.01 %, on both bases, and screened over many bills at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from gristwright.basics import BoolArray, Verdict, refuse_if_any
from gristwright.records.bill import WHOLE
from gristwright.records.law import GristPart, ShareFound
from gristwright.rules.law.book import Book, Category, Rule, standard_book
from gristwright.rules.law.counted import counted
from gristwright.rules.law.finding import OPERATORS, Finding, holds, settled
from gristwright.rules.law.limits import key_problems, traits_problems
from gristwright.rules.law.words import Words


class Traits(Protocol):
    """What a share rule asks of a lot or a part of the mash."""

    @property
    def species(self) -> str:
        """The cereal."""

    @property
    def malted(self) -> bool | None:
        """Whether it was malted."""

    @property
    def form(self) -> str:
        """Whole, flour of whole, fraction or unknown."""

    @property
    def process(self) -> str:
        """None, caramel, roast, smoked or unknown."""


@dataclass(frozen=True)
class ShareRule:
    """One linear rule: the summed share of the parts that `where` selects, against a limit [0.01 %]."""

    category: str
    rule_id: str
    where: Mapping[str, Any]
    op: str
    limit_parts: int


def limit_parts(rule: Rule) -> int:
    """The limit of a share rule as an integer of 0.01 %."""
    return int(Decimal(rule.data["limit_pct"]) * 100)


def field_fits(part: Traits, name: str, wanted: Any, words: Words) -> tuple[bool, bool]:
    """Whether one field of a part (surely, possibly) is what a selector wants."""
    field, negated = name.removesuffix("_not"), name.endswith("_not")
    if field == "malted":
        return (part.malted is wanted, part.malted is wanted or part.malted is None)
    value = words.plain(field, getattr(part, field))
    if value == "unknown":
        return (False, True)
    fits = (value in words.named(wanted)) is not negated
    return (fits, fits)


def part_fits(part: Traits, where: Mapping[str, Any], words: Words) -> tuple[bool, bool]:
    """Whether a part (surely, possibly) is among those a selector selects; an empty selector selects all."""
    fits = [field_fits(part, name, wanted, words) for name, wanted in where.items()]
    return (all(sure for sure, _ in fits), all(maybe for _, maybe in fits))


def summed(masses: Iterable[int], fits: Iterable[tuple[bool, bool]]) -> tuple[int, int]:
    """Least and most mass selected."""
    pairs = list(zip(masses, fits, strict=True))
    return (sum(mass for mass, (sure, _) in pairs if sure), sum(mass for mass, (_, maybe) in pairs if maybe))


def verdict_on(masses: Sequence[int], fits: Sequence[tuple[bool, bool]], op: str, limit: int) -> Verdict:
    """A share rule on one basis, in integers."""
    least, most = summed(masses, fits)
    return settled(*holds(op, least * WHOLE, most * WHOLE, limit * sum(masses)))


def of_both(as_is: Verdict, dry: Verdict) -> Verdict:
    """The verdict of the two bases together."""
    if as_is is dry:
        return as_is
    return Verdict.UNKNOWN if Verdict.UNKNOWN in (as_is, dry) else Verdict.DEPENDS


def pct_pair(masses: Sequence[int], fits: Sequence[tuple[bool, bool]]) -> tuple[float, float]:
    """Least and most share selected [%]; the same twice where every trait is known."""
    least, most = (100 * mass / sum(masses) for mass in summed(masses, fits))
    return least, most


def pct_text(pair: tuple[float, float]) -> str:
    """The share selected, as read: one figure, or least to most where traits are not known."""
    least, most = pair
    return f"{least:.2f} %" if least == most else f"{least:.2f} to {most:.2f} %"


def dry_reach_pct(grist: Sequence[GristPart], fits: Sequence[tuple[bool, bool]], words: Words) -> tuple[float, float]:
    """Lowest and highest dry share [%] of the parts surely selected that unstated moistures could give."""
    names = {True: "malted", False: "unmalted", None: "unknown"}
    ranges = [tuple(float(x) for x in words.moisture_pct[names[part.malted]]) for part in grist]

    def share(wet_selected: int) -> float:
        dry = [part.parts_asis * (100 - r[wet_selected if sure else 1 - wet_selected])
               for part, r, (sure, _) in zip(grist, ranges, fits, strict=True)]  # fmt: skip
        return 100 * sum(mass for mass, (sure, _) in zip(dry, fits, strict=True) if sure) / sum(dry)

    return (share(1), share(0))


def moisture_warning(rule: Rule, found: ShareFound, as_is: Verdict) -> tuple[str, ...]:
    """A sentence when moistures that were not stated could move the share across the limit."""
    reach = found.dry_reach_pct
    if reach is None or all(settled(*holds(found.op, dry, dry, found.limit_pct)) is as_is for dry in reach):
        return ()
    return (
        f"{rule.id}: {found.counted} judged as weighed, no dry shares given; on dry basis the share could lie "
        f"between {reach[0]:.1f} and {reach[1]:.1f} %, on the other side of {found.limit_pct:g} %. Give the moistures.",
    )


def share_finding(rule: Rule, grist: Sequence[GristPart], words: Words) -> Finding:
    """A share rule on the mass as it is and, where given, on the dry mass."""
    fits = [part_fits(part, rule.data["where"], words) for part in grist]
    op, limit = rule.data["op"], limit_parts(rule)
    masses = [part.parts_asis for part in grist]
    dry_masses = [part.parts_dry for part in grist if part.parts_dry is not None]
    known = len(dry_masses) == len(grist)
    found = ShareFound(
        counted=counted(rule.data["where"]),
        asis_pct=pct_pair(masses, fits),
        dry_pct=pct_pair(dry_masses, fits) if known else None,
        dry_reach_pct=None if known else dry_reach_pct(grist, fits, words),
        op=op,
        limit_pct=limit / 100,
    )
    as_is = verdict_on(masses, fits, op, limit)
    if not known:
        warnings = () if as_is is Verdict.UNKNOWN else moisture_warning(rule, found, as_is)
        asks = (("grain", ""),) if as_is is Verdict.UNKNOWN else (("moisture", ""),) if warnings else ()
        return Finding(as_is, share_text(found), warnings, asks, found, basis_risk=bool(warnings))
    verdict = of_both(as_is, verdict_on(dry_masses, fits, op, limit))
    lacking = {Verdict.UNKNOWN: (("grain", ""),), Verdict.DEPENDS: (("basis", ""),)}
    risk = verdict is Verdict.DEPENDS
    return Finding(verdict, share_text(found), asks=lacking.get(verdict, ()), share=found, basis_risk=risk)


def share_text(found: ShareFound) -> str:
    """What was counted, how much of it there is on both bases, and what is asked."""
    as_is = pct_text(found.asis_pct)
    dry = "" if found.dry_pct is None else pct_text(found.dry_pct)
    both = f" and {dry} of the dry grist" if dry and dry != as_is else " and dry" if dry else ""
    return f"{found.counted} {as_is} of the grist as weighed{both}, {OPERATORS[found.op]} {found.limit_pct:g} % asked"


def linear_rules(category: Category, on: dt.date) -> tuple[Rule, ...]:
    """The share rules of a category in force on a day."""
    return tuple(rule for rule in category.rules if rule.kind == "share" and rule.in_force(on))


def share_rules(category_key: str, on: dt.date | None = None, book: Book | None = None) -> tuple[ShareRule, ...]:
    """The linear rules of a category as data; `on` is the day its text was read when not given.

    Raises Refused for a key that is not in the book.
    """
    book = book or standard_book()
    refuse_if_any(key_problems([category_key], book.categories))
    category = book.categories[category_key]
    rules = linear_rules(category, on or category.read_on)
    return tuple(ShareRule(category.key, r.id, r.data["where"], r.data["op"], limit_parts(r)) for r in rules)


def screened(rule: ShareRule, parts: NDArray[np.int64], traits: Sequence[Traits], words: Words) -> BoolArray:
    """One share rule over all bills as an integer inequality; shape (bills,)."""
    fits = np.array([part_fits(lot, rule.where, words) for lot in traits], dtype=np.int64).reshape(-1, 2)
    selected = parts @ fits  # (bills, 2): surely and possibly selected
    sure, _ = holds(rule.op, selected[:, 0] * WHOLE, selected[:, 1] * WHOLE, rule.limit_parts * parts.sum(axis=1))
    return np.asarray(sure, dtype=np.bool_)


def screen(
    category_keys: Iterable[str],
    parts: NDArray[np.integer[Any]],
    traits: Sequence[Traits],
    on: dt.date | None = None,
    book: Book | None = None,
) -> dict[str, BoolArray]:
    """Which bills meet the share rules of each category, as-is basis; arrays of shape (bills,).

    `parts` has shape (bills, lots) in 0.01 %, `traits` one entry per lot. A trait that is not known never passes. Only
    the share rules are looked at: a bill that is True here still has the other rules before it. Raises Refused.
    """
    book, keys = book or standard_book(), tuple(category_keys)
    whole = np.asarray(parts).astype(np.int64)
    refuse_if_any(key_problems(keys, book.categories) + traits_problems(traits, whole, book.words))
    by_category = {}
    for key in keys:
        masks = [screened(rule, whole, traits, book.words) for rule in share_rules(key, on, book)]
        by_category[key] = np.logical_and.reduce([np.ones(len(whole), dtype=np.bool_), *masks])
    return by_category
