"""Rules on wood: which casks, and how long in those that count."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from gristwright.basics import Verdict
from gristwright.records.law import CaskStay, WhiskyFacts
from gristwright.reference.woods import accepted, not_known, wood_of
from gristwright.rules.law.book import Rule
from gristwright.rules.law.calendar import is_aged, reached_on
from gristwright.rules.law.finding import Finding, exact, settled
from gristwright.rules.law.words import Words

UNKNOWN = "unknown"
NO_CASKS_KNOWN = Finding(Verdict.UNKNOWN, "the casks are not known", asks=(("stays", ""),))


def all_of(states: list[tuple[bool, bool]]) -> tuple[bool, bool]:
    """Whether all of several things (surely, possibly) hold."""
    return (all(sure for sure, _ in states), all(maybe for _, maybe in states))


def same(value: bool | None, wanted: bool) -> tuple[bool, bool]:
    """Whether a yes or no (surely, possibly) is the one wanted."""
    return (value is wanted, value is wanted or value is None)


def wood_fits(wood: str | None, wanted: Any, words: Words, negated: bool) -> tuple[bool, bool]:
    """Whether the wood (surely, possibly) is among, or not among, the woods of a rule; any name of a wood will do."""
    asked = {wood_of(word) or word for word in words.named(wanted)}
    name = wood_of(wood or "") or wood
    if name not in {*asked, *accepted()}:
        return (False, True)
    fits = (name in asked) is not negated
    return (fits, fits)


def strange_woods(stays: Iterable[CaskStay], asked: Mapping[str, Any], words: Words) -> str:
    """The words for wood that nobody knows, behind a reason with what the rule accepts; nothing where none is asked."""
    if not {"woods", "woods_not"} & set(asked):
        return ""
    excluded = words.named(asked.get("woods_not", ()))
    wanted = words.named(asked.get("woods", [name for name in accepted() if name not in excluded]))
    given = dict.fromkeys(stay.wood for stay in stays if stay.wood and stay.wood != UNKNOWN)
    strange = [wood for wood in given if wood_fits(wood, (*wanted, *excluded), words, False) == (False, True)]
    return "".join(f"; {not_known(wood, wanted)}" for wood in strange)


def small_enough(capacity_L: float | None, most: Any) -> tuple[bool, bool]:
    """Whether a cask (surely, possibly) holds no more than a limit [L]."""
    if capacity_L is None:
        return (False, True)
    fits = exact(capacity_L) <= Decimal(most)
    return (fits, fits)


def stay_fits(stay: CaskStay, asked: Mapping[str, Any], words: Words) -> tuple[bool, bool]:
    """Whether a stay (surely, possibly) is in such a cask as a rule asks."""
    states = {
        "woods": lambda wanted: wood_fits(stay.wood, wanted, words, False),
        "woods_not": lambda wanted: wood_fits(stay.wood, wanted, words, True),
        "capacity_most_L": lambda wanted: small_enough(stay.capacity_L, wanted),
        "new": lambda wanted: same(stay.new, wanted),
        "charred": lambda wanted: same(stay.charred, wanted),
    }
    return all_of([states[name](wanted) for name, wanted in asked.items()])


def stays_finding(rule: Rule, facts: WhiskyFacts, words: Words) -> Finding:
    """Every, any or no stay in casks of a kind; `none_ok` lets spirit that saw no cask pass."""
    if facts.stays is None:
        return NO_CASKS_KNOWN
    unclear = words.named(rule.data.get("unclear_woods", ()))
    fits = [
        (False, True) if unclear and wood_fits(stay.wood, unclear, words, False)[0] else
        stay_fits(stay, rule.data["casks"], words)
        for stay in facts.stays
    ]  # fmt: skip
    if rule.data["which"] == "any":
        verdict = settled(any(sure for sure, _ in fits), any(maybe for _, maybe in fits))
    elif not fits:
        verdict = Verdict.PASS if rule.data.get("none_ok", False) else Verdict.FAIL
    elif rule.data["which"] == "every":
        verdict = settled(*all_of(fits))
    else:
        verdict = settled(not any(maybe for _, maybe in fits), not any(sure for sure, _ in fits))
    casks = "; ".join(map(cask_text, facts.stays)) or "none"
    reason = f"the casks are: {casks}{strange_woods(facts.stays, rule.data['casks'], words)}"
    if verdict is not Verdict.UNKNOWN:
        return Finding(verdict, reason)
    asks = open_facts(facts.stays, rule.data["casks"], words)
    return Finding(verdict, reason, asks=asks or (("text", ""),))


def open_facts(stays: Sequence[CaskStay], asked: Mapping[str, Any], words: Words) -> tuple[tuple[str, str], ...]:
    """What is not known of casks that may be such as a rule asks, with a value that would do."""
    found = []
    for number, stay in enumerate(stays):
        states = {name: stay_fits(stay, {name: wanted}, words) for name, wanted in asked.items()}
        if all(maybe for _, maybe in states.values()):
            found += [_open(number, name, asked, words) for name, (sure, _) in states.items() if not sure]
    return tuple(found)


def _open(number: int, name: str, asked: Mapping[str, Any], words: Words) -> tuple[str, str]:
    wanted = asked[name]
    woods = words.named(wanted) if name == "woods" else ("oak",)
    value = str(wanted).lower() if isinstance(wanted, bool) else woods[0]
    field = {"woods": "wood", "woods_not": "wood", "capacity_most_L": "capacity_L"}.get(name, name)
    return (f"stay.{field}#{number}" if number else f"cask.{field}", value)


def cask_text(stay: CaskStay) -> str:
    """A cask as read."""
    size = "unknown capacity" if stay.capacity_L is None else f"{stay.capacity_L:g} L"
    new = {True: "new", False: "used", None: "new or used"}[stay.new]
    char = {True: "charred", False: "not charred", None: "charred or not"}[stay.charred]
    return f"{stay.wood or 'unknown wood'}, {size}, {new}, {char}"


def dated(stays: list[CaskStay]) -> list[tuple[dt.date, dt.date]]:
    """The spans of stays whose two dates are known."""
    return [(s.date_in, s.date_out) for s in stays if s.date_in is not None and s.date_out is not None]


def age_finding(rule: Rule, facts: WhiskyFacts, words: Words, on: dt.date) -> Finding:
    """Calendar months in the casks that count."""
    if facts.stays is None:
        return NO_CASKS_KNOWN
    months = int(rule.data["months"])
    fits = [(stay, *stay_fits(stay, rule.data["casks"], words)) for stay in facts.stays]
    counted = dated([stay for stay, sure, _ in fits if sure])
    possible = [stay for stay, _, maybe in fits if maybe]
    sure = is_aged(counted, months)
    maybe = len(dated(possible)) < len(possible) or is_aged(dated(possible), months)
    reason = age_text(counted, possible, months) + strange_woods(facts.stays, rule.data["casks"], words)
    verdict: Verdict = settled(sure, maybe)
    asks: tuple[tuple[str, str], ...] = ()
    if verdict is Verdict.UNKNOWN:
        asks = (*open_facts(facts.stays, rule.data["casks"], words), *open_times(facts.stays))
    return Finding(verdict, reason, planned(rule, counted, on), asks)


def open_times(stays: Sequence[CaskStay]) -> tuple[tuple[str, str], ...]:
    """The stays whose two dates are not both known."""
    lacking = [k for k, stay in enumerate(stays) if stay.date_in is None or stay.date_out is None]
    return tuple((f"stay.time#{k}" if k else "cask.time", "") for k in lacking)


def age_text(counted: list[tuple[dt.date, dt.date]], possible: list[CaskStay], months: int) -> str:
    """The reason of an age: from when to when, and the day on which the months are complete."""
    due = reached_on(counted, months)
    open_ended = " and a cask or a date is not known" if len(possible) > len(counted) else ""
    if due is None:
        return f"no time is shown to count towards {months} months{open_ended}"
    first, last = min(start for start, _ in counted), max(end for _, end in counted)
    return f"time that counts runs from {first} to {last}; {months} months are complete on {due}{open_ended}"


def planned(rule: Rule, counted: list[tuple[dt.date, dt.date]], on: dt.date) -> tuple[str, ...]:
    """A sentence when the spirit is still to leave the cask on the day judged."""
    if all(end <= on for _, end in counted):
        return ()
    return (f"{rule.id}: the last date lies after {on}, so the age is judged as planned.",)
