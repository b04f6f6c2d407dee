"""The other kinds of rule: strengths, words from a list, places, additions, season, and the opposite of other rules."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from gristwright.basics import Verdict
from gristwright.records.law import WhiskyFacts
from gristwright.rules.law.book import Book, Rule
from gristwright.rules.law.finding import OPERATORS, Finding, exact, gravest, holds, settled, turned
from gristwright.rules.law.shares import share_finding
from gristwright.rules.law.wood import age_finding, stays_finding


@dataclass(frozen=True)
class Case:
    """The facts of one whisky, the day they are judged on and the book they are judged by."""

    facts: WhiskyFacts
    on: dt.date
    book: Book


def not_known(what: str) -> Finding:
    """The finding on a fact that was not given."""
    return Finding(Verdict.UNKNOWN, f"{what} is not known")


def strength_finding(rule: Rule, case: Case) -> Finding:
    """A strength [%vol] against a limit; `when_stored` asks nothing of spirit that saw no cask."""
    name = {"bottle": "bottling strength", "entry": "strength into the cask"}[rule.data["of"]]
    value = case.facts.bottle_abv_pct if rule.data["of"] == "bottle" else case.facts.entry_abv_pct
    if rule.data.get("when_stored", False) and case.facts.stays == ():
        return Finding(Verdict.PASS, "the spirit saw no cask")
    if value is None:
        return not_known(f"the {name}")
    at, limit = exact(value), Decimal(rule.data["limit_abv_pct"])
    sure, maybe = holds(rule.data["op"], at, at, limit)
    return Finding(
        settled(sure, maybe), f"the {name} is {value:g} %vol; asked {OPERATORS[rule.data['op']]} {limit} %vol"
    )


def distillation_finding(rule: Rule, case: Case) -> Finding:
    """The strength of every distillation, or of the last, against a limit [%vol]."""
    strengths = case.facts.distillation_abv_pct
    if not strengths:
        return not_known("the strength of the distillations")
    judged = strengths if rule.data["which"] == "every" else strengths[-1:]
    limit = Decimal(rule.data["limit_abv_pct"])
    states = [holds(rule.data["op"], exact(x), exact(x), limit)[0] for x in judged]
    read = ", ".join(f"{x:g}" for x in judged)
    return Finding(
        settled(all(states), all(states)), f"distilled at {read} %vol; asked {OPERATORS[rule.data['op']]} {limit} %vol"
    )


def runs_finding(rule: Rule, case: Case) -> Finding:
    """How many times the spirit was distilled."""
    if not case.facts.distillation_abv_pct:
        return not_known("the number of distillations")
    runs, least, most = len(case.facts.distillation_abv_pct), int(rule.data["least"]), int(rule.data["most"])
    fits = least <= runs <= most
    return Finding(settled(fits, fits), f"distilled {runs} times; asked {least} to {most}")


def word_verdict(value: str, allowed: Iterable[str], unclear: Iterable[str]) -> Verdict:
    """Whether a word is allowed, forbidden, or one on which the text says nothing clear."""
    if value in unclear:
        return Verdict.UNKNOWN
    return Verdict.PASS if value in allowed else Verdict.FAIL


def one_of_finding(rule: Rule, case: Case) -> Finding:
    """A fact that is a word, against the words allowed."""
    field = rule.data["of"]
    words, named = (
        case.book.words,
        {"enzymes": "kind of enzymes", "ferment_agents": "agent of fermentation", "still": "kind of still"},
    )
    value = words.plain(field, getattr(case.facts, field))
    if value == "unknown":
        return not_known(f"the {named[field]}")
    verdict = word_verdict(value, words.named(rule.data["allowed"]), words.named(rule.data.get("unclear", ())))
    return Finding(verdict, f"{named[field]}: {value}")


def additions_finding(rule: Rule, case: Case) -> Finding:
    """What was added, each against the additions allowed."""
    if case.facts.additions is None:
        return not_known("what was added")
    words = case.book.words
    allowed, unclear = words.named(rule.data["allowed"]), words.named(rule.data.get("unclear", ()))
    added = [words.plain("additions", value) for value in case.facts.additions]
    verdict = gravest([Verdict.PASS, *(word_verdict(value, allowed, (*unclear, "unknown")) for value in added)])
    return Finding(verdict, f"added: {', '.join(added) or 'nothing'}")


def is_true_finding(rule: Rule, case: Case) -> Finding:
    """A fact that is a yes or no."""
    field = rule.data["of"]
    named = {"one_distillery": "one distillery", "warehouse": "time only in an excise warehouse or a permitted place"}
    value: bool | None = getattr(case.facts, field)
    if value is None:
        return not_known(f"whether it is {named[field]}")
    return Finding(settled(value, value), f"{named[field]}: {'yes' if value else 'no'}")


def lies_in(country: str | None, allowed: Iterable[str]) -> tuple[bool, bool]:
    """Whether a country (surely, possibly) lies in those allowed; a whole country may or may not be the part asked."""
    if country is None:
        return (False, True)
    sure = any(country == place or country.startswith(f"{place}-") for place in allowed)
    return (sure, sure or any(place.startswith(f"{country}-") for place in allowed))


def countries_of(step: str, facts: WhiskyFacts) -> list[str | None]:
    """Where a step was done; a cask that names its own country speaks for its time."""
    usual = dict(facts.places).get(step, facts.country)
    if step != "mature" or not facts.stays:
        return [usual]
    return [stay.country or usual for stay in facts.stays]


def place_finding(rule: Rule, case: Case) -> Finding:
    """Each step in one of the places allowed."""
    done = [(step, country) for step in rule.data["steps"] for country in countries_of(step, case.facts)]
    fits = [lies_in(country, rule.data["allowed"]) for _, country in done]
    verdict = settled(all(sure for sure, _ in fits), all(maybe for _, maybe in fits))
    places = dict.fromkeys(f"{step} in {country or 'a country not known'}" for step, country in done)
    return Finding(verdict, f"{', '.join(places)}; asked {' or '.join(rule.data['allowed'])}")


def season_finding(rule: Rule, case: Case) -> Finding:
    """All distillation in one half of one year."""
    if case.facts.distilled is None:
        return not_known("the days of distillation")
    first, last = case.facts.distilled
    one = (first.year, first.month > 6) == (last.year, last.month > 6)
    return Finding(
        settled(one, one), f"distilled from {first} to {last}; asked one season, January-June or July-December"
    )


def not_all_finding(rule: Rule, case: Case) -> Finding:
    """The opposite of several other rules together: at least one of them must not be met."""
    verdict = gravest([finding_of(case.book.rule(name), case).verdict for name in rule.data["rules"]])
    return Finding(turned(verdict), f"taken together the rules {', '.join(rule.data['rules'])} give: {verdict.value}")


def share_of_case(rule: Rule, case: Case) -> Finding:
    """A share rule on the case's grist."""
    return share_finding(rule, case.facts.grist, case.book.words)


def stays_of_case(rule: Rule, case: Case) -> Finding:
    """A rule on the case's casks."""
    return stays_finding(rule, case.facts, case.book.words)


def age_of_case(rule: Rule, case: Case) -> Finding:
    """A rule on the case's age."""
    return age_finding(rule, case.facts, case.book.words, case.on)


KINDS = {
    "share": share_of_case,
    "strength": strength_finding,
    "distillation": distillation_finding,
    "runs": runs_finding,
    "one_of": one_of_finding,
    "additions": additions_finding,
    "is_true": is_true_finding,
    "place": place_finding,
    "casks": stays_of_case,
    "age": age_of_case,
    "season": season_finding,
    "not_all": not_all_finding,
}


def finding_of(rule: Rule, case: Case) -> Finding:
    """What a rule finds in a case."""
    return KINDS[rule.kind](rule, case)
